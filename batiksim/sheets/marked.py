"""A cloth with numbered rings where a check found something, and the findings' words beside it.

Outside the rings the cloth is dimmed, inside it keeps its colour. How serious a finding is shows in the ring's line
as well as its colour: thin for a note, broad for a warning, double for what will spoil the cloth.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate
from typing import NamedTuple

import numpy as np
from PIL import Image, ImageDraw, ImageFilter

from batiksim.sheets.colours import GROUND, INK, MADDER, PAPER, QUIET, WOOD, mixed
from batiksim.sheets.drawing import around, cloth_picture, cloth_size, disc, put, shadow, stamp
from batiksim.sheets.lettering import Lettering
from batiksim.texts.catalogue import Message, say
from batiksim.types import Bytes
from batiksim.values import Severity

_WIDE = 2000
_SIDE = 110
_BALL = 27
_TITLE, _TEXT = Lettering("serif-bold", 72), Lettering("sans", 34)
_SEVERITY, _SERIOUS = Lettering("italic", 34, QUIET), Lettering("italic", 34, MADDER)
_INDENT = 84
_WOOD = 18
_GUTTER = 80  # between two columns of words


class Mark(NamedTuple):
    """One ring: its middle and radius in the picture's own pixels, the number to show, how serious it is."""

    x_px: float
    y_px: float
    radius_px: float
    number: int
    severity: Severity


_Ring = tuple[Mark, tuple[float, float]]  # a mark in pixels of the sheet, and the place of its number


def _ball_places(x: float, y: float, radius: float) -> list[tuple[float, float]]:
    """Where a ring's number may stand: on the ring first, then farther out."""
    turns = [math.radians(a) for a in (-45, 45, -135, 135, 0, 180, -90, 90)]
    outward = (radius + 0.4 * _BALL, radius + 1.4 * _BALL)
    return [(x + far * math.cos(a), y + far * math.sin(a)) for far in outward for a in turns]


def _rings(marks: Sequence[Mark], scale: float, size: tuple[int, int]) -> list[_Ring]:
    """The marks in pixels of the sheet, their numbers clear of the edge and of one another where there is room."""
    spots = [_spot(mark, scale, size) for mark in marks]
    balls: list[tuple[float, float]] = []

    def covered(place: tuple[float, float]) -> float:
        px, py = place
        out = sum(max(0.0, _BALL + 4 - room) for room in (px, py, size[0] - px, size[1] - py))
        on_balls = sum(max(0.0, 2 * _BALL + 4 - math.dist(place, ball)) for ball in balls)
        on_rings = sum(max(0.0, spot.radius_px - math.dist(place, (spot.x_px, spot.y_px))) for spot in spots)
        return 2 * out + 2 * on_balls + on_rings

    for spot in spots:
        balls.append(min(_ball_places(spot.x_px, spot.y_px, spot.radius_px), key=covered))
    return list(zip(spots, balls, strict=True))


def _spot(mark: Mark, scale: float, size: tuple[int, int]) -> Mark:
    """The mark on the sheet: inside the cloth, never too small to see."""
    x = min(max(mark.x_px * scale, 0.0), float(size[0]))
    y = min(max(mark.y_px * scale, 0.0), float(size[1]))
    return mark._replace(x_px=x, y_px=y, radius_px=min(max(mark.radius_px * scale, 30.0), 0.45 * max(size)))


def _dimmed(cloth: Image.Image, rings: Sequence[_Ring]) -> Image.Image:
    """The cloth, pale and nearly grey but for the spots inside the rings."""
    if not rings:
        return cloth
    grey = Image.blend(cloth.convert("L").convert("RGB"), cloth, 0.3)
    pale = Image.blend(grey, Image.new("RGB", cloth.size, GROUND), 0.5)
    spots = Image.new("L", cloth.size)
    draw = ImageDraw.Draw(spots)
    for mark, _ in rings:
        draw.ellipse(around(mark.x_px, mark.y_px, mark.radius_px), fill=255)
    return Image.composite(cloth, pale, spots.filter(ImageFilter.GaussianBlur(1.2)))


def _ring_stamp(radius: float, severity: Severity) -> Image.Image:
    """A dark line on a pale one, so that it shows on any cloth."""
    colour = MADDER if severity == "serious" else INK
    broad = {"note": 4, "warn": 9, "serious": 6}[severity]
    outer = radius + (11 if severity == "serious" else 0)
    side = 2 * math.ceil(outer + 14)

    def pen(draw: ImageDraw.ImageDraw, k: float) -> None:
        def circle(far: float, thick: float, fill: str) -> None:
            box = around(side / 2 * k, side / 2 * k, (far + thick / 2) * k)
            draw.ellipse(box, outline=fill, width=round(thick * k))

        circle((radius + outer) / 2, outer - radius + broad + 7, PAPER)
        for far in {radius, outer}:
            circle(far, broad, colour)

    return stamp(side, side, pen)


def _put_ball(sheet: Image.Image, place: tuple[float, float], number: int, severity: Severity) -> None:
    """A disc with a number: open for a note, full for a warning, ringed for the worst, as the rings on the cloth."""
    fills = {"note": (INK, PAPER), "warn": (INK,), "serious": (MADDER, PAPER, MADDER)}[severity]
    rounds = zip((_BALL + 3, _BALL, _BALL - 4, _BALL - 7), (PAPER, *fills), strict=False)
    put(sheet, disc(2 * (_BALL + 4), *rounds), place)
    size = 32 if number < 100 else 24
    look = Lettering("sans-bold", size, INK if severity == "note" else PAPER, align="middle")
    look.write(ImageDraw.Draw(sheet), (place[0], place[1] + size * 0.32), str(number))


def _with_rings(cloth: Image.Image, rings: Sequence[_Ring]) -> Image.Image:
    marked = _dimmed(cloth, rings)
    for mark, _ in rings:
        put(marked, _ring_stamp(mark.radius_px, mark.severity), (mark.x_px, mark.y_px))
    for mark, ball in rings:
        _put_ball(marked, ball, mark.number, mark.severity)
    return marked


@dataclass(frozen=True, kw_only=True)
class _Note:
    """A finding's words: numbered when a ring on the cloth shows its place."""

    lines: list[str]
    mark: Mark | None

    @property
    def high(self) -> int:
        return (len(self.lines) + (self.mark is not None)) * _TEXT.high + 34

    def write_on(self, sheet: Image.Image, x: int, y: int) -> None:
        draw, base = ImageDraw.Draw(sheet), y + _TEXT.size
        if self.mark is not None:
            _put_ball(sheet, (x + _BALL, base - 11), self.mark.number, self.mark.severity)
            look = _SERIOUS if self.mark.severity == "serious" else _SEVERITY
            look.write(draw, (x + _INDENT, base), say(f"checks.severity.{self.mark.severity}"))
            base += _TEXT.high
        _TEXT.write_lines(draw, (x + _INDENT, base), self.lines)


def _notes(texts: Sequence[str | Message], marks: Sequence[Mark], wide: float) -> list[_Note]:
    """Each text with its mark; texts beyond the last mark stand without one."""
    numbered = [*marks, *[None] * (len(texts) - len(marks))]
    lines = [_TEXT.wrapped(text, wide - _INDENT, lines=16) for text in texts]
    return [_Note(lines=found, mark=mark) for found, mark in zip(lines, numbered, strict=False)]


_Placed = tuple[_Note, int, int]  # with its corner (x, y) from the cloth's top


def marked_picture(
    picture: Bytes, marks: Sequence[Mark], *, notes: Sequence[str | Message] = (), title: str | Message = ""
) -> Bytes:
    """Draw a cloth with numbered rings and, beside or below it, what they stand for.

    Parameters
    ----------
    picture : uint8 (rows, cols, 3), any size
    marks : in pixels of `picture`
    notes : one text for each mark; further texts stand without a number
    title : above the cloth

    Returns
    -------
    uint8 (rows, 2000, 3), sRGB.
    """
    head = _TITLE.balanced(title, _WIDE - 2 * _SIDE, lines=2)
    top = _SIDE + len(head) * _TITLE.high + (30 if head else 0)
    size, high, placed = _layout(picture, notes, marks)
    page = Image.new("RGB", (_WIDE, top + high + _SIDE), PAPER)
    _TITLE.write_lines(ImageDraw.Draw(page), (_SIDE, _SIDE + 58), head)
    _lay_cloth(page, cloth_picture(picture, *size), _rings(marks, size[0] / picture.shape[1], size), top)
    for note, x, y in placed:
        note.write_on(page, x, top + y)
    return np.asarray(page)


def _layout(
    picture: Bytes, texts: Sequence[str | Message], marks: Sequence[Mark]
) -> tuple[tuple[int, int], int, list[_Placed]]:
    """Size of the cloth, height of it all, and the words: beside the cloth unless far longer, else below in columns."""
    wide = picture.shape[1] >= 1.9 * picture.shape[0]
    if texts and not wide:
        size = cloth_size(picture, 1180, 1300)
        left = _SIDE + size[0] + 2 * _WOOD + 70
        notes = _notes(texts, marks, min(1400, _WIDE - _SIDE - left))
        foot = sum(note.high for note in notes)
        if foot <= 1.25 * size[1]:
            return size, max(size[1], foot), _stacked(notes, left, 0)
    size = cloth_size(picture, _WIDE - 2 * (_SIDE + _WOOD), 1300)
    if not texts:
        return size, size[1], []
    count = 1 if len(texts) == 1 else 2
    column = (_WIDE - 2 * _SIDE - (count - 1) * _GUTTER) // count
    notes = _notes(texts, marks, min(1400, column))
    split = min(range(1, len(notes) + 1), key=lambda at: _taller(notes, at))
    below = size[1] + 60
    placed = [*_stacked(notes[:split], _SIDE, below), *_stacked(notes[split:], _SIDE + column + _GUTTER, below)]
    return size, below + _taller(notes, split), placed


def _taller(notes: Sequence[_Note], split: int) -> int:
    """Height of two columns when the first holds so many notes."""
    return max(sum(note.high for note in notes[:split]), sum(note.high for note in notes[split:]))


def _stacked(notes: Sequence[_Note], x: int, y: int) -> list[_Placed]:
    tops = accumulate((note.high for note in notes), initial=y)
    return [(note, x, top) for note, top in zip(notes, tops, strict=False)]


def _lay_cloth(page: Image.Image, cloth: Image.Image, rings: Sequence[_Ring], top: int) -> None:
    """The marked cloth on the page, in a plain wooden edge."""
    box = (_SIDE + _WOOD, top, _SIDE + _WOOD + cloth.width, top + cloth.height)
    shadow(page, (box[0] - _WOOD, box[1] - _WOOD, box[2] + _WOOD, box[3] + _WOOD))
    page.paste(mixed(WOOD, INK, 0.35), (box[0] - _WOOD, box[1] - _WOOD, box[2] + _WOOD, box[3] + _WOOD))
    page.paste(WOOD, (box[0] - _WOOD + 1, box[1] - _WOOD + 1, box[2] + _WOOD - 1, box[3] + _WOOD - 1))
    page.paste(mixed(WOOD, INK, 0.35), (box[0] - 1, box[1] - 1, box[2] + 1, box[3] + 1))
    page.paste(_with_rings(cloth, rings), box[:2])
