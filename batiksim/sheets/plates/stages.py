"""The stages of one cloth on one sheet: plates pegged on a line, the step's mark between two of them.

`stages_sheet` draws what a tutor would pin up. It takes pictures and words only: nothing here knows how a colour came
about. Lengths are pixels of the sheet; 2400 pixels across is a page of A4 laid flat at 205 dots to the inch.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import get_args

import numpy as np
from PIL import Image, ImageDraw

from batiksim.cloth.stages import Stage
from batiksim.sheets.colours import GROUND, PAPER, QUIET
from batiksim.sheets.drawing import cloth_picture, hang, put, sagging, step_mark, string_line
from batiksim.sheets.lettering import Lettering, lines_high, write_head
from batiksim.sheets.plates.captions import FINISHED, FINISHED_WIDE, UNDER_PLATE, Caption, Looks
from batiksim.texts.catalogue import Message, say
from batiksim.types import Bytes
from batiksim.values.steps import StepKind

WIDE = 2400
_SIDE = 144
_INNER = WIDE - 2 * _SIDE
_TITLE, _ABOUT, _KEY = Lettering("serif-bold", 92), Lettering("italic", 38, QUIET), Lettering("sans", 30, QUIET)
_MORE = Lettering("sans", 27, QUIET, align="middle")
_MARK = 58
_VERY_WIDE = 2.2  # from this width to height on, words stand below the finished cloth


@dataclass(frozen=True, eq=False, kw_only=True)
class StagePicture(Stage):
    """One plate and its story. picture : uint8 (rows, cols, 3), any size; reduced to the sheet's."""

    picture: Bytes
    __eq__, __hash__ = object.__eq__, object.__hash__

    @property
    def aspect(self) -> float:
        """Width over height."""
        rows, cols = self.picture.shape[:2]
        return float(cols) / float(rows)

    @property
    def mark_colours(self) -> list[str]:
        """Colours of the marks that hang before it, for up to three pots one each; none before bare cloth."""
        if self.kind in ("bare", "cloth"):
            return []
        return [colour for _, colour in self.pots[:3]] or [QUIET]


@dataclass(frozen=True, kw_only=True)
class StagesSheet:
    """All that the sheet shows.

    title : of the design
    size : real size of the cloth and the like, in words ("Cotton, 45 × 30 cm")
    stages : the plates in order, the bare cloth first
    finished : the cloth at the end, shown large; None leaves it out
    """

    title: str | Message
    size: str | Message = ""
    stages: tuple[StagePicture, ...]
    finished: StagePicture | None = None


_Row = Sequence[tuple[StagePicture, Caption]]  # plates on one line


def _caption(stage: StagePicture, wide: int, looks: Looks, *, number: int = 0) -> Caption:
    title = say("plates.numbered", number=number, title=stage.title) if number else stage.title
    return Caption(looks=looks, wide=wide, title=title, detail=stage.detail, swatches=stage.colours)


@dataclass(frozen=True, kw_only=True)
class _Grid:
    """How the plates stand: cells of one width, each with room for a mark at its left."""

    columns: int
    cell: int
    gap: int
    high: int


def _grid_of(count: int, aspect: float, columns: int) -> tuple[float, _Grid]:
    """A grid of so many columns and how far it is from good: square, all rows full, no room left at the right."""
    gap = 120 if columns < 5 else 96
    cell = min((_INNER - (columns - 1) * gap) // columns, 1240)
    high = round(min(cell / aspect, 680))
    cell = max(min(cell, round(high * aspect)), min(cell, 300))
    rows = math.ceil(count / columns)
    whole = 1650 + rows * (high + 400)
    empty = (rows * columns - count) / (rows * columns)
    spare = 1 - (columns * (cell + gap) - gap) / _INNER
    cost = abs(math.log(whole / (1.3 * WIDE))) + empty + 0.5 * spare
    return cost, _Grid(columns=columns, cell=cell, gap=gap, high=high)


def _grid(count: int, aspect: float) -> _Grid:
    """The calmest grid of at most six columns."""
    grids = (_grid_of(count, aspect, columns) for columns in range(1, min(count, 6) + 1))
    return min(grids, key=lambda found: found[0])[1]


def _shown(aspect: float, wide: int, high: int) -> tuple[int, int]:
    """Width and height of a cloth that fills the given room."""
    scale = min(wide / aspect, high)
    return max(8, round(scale * aspect)), max(8, round(scale))


def _finished_size(aspect: float) -> tuple[int, int]:
    return _shown(aspect, 1240 if aspect < _VERY_WIDE else _INNER, 1080)


def _rows(stages: Sequence[StagePicture], grid: _Grid) -> list[_Row]:
    plates, number = [], 0
    for stage in stages:
        number += stage.kind != "bare"
        caption = _caption(stage, grid.cell, UNDER_PLATE, number=number if stage.kind != "bare" else 0)
        plates.append((stage, caption))
    return [plates[start : start + grid.columns] for start in range(0, len(plates), grid.columns)]


def _row_high(row: _Row, grid: _Grid) -> int:
    """From the line to that of the next row: the longest caption has room."""
    return grid.high + 40 + max(caption.high for _, caption in row) + 110


def _hang_mark(sheet: Image.Image, stage: StagePicture, x: float, y: float) -> None:
    """The step's mark on a thread from the line at (x, y); several pots hang as beads."""
    colours = stage.mark_colours
    if not colours:
        return
    string_line(sheet, [(x, y), (x, y + 46 + (len(colours) - 1) * _MARK)], thick=2)
    for place, colour in enumerate(colours):
        put(sheet, step_mark(stage.kind, _MARK, colour), (x, y + 40 + _MARK * (place * 1.06 + 0.5)))
    more = len(stage.pots) - 3
    if stage.kind == "dye" and more > 0:
        _MORE.write(ImageDraw.Draw(sheet), (x, y + 40 + _MARK * 3.2 + 30), f"+ {more}")


def _draw_row(sheet: Image.Image, row: _Row, grid: _Grid, y: int) -> None:
    places = [_SIDE + place * (grid.cell + grid.gap) for place in range(len(row))]
    sizes = [_shown(stage.aspect, grid.cell, grid.high) for stage, _ in row]
    knots = [x - (grid.gap if place else _SIDE) / 2 for place, x in enumerate(places)]
    points = [(0.0, y - 6.0)]
    for x, (wide, _), knot, (stage, _) in zip(places, sizes, knots, row, strict=True):
        points += [(knot, y + 7.0)] if stage.mark_colours else []
        points += [(x, float(y)), (x + wide, float(y))]
    string_line(sheet, sagging([*points, (WIDE, y - 6)], sag=10))
    for x, size, knot, (stage, caption) in zip(places, sizes, knots, row, strict=True):
        _hang_mark(sheet, stage, knot, y + 7)
        hang(sheet, cloth_picture(stage.picture, *size), (x, y))
        caption.write_on(sheet, x, y + size[1] + 26)


def _head(sheet: StagesSheet) -> Image.Image:
    """Title, size and the key to the marks, from the top of the sheet to the first line."""
    every = [*sheet.stages, *([sheet.finished] if sheet.finished else [])]
    used = {stage.kind: stage for stage in reversed(every)}
    shown = [used[kind] for kind in get_args(StepKind) if kind in used]
    key = [(str(say(f"plates.key.{stage.kind}")), step_mark(stage.kind, 36, stage.mark_colours[0])) for stage in shown]
    key_wide = sum(48 + _KEY.width(words) + 44 for words, _ in key) - 44
    size = _ABOUT.wrapped(sheet.size, _INNER, lines=2)
    lines = [(line, _TITLE) for line in _TITLE.balanced(sheet.title, _INNER, lines=2)]
    lines += [(line, _ABOUT) for line in size]
    beside = (_ABOUT.width(size[-1]) if size else 0.0) + 80 + key_wide <= _INNER
    below = 0 if beside else 62
    head = Image.new("RGB", (WIDE, 120 + lines_high(lines) + below + 92), GROUND)
    draw = ImageDraw.Draw(head)
    base = write_head(draw, (_SIDE, 120.0), lines) + below
    x = WIDE - _SIDE - key_wide if beside else float(_SIDE)
    for words, mark in key:
        put(head, mark, (x + 18, base - 30))
        _KEY.write(draw, (x + 48, base - 19), words)
        x += 48 + _KEY.width(words) + 44
    return head


def _foot(stage: StagePicture) -> Image.Image:
    """The finished cloth on its own paper: beside its words, or above them when it's very wide."""
    beside, (wide, high) = stage.aspect < _VERY_WIDE, _finished_size(stage.aspect)
    caption = _caption(stage, _INNER - wide - 100 if beside else _INNER, FINISHED if beside else FINISHED_WIDE)
    room = max(high, caption.high) if beside else high + 60 + caption.high
    paper, top = Image.new("RGB", (WIDE, 110 + room + 120), PAPER), 110
    points = [(0.0, top - 8.0), *([(_SIDE / 2, top + 7.0)] if stage.mark_colours else [])]
    points += [(float(_SIDE), float(top)), (float(_SIDE + wide), float(top)), (float(WIDE), top - 8.0)]
    string_line(paper, sagging(points, sag=16))
    _hang_mark(paper, stage, _SIDE / 2, top + 7)
    hang(paper, cloth_picture(stage.picture, wide, high), (_SIDE, top), peg_size=60)
    caption.write_on(paper, *((_SIDE + wide + 100, top + 60) if beside else (_SIDE, top + high + 50)))
    return paper


def drawn_size(aspect: float, *, plates: int) -> tuple[int, int]:
    """Width and height in pixels at which a sheet of so many plates shows each: larger ones are drawn reduced.

    aspect : width over height; plates : how many hang on the line, the bare cloth counted; 0 for the finished cloth
    """
    if not plates:
        return _finished_size(aspect)
    grid = _grid(plates, aspect)
    return _shown(aspect, grid.cell, grid.high)


def stages_sheet(sheet: StagesSheet) -> Bytes:
    """Draw the sheet of stages.

    Returns
    -------
    uint8 (rows, 2400, 3), sRGB. It grows in height with the number of plates.
    """
    head, grid = _head(sheet), _grid(len(sheet.stages), sheet.stages[0].aspect)
    rows = _rows(sheet.stages, grid)
    foot = None if sheet.finished is None else _foot(sheet.finished)
    y = head.height
    high = y + sum(_row_high(row, grid) for row in rows) + (foot.height if foot else 0)
    page = Image.new("RGB", (WIDE, high), GROUND)
    page.paste(head)
    for row in rows:
        _draw_row(page, row, grid, y)
        y += _row_high(row, grid)
    if foot is not None:
        page.paste(foot, (0, y))
    return np.asarray(page)
