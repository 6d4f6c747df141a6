"""Ranked colour orders on one sheet: each on a line of its own, its pots hung up in order, the finished cloth last."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import PurePosixPath

import numpy as np
from PIL import Image, ImageDraw

from batiksim.colour.gamut import lab_to_hex
from batiksim.orders import Orders, Ranked
from batiksim.orders.design_of_order import idle_slots, is_planned, pot_named
from batiksim.orders.reasons import reasons
from batiksim.orders.report import Met, how_words, met_wants, standing_words
from batiksim.sheets.colours import GROUND, INK, PAPER, QUIET
from batiksim.sheets.drawing import cloth_picture, cloth_size, hang, put, sagging, step_mark, string_line, swatch
from batiksim.sheets.lettering import Style, balanced, fitted, line_height, text_width, wrapped, write, write_lines
from batiksim.texts.catalogue import say
from batiksim.types import Bytes

WIDE = 2400
_SIDE = 130
_GAP = 90
_TITLE, _TEXT, _NAME, _SMALL = 84, 33, 31, 26
_BEAD = 66
_LINE = 92  # from a row's top to its string
_BEADS_HIGH = 62  # from the string to the middle of a bead
_PIECE = (40, 42)  # of each half of a want's swatch


@dataclass(frozen=True, kw_only=True)
class _Tag:
    """One pot on the line.

    waxed : new wax goes on before it; first : it begins a dyeing; idle : it never touches open cloth
    """

    name: tuple[str, ...]
    where: tuple[str, ...]
    colour: str
    first: bool
    waxed: bool
    idle: bool


@dataclass(frozen=True, kw_only=True)
class _Row:
    """One order, measured."""

    orders: Orders
    ranked: Ranked
    picture: Bytes
    waxed: tuple[bool, ...]
    large: bool

    @cached_property
    def cloth(self) -> tuple[int, int]:
        """Width and height of the hanging cloth."""
        return cloth_size(self.picture, *((940, 760) if self.large else (700, 540)))

    @cached_property
    def room(self) -> int:
        """Width left of the cloth for tags and words."""
        return WIDE - 2 * _SIDE - _GAP - max(self.cloth[0], 700)

    @cached_property
    def tags(self) -> tuple[_Tag, ...]:
        """The pots in the order they go on."""
        ranked, course = self.ranked, self.orders.course
        count = len(course.slots)
        pitch = (self.room - 120) / count - 16
        idle = idle_slots(ranked)
        tags = []
        for place, bath in enumerate(ranked.found.layout):
            for slot in course.baths[bath]:
                mask = course.slots[slot].mask
                where = (
                    ""
                    if mask < 0
                    else say("sheets.orders.on_mask", mask=PurePosixPath(course.masks[mask].picture).stem)
                )
                first = slot == course.baths[bath][0]
                tags.append(
                    _Tag(
                        name=tuple(wrapped(pot_named(ranked.slot_pots[slot]), "sans-medium", _NAME, pitch, lines=2)),
                        where=tuple(wrapped(where, "italic", _SMALL, pitch, lines=2)) if where else (),
                        colour=lab_to_hex(ranked.scorer.palette.alone[ranked.found.choice[slot]]),
                        first=first,
                        waxed=first and self.waxed[place],
                        idle=slot in idle,
                    )
                )
        return tuple(tags)

    @cached_property
    def tags_high(self) -> int:
        """From the string to below the tags' names."""
        lines = [len(tag.name) * line_height(_NAME) + len(tag.where) * line_height(_SMALL) for tag in self.tags]
        return _BEADS_HIGH + _BEAD // 2 + 20 + max(lines)

    @cached_property
    def text(self) -> list[str]:
        """The reasons, in lines."""
        sentences = list(map(str, reasons(self.orders, self.ranked)))
        if self.ranked.rank and is_planned(self.orders, self.ranked):
            sentences.insert(0, str(say("sheets.orders.is_planned")))
        return wrapped(" ".join(sentences), "sans", self.size, self.room, lines=14)

    @property
    def size(self) -> int:
        """Of the text."""
        return _TEXT + 5 if self.large else _TEXT

    @cached_property
    def met(self) -> tuple[Met, ...]:
        """What became of the wants, those that fit in two lines."""
        return met_wants(self.orders, self.ranked)

    @cached_property
    def met_rows(self) -> list[list[Met]]:
        """The wants in lines, each as wide as the words need."""
        rows: list[list[Met]] = [[]]
        left = float(self.room)
        for want in self.met:
            wide = _want_width(want)
            if rows[-1] and wide > left:
                rows.append([])
                left = float(self.room)
            rows[-1].append(want)
            left -= wide
        return [row for row in rows if row][:3]

    @property
    def high(self) -> int:
        """Of the whole row."""
        words = self.tags_high + 40 + len(self.text) * line_height(self.size) + 24 + len(self.met_rows) * 62
        return _LINE + max(words, self.cloth[1]) + 76

    def draw_on(self, sheet: Image.Image, y: int) -> None:
        """Draw it with its top at y."""
        string_y = y + _LINE
        wide = self.cloth[0]
        left = WIDE - _SIDE - wide
        points = [(0.0, string_y - 8.0), (left - 30.0, string_y + 4.0), (float(left), float(string_y))]
        points += [(float(left + wide), float(string_y)), (float(WIDE), string_y - 8.0)]
        string_line(sheet, sagging(points, sag=12))
        hang(sheet, cloth_picture(self.picture, *self.cloth), (left, string_y), peg_size=56)
        self._draw_tags(sheet, string_y)
        self._draw_words(sheet, string_y + self.tags_high + 40)

    def _draw_tags(self, sheet: Image.Image, y: int) -> None:
        draw = ImageDraw.Draw(sheet)
        rank = str(self.ranked.rank or "")
        write(draw, (_SIDE + 26, y + 98), rank, style="serif-bold", size=92, fill=INK, align="middle")
        pitch = (self.room - 120) / len(self.tags)
        for place, tag in enumerate(self.tags):
            x = _SIDE + 120 + pitch * (place + 0.5)
            if tag.waxed:
                put(sheet, step_mark("wax", 40), (x - pitch / 2 + 4, y + 40))
            string_line(sheet, [(x, y), (x, y + _BEADS_HIGH - _BEAD / 2 + 3)], thick=2)
            put(sheet, step_mark("dye", _BEAD, GROUND if tag.idle else tag.colour), (x, y + _BEADS_HIGH))
            base = y + _BEADS_HIGH + _BEAD / 2 + 34.0
            fill = QUIET if tag.idle else INK
            base = write_lines(draw, (x, base), tag.name, style="sans-medium", size=_NAME, fill=fill, align="middle")
            write_lines(draw, (x, base - 4), tag.where, style="italic", size=_SMALL, fill=QUIET, align="middle")
            if place and not tag.first:  # goes on at the same dyeing as the one before
                write(
                    draw, (x - pitch / 2, y + _BEADS_HIGH + 12), "+", style="serif", size=44, fill=QUIET, align="middle"
                )

    def _draw_words(self, sheet: Image.Image, y: float) -> None:
        draw = ImageDraw.Draw(sheet)
        y = (
            write_lines(draw, (_SIDE, y + self.size), self.text, style="sans", size=self.size, fill=INK)
            - self.size
            + 24
        )
        for row in self.met_rows:
            x = float(_SIDE)
            for want in row:
                _draw_want(sheet, want, x, y)
                x += _want_width(want)
            y += 62


def _want_words(want: Met) -> tuple[str, str]:
    return str(want.called), f"  {round(want.delta_e)}"


def _want_width(want: Met) -> float:
    name, tail = _want_words(want)
    return 2 * _PIECE[0] + 16 + text_width(name, "sans", _SMALL + 2) + text_width(tail, "italic", _SMALL + 2) + 46


def _draw_want(sheet: Image.Image, want: Met, x: float, y: float) -> None:
    """The wanted colour and the one to expect, side by side; its name and their difference."""
    wide, high = _PIECE
    put(sheet, swatch(want.wanted_hex, wide + 4, high), (x + wide / 2, y + high / 2))
    put(sheet, swatch(want.hex, wide + 4, high), (x + 1.5 * wide + 2, y + high / 2))
    name, tail = _want_words(want)
    draw, left = ImageDraw.Draw(sheet), x + 2 * wide + 16
    write(draw, (left, y + high * 0.7), name, style="sans", size=_SMALL + 2, fill=INK)
    left += text_width(name, "sans", _SMALL + 2)
    write(draw, (left, y + high * 0.7), tail, style="italic", size=_SMALL + 2, fill=QUIET)


def _head(orders: Orders) -> list[tuple[str, Style, int, str]]:
    name = say("sheets.orders.title", title=orders.design.title)
    title = balanced(name, "serif-bold", _TITLE, WIDE - 2 * _SIDE, lines=2)
    sentences = [how_words(orders), say(f"sheets.orders.masks_{'redrawn' if orders.question.derive else 'kept'}")]
    if len(orders.ranked) > 1:
        sentences.append(say("sheets.orders.best"))
    about = " ".join(str(sentence) for sentence in (*sentences, standing_words(orders)) if sentence)
    lines: list[tuple[str, Style, int, str]] = [(line, "serif-bold", _TITLE, INK) for line in title]
    lines += [(line, "italic", 38, QUIET) for line in balanced(about, "italic", 38, WIDE - 2 * _SIDE, lines=3)]
    if orders.targets:
        key = say("sheets.orders.key")
        lines += [(line, "sans", _SMALL + 2, QUIET) for line in wrapped(key, "sans", 28, WIDE - 2 * _SIDE, lines=2)]
    return lines


def orders_sheet(
    orders: Orders, pictures: Sequence[Bytes], planned: Bytes, *, waxed: Sequence[Sequence[bool]]
) -> Bytes:
    """Draw the ranked orders, the best one largest; below, on its own paper, the present design unless it's among them.

    pictures : the finished cloth of each order, uint8 (rows, cols, 3), 700 pixels wide or more; planned : of the design
    waxed : for each order, before which dyeings new wax goes on; all False where masks are kept
    Returns uint8 (rows, 2400, 3), sRGB.
    """
    rows = [
        _Row(orders=orders, ranked=ranked, picture=picture, waxed=tuple(wax), large=place == 0)
        for place, (ranked, picture, wax) in enumerate(zip(orders.ranked, pictures, waxed, strict=True))
    ]
    none = (False,) * orders.course.places
    as_it_stands = _Row(orders=orders, ranked=orders.planned, picture=planned, waxed=none, large=False)
    if any(is_planned(orders, ranked) for ranked in orders.ranked):
        return _drawn(_head(orders), rows, _noted(orders), None)
    return _drawn(_head(orders), rows, _noted(orders), as_it_stands)


def _noted(orders: Orders) -> list[str]:
    return [line for note in orders.notes for line in wrapped(str(note), "sans", _TEXT, WIDE - 2 * _SIDE, lines=3)]


def _drawn(
    head: Sequence[tuple[str, Style, int, str]], rows: Sequence[_Row], notes: Sequence[str], last: _Row | None
) -> Bytes:
    top = 120 + sum(line_height(size) for _, _, size, _ in head)
    foot = top + sum(row.high for row in rows) + (60 + len(notes) * line_height(_TEXT) if notes else 0)
    page = Image.new("RGB", (WIDE, foot + (150 + last.high if last else 20)), GROUND)
    draw, y = ImageDraw.Draw(page), 100.0
    for line, style, size, fill in head:
        write(draw, (_SIDE, y + size * 0.8), line, style=style, size=size, fill=fill)
        y += line_height(size)
    below = top
    for row in rows:
        row.draw_on(page, below)
        below += row.high
    write_lines(draw, (_SIDE, below + 10 + line_height(_TEXT)), notes, style="italic", size=_TEXT, fill=QUIET)
    if last is not None:
        page.paste(PAPER, (0, foot + 40, WIDE, page.height))
        name = fitted(say("sheets.orders.planned"), "serif-bold", 54, WIDE - 2 * _SIDE)
        write(draw, (_SIDE, foot + 120), name, style="serif-bold", size=54, fill=INK)
        last.draw_on(page, foot + 110)
    return np.asarray(page)
