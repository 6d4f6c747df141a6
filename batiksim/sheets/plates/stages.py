"""The stages of one cloth on one sheet: plates pegged on a line, the step's mark between two of them.

`stages_sheet` draws what a tutor would pin up. It takes pictures and words only: nothing here knows how a colour came
about. Lengths are pixels of the sheet; 2400 pixels across is a page of A4 laid flat at 205 dots to the inch.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageDraw

from batiksim.sheets.colours import GROUND, INK, PAPER, QUIET
from batiksim.sheets.drawing import cloth_picture, hang, put, sagging, step_mark, string_line
from batiksim.sheets.lettering import Style, balanced, line_height, text_width, wrapped, write
from batiksim.sheets.plates.captions import FINISHED, FINISHED_WIDE, UNDER_PLATE, Caption, Looks
from batiksim.sheets.plates.stage_pictures import KINDS, Kind, StagePicture, StagesSheet
from batiksim.texts.catalogue import say
from batiksim.types import Bytes

WIDE = 2400
_SIDE = 144
_INNER = WIDE - 2 * _SIDE
_MARK = 58
_VERY_WIDE = 2.2  # from this width to height on, words stand below the finished cloth
_MARKED = ("wax", "dye", "discharge", "remove_wax")  # kinds of step with a mark of their own


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


@dataclass(frozen=True, kw_only=True)
class _Row:
    """One line of plates with their captions, measured."""

    stages: tuple[StagePicture, ...]
    captions: tuple[Caption, ...]
    grid: _Grid

    @property
    def high(self) -> int:
        """From the line to the foot of the longest caption."""
        return self.grid.high + 40 + max(caption.high for caption in self.captions)


def _rows(stages: Sequence[StagePicture], grid: _Grid) -> list[_Row]:
    rows, number = [], 0
    for start in range(0, len(stages), grid.columns):
        captions = []
        part = tuple(stages[start : start + grid.columns])
        for stage in part:
            number += stage.kind != "bare"
            numbered = number if stage.kind != "bare" else 0
            captions.append(_caption(stage, grid.cell, UNDER_PLATE, number=numbered))
        rows.append(_Row(stages=part, captions=tuple(captions), grid=grid))
    return rows


def _hang_mark(sheet: Image.Image, stage: StagePicture, x: float, y: float) -> None:
    """The step's mark on a thread from the line at (x, y); several pots hang as beads."""
    if stage.kind not in _MARKED:
        return
    colours = [colour for _, colour in stage.pots[:3]] if stage.kind == "dye" and stage.pots else [QUIET]
    string_line(sheet, [(x, y), (x, y + 46 + (len(colours) - 1) * _MARK)], thick=2)
    for place, colour in enumerate(colours):
        put(sheet, step_mark(stage.kind, _MARK, colour), (x, y + 40 + _MARK * (place * 1.06 + 0.5)))
    more = len(stage.pots) - 3
    if stage.kind == "dye" and more > 0:
        foot = y + 40 + _MARK * 3.2 + 30
        write(ImageDraw.Draw(sheet), (x, foot), f"+ {more}", style="sans", size=27, fill=QUIET, align="middle")


def _draw_row(sheet: Image.Image, row: _Row, y: int) -> None:
    grid = row.grid
    places = [_SIDE + place * (grid.cell + grid.gap) for place in range(len(row.stages))]
    sizes = [_shown(stage.aspect, grid.cell, grid.high) for stage in row.stages]
    knots = [x - (grid.gap if place else _SIDE) / 2 for place, x in enumerate(places)]
    points = [(0.0, y - 6.0)]
    for x, (wide, _), knot, stage in zip(places, sizes, knots, row.stages, strict=True):
        points += [(knot, y + 7.0)] if stage.kind in _MARKED else []
        points += [(x, float(y)), (x + wide, float(y))]
    string_line(sheet, sagging([*points, (WIDE, y - 6)], sag=10))
    for x, size, knot, stage, caption in zip(places, sizes, knots, row.stages, row.captions, strict=True):
        _hang_mark(sheet, stage, knot, y + 7)
        hang(sheet, cloth_picture(stage.picture, *size), (x, y))
        caption.write_on(sheet, x, y + size[1] + 26)


@dataclass(frozen=True, kw_only=True)
class _Head:
    """Title, size and the key to the marks."""

    title: list[str]
    size: list[str]
    key: tuple[tuple[Kind, str], ...]
    key_wide: float

    @property
    def high(self) -> int:
        """From the top of the sheet to the first line."""
        own_line = 0 if self._beside else 62
        return 120 + len(self.title) * line_height(92) + len(self.size) * line_height(38) + own_line + 92

    @property
    def _beside(self) -> bool:
        last = text_width(self.size[-1], "italic", 38) if self.size else 0.0
        return last + 80 + self.key_wide <= _INNER

    def write_on(self, sheet: Image.Image) -> None:
        """Write it at the top of the sheet."""
        draw, base = ImageDraw.Draw(sheet), 120.0
        styles: tuple[tuple[list[str], Style, int, str], ...] = (
            (self.title, "serif-bold", 92, INK),
            (self.size, "italic", 38, QUIET),
        )
        for lines, style, size, fill in styles:
            for line in lines:
                write(draw, (_SIDE, base + size * 0.8), line, style=style, size=size, fill=fill)
                base += line_height(size)
        base += 0 if self._beside else 62
        x = WIDE - _SIDE - self.key_wide if self._beside else float(_SIDE)
        for kind, colour in self.key:
            put(sheet, step_mark(kind, 36, colour), (x + 18, base - 30))
            words = _key_words(kind)
            write(draw, (x + 48, base - 19), words, style="sans", size=30, fill=QUIET)
            x += 48 + text_width(words, "sans", 30) + 44


def _key_words(kind: Kind) -> str:
    return str(say(f"plates.key.{kind}"))


def _head(sheet: StagesSheet) -> _Head:
    every = [*sheet.stages, *([sheet.finished] if sheet.finished else [])]
    used = {stage.kind: stage for stage in reversed(every)}
    key: list[tuple[Kind, str]] = []
    for kind in KINDS:
        if kind in _MARKED and kind in used:
            key.append((kind, used[kind].pots[0][1] if used[kind].pots else QUIET))
    wide = sum(48 + text_width(_key_words(kind), "sans", 30) + 44 for kind, _ in key) - 44
    title = balanced(sheet.title, "serif-bold", 92, _INNER, lines=2)
    return _Head(title=title, size=wrapped(sheet.size, "italic", 38, _INNER, lines=2), key=tuple(key), key_wide=wide)


@dataclass(frozen=True, kw_only=True)
class _Finish:
    """The finished cloth on its own paper at the foot: beside its words, or above them when it's very wide."""

    stage: StagePicture
    size: tuple[int, int]
    caption: Caption
    beside: bool

    @property
    def high(self) -> int:
        """The paper's height."""
        words = self.caption.high
        return 110 + (max(self.size[1], words) if self.beside else self.size[1] + 60 + words) + 120

    def draw_on(self, sheet: Image.Image, y: int) -> None:
        """Draw it with the paper's top edge at y."""
        sheet.paste(PAPER, (0, y, WIDE, sheet.height))
        top, (wide, high) = y + 110, self.size
        marked = self.stage.kind in _MARKED
        points = [(0.0, top - 8.0), *([(_SIDE / 2, top + 7.0)] if marked else [])]
        points += [(float(_SIDE), float(top)), (float(_SIDE + wide), float(top)), (float(WIDE), top - 8.0)]
        string_line(sheet, sagging(points, sag=16))
        _hang_mark(sheet, self.stage, _SIDE / 2, top + 7)
        hang(sheet, cloth_picture(self.stage.picture, wide, high), (_SIDE, top), peg_size=60)
        if self.beside:
            self.caption.write_on(sheet, _SIDE + wide + 100, top + 60)
        else:
            self.caption.write_on(sheet, _SIDE, top + high + 50)


def _finish(stage: StagePicture) -> _Finish:
    beside, size = stage.aspect < _VERY_WIDE, _finished_size(stage.aspect)
    room = _INNER - size[0] - 100 if beside else _INNER
    caption = _caption(stage, room, FINISHED if beside else FINISHED_WIDE)
    return _Finish(stage=stage, size=size, caption=caption, beside=beside)


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
    head, rows = _head(sheet), _rows(sheet.stages, _grid(len(sheet.stages), sheet.stages[0].aspect))
    finish = None if sheet.finished is None else _finish(sheet.finished)
    foot = head.high + sum(row.high + 110 for row in rows)
    page = Image.new("RGB", (WIDE, foot + (finish.high if finish else 0)), GROUND)
    head.write_on(page)
    y = head.high
    for row in rows:
        _draw_row(page, row, y)
        y += row.high + 110
    if finish is not None:
        finish.draw_on(page, foot)
    return np.asarray(page)
