"""Ranked colour orders on one sheet: each on a line of its own, its pots hung up in order, the finished cloth last."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import PurePosixPath

import numpy as np
from PIL import Image, ImageDraw

from batiksim.colour.gamut import lab_to_hex
from batiksim.ordering import Orders, Ranked
from batiksim.ordering.design_of_order import idle_slots, is_planned, pot_named
from batiksim.ordering.reasons import reasons
from batiksim.ordering.report import Met, how_words, met_wants, standing_words
from batiksim.sheets.colours import GROUND, PAPER, QUIET
from batiksim.sheets.drawing import cloth_picture, cloth_size, hang, put, sagging, step_mark, string_line, swatch
from batiksim.sheets.lettering import Lettering, Lines, lines_high, write_head
from batiksim.texts.catalogue import say
from batiksim.types import Bytes

WIDE = 2400
_SIDE = 130
_INNER = WIDE - 2 * _SIDE
_GAP = 90
_TITLE, _ABOUT, _KEY = Lettering("serif-bold", 84), Lettering("italic", 38, QUIET), Lettering("sans", 28, QUIET)
_LARGE_TEXT, _TEXT = Lettering("sans", 38), Lettering("sans", 33)
_NOTE, _PLANNED = Lettering("italic", 33, QUIET), Lettering("serif-bold", 54)
_RANK = Lettering("serif-bold", 92, align="middle")
_NAME, _WHERE = Lettering("sans-medium", 31, align="middle"), Lettering("italic", 26, QUIET, align="middle")
_IDLE, _PLUS = replace(_NAME, fill=QUIET), Lettering("serif", 44, QUIET, align="middle")
_WANT, _WANT_TAIL = Lettering("sans", 28), Lettering("italic", 28, QUIET)
_BEAD = 66
_LINE = 92  # from a row's top to its string
_BEADS_HIGH = 62  # from the string to the middle of a bead
_PIECE = (40, 42)  # of each half of a want's swatch


@dataclass(frozen=True, kw_only=True)
class _Tag:
    """One pot on the line.

    waxed : new wax goes on before it; first : it begins a dyeing; idle : it never touches open cloth
    """

    name: list[str]
    where: list[str]
    colour: str
    first: bool
    waxed: bool
    idle: bool


@dataclass(frozen=True, eq=False, kw_only=True)
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
        return _INNER - _GAP - max(self.cloth[0], 700)

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
                where: list[str] = []
                if mask >= 0:
                    on_mask = say("sheets.orders.on_mask", mask=PurePosixPath(course.masks[mask].picture).stem)
                    where = _WHERE.wrapped(on_mask, pitch, lines=2)
                first = slot == course.baths[bath][0]
                tags.append(
                    _Tag(
                        name=_NAME.wrapped(pot_named(ranked.slot_pots[slot]), pitch, lines=2),
                        where=where,
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
        longest = max(len(tag.name) * _NAME.high + len(tag.where) * _WHERE.high for tag in self.tags)
        return _BEADS_HIGH + _BEAD // 2 + 20 + longest

    @cached_property
    def text(self) -> list[str]:
        """The reasons, in lines."""
        sentences = list(map(str, reasons(self.orders, self.ranked)))
        if self.ranked.rank and is_planned(self.orders, self.ranked):
            sentences.insert(0, str(say("sheets.orders.is_planned")))
        return self.look.wrapped(" ".join(sentences), self.room, lines=14)

    @property
    def look(self) -> Lettering:
        """Of the text."""
        return _LARGE_TEXT if self.large else _TEXT

    @cached_property
    def met_rows(self) -> list[list[Met]]:
        """What became of the wants, in up to three lines."""
        rows: list[list[Met]] = [[]]
        left = float(self.room)
        for want in met_wants(self.orders, self.ranked):
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
        words = self.tags_high + 40 + len(self.text) * self.look.high + 24 + len(self.met_rows) * 62
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
        _RANK.write(draw, (_SIDE + 26, y + 98), str(self.ranked.rank or ""))
        pitch = (self.room - 120) / len(self.tags)
        for place, tag in enumerate(self.tags):
            x = _SIDE + 120 + pitch * (place + 0.5)
            if tag.waxed:
                put(sheet, step_mark("wax", 40), (x - pitch / 2 + 4, y + 40))
            string_line(sheet, [(x, y), (x, y + _BEADS_HIGH - _BEAD / 2 + 3)], thick=2)
            put(sheet, step_mark("dye", _BEAD, GROUND if tag.idle else tag.colour), (x, y + _BEADS_HIGH))
            base = y + _BEADS_HIGH + _BEAD / 2 + 34.0
            base = (_IDLE if tag.idle else _NAME).write_lines(draw, (x, base), tag.name)
            _WHERE.write_lines(draw, (x, base - 4), tag.where)
            if place and not tag.first:  # goes on at the same dyeing as the one before
                _PLUS.write(draw, (x - pitch / 2, y + _BEADS_HIGH + 12), "+")

    def _draw_words(self, sheet: Image.Image, y: float) -> None:
        size = self.look.size
        y = self.look.write_lines(ImageDraw.Draw(sheet), (_SIDE, y + size), self.text) - size + 24
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
    return 2 * _PIECE[0] + 16 + _WANT.width(name) + _WANT_TAIL.width(tail) + 46


def _draw_want(sheet: Image.Image, want: Met, x: float, y: float) -> None:
    """The wanted colour and the one to expect, side by side; its name and their difference."""
    wide, high = _PIECE
    put(sheet, swatch(want.wanted_hex, wide + 4, high), (x + wide / 2, y + high / 2))
    put(sheet, swatch(want.hex, wide + 4, high), (x + 1.5 * wide + 2, y + high / 2))
    name, tail = _want_words(want)
    draw, left, base = ImageDraw.Draw(sheet), x + 2 * wide + 16, y + high * 0.7
    _WANT.write(draw, (left, base), name)
    _WANT_TAIL.write(draw, (left + _WANT.width(name), base), tail)


def _head(orders: Orders) -> Lines:
    name = say("sheets.orders.title", title=orders.design.title)
    sentences = [how_words(orders), say(f"sheets.orders.masks_{'redrawn' if orders.question.derive else 'kept'}")]
    if len(orders.ranked) > 1:
        sentences.append(say("sheets.orders.best"))
    about = " ".join(str(sentence) for sentence in (*sentences, standing_words(orders)) if sentence)
    lines = [(line, _TITLE) for line in _TITLE.balanced(name, _INNER, lines=2)]
    lines += [(line, _ABOUT) for line in _ABOUT.balanced(about, _INNER, lines=3)]
    if orders.targets:
        lines += [(line, _KEY) for line in _KEY.wrapped(say("sheets.orders.key"), _INNER, lines=2)]
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
    last = None
    if not any(is_planned(orders, ranked) for ranked in orders.ranked):
        none = (False,) * orders.course.places
        last = _Row(orders=orders, ranked=orders.planned, picture=planned, waxed=none, large=False)
    head, notes = _head(orders), _TEXT.all_wrapped(orders.notes, _INNER)
    below = 120 + lines_high(head)
    foot = below + sum(row.high for row in rows) + (60 + len(notes) * _NOTE.high if notes else 0)
    page = Image.new("RGB", (WIDE, foot + (150 + last.high if last else 20)), GROUND)
    draw = ImageDraw.Draw(page)
    write_head(draw, (_SIDE, 100.0), head)
    for row in rows:
        row.draw_on(page, below)
        below += row.high
    _NOTE.write_lines(draw, (_SIDE, below + 10 + _NOTE.high), notes)
    if last is not None:
        page.paste(PAPER, (0, foot + 40, WIDE, page.height))
        _PLANNED.write(draw, (_SIDE, foot + 120), say("sheets.orders.planned"), _INNER)
        last.draw_on(page, foot + 110)
    return np.asarray(page)
