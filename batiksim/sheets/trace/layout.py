"""How a cloth is shared out over sheets of paper at true size. All lengths are mm.

Neighbouring sheets show the same strip of cloth, `OVERLAP` wide; the seam, where one is laid on the other, is its
middle. Rings on the seam stand at the same places of the cloth on both sheets.
"""

import math
from dataclasses import dataclass

from batiksim.values.papers import PAPER, PAPERS

Box = tuple[float, float, float, float]  # left, top, right, bottom, of the cloth
OVERLAP = 12.0
EDGE = 3.0  # of table shown around the cloth, so that its border is seen
SIDE, HEAD, FOOT = 9.0, 20.0, 26.0  # paper around the window: left and right, above, below
RING = 2.0  # radius of a ring on a seam
MOST_SHEETS = 400  # for one waxing; beyond that nobody tapes them together
WHOLE_SIDE = 15.0
_RINGS_AT = (1 / 6, 1 / 2, 5 / 6)  # along a seam


@dataclass(frozen=True, kw_only=True)
class Page:
    """A sheet of paper: its size, and the window on it in which cloth is shown (left, top, width, height)."""

    wide: float
    high: float
    window: tuple[float, float, float, float]


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """One sheet's part of the cloth.

    row, column : from 0
    box : what its window shows; core : what of it lies within its seams
    rings : x, y of the rings on its seams; beside : (side, row, column) of the sheets that join it
    """

    row: int
    column: int
    box: Box
    core: Box
    rings: tuple[tuple[float, float], ...]
    beside: tuple[tuple[str, int, int], ...]


@dataclass(frozen=True, kw_only=True)
class Sheets:
    """All sheets of a cloth, row by row."""

    page: Page
    rows: int
    columns: int
    sheets: tuple[Sheet, ...]


def share_out(width: float, height: float, *, paper: str) -> Sheets:
    """The sheets for a cloth, upright or lying, whichever takes fewer; upright when both take the same.

    errors : BatikError for a paper that isn't in `PAPERS`
    """
    PAPER.check(paper, "paper")
    wide, high = PAPERS[paper]
    pages = [_page(wide, high), _page(high, wide)]
    page = min(pages, key=lambda page: math.prod(_counts(page, width, height)))
    columns, rows = _counts(page, width, height)
    across = _spans(width, page.window[2], columns)
    down = _spans(height, page.window[3], rows)
    sheets = tuple(_sheet(row, column, across, down) for row in range(rows) for column in range(columns))
    return Sheets(page=page, rows=rows, columns=columns, sheets=sheets)


def whole_page(width: float, height: float) -> Sheets:
    """One page as large as it takes to show the whole cloth."""
    window = (WHOLE_SIDE, HEAD, width + 2 * EDGE, height + 2 * EDGE)
    wide = max(window[2], 150.0) + 2 * WHOLE_SIDE  # the check line needs its room
    page = Page(wide=wide, high=window[3] + HEAD + FOOT, window=window)
    box = (-EDGE, -EDGE, width + EDGE, height + EDGE)
    sheet = Sheet(row=0, column=0, box=box, core=box, rings=(), beside=())
    return Sheets(page=page, rows=1, columns=1, sheets=(sheet,))


def _page(wide: float, high: float) -> Page:
    return Page(wide=wide, high=high, window=(SIDE, HEAD, wide - 2 * SIDE, high - HEAD - FOOT))


def _counts(page: Page, width: float, height: float) -> tuple[int, int]:
    """Columns and rows."""
    sizes = zip((width, height), page.window[2:], strict=True)
    columns, rows = (max(1, math.ceil((size + 2 * EDGE - OVERLAP) / (room - OVERLAP) - 1e-9)) for size, room in sizes)
    return columns, rows


def _spans(size: float, room: float, count: int) -> list[tuple[float, float]]:
    """Where each window begins and ends along one side; what paper is to spare is shared between both ends."""
    stride = room - OVERLAP
    start = (size - count * stride - OVERLAP) / 2
    return [(start + place * stride, start + place * stride + room) for place in range(count)]


def _seams(place: int, spans: list[tuple[float, float]]) -> tuple[float, float]:
    """Where a sheet's own part begins and ends along one side."""
    low, high = spans[place]
    inner = low + OVERLAP / 2 if place > 0 else low
    return inner, high - OVERLAP / 2 if place < len(spans) - 1 else high


def _sheet(row: int, column: int, across: list[tuple[float, float]], down: list[tuple[float, float]]) -> Sheet:
    (left, right), (top, bottom) = across[column], down[row]
    x0, x1 = _seams(column, across)
    y0, y1 = _seams(row, down)
    rings, beside = [], []
    for side, there, seam in (
        ("left", column > 0, x0),
        ("right", column < len(across) - 1, x1),
        ("top", row > 0, y0),
        ("bottom", row < len(down) - 1, y1),
    ):
        if not there:
            continue
        upright = side in ("left", "right")
        low, high = (y0, y1) if upright else (x0, x1)
        places = [low + share * (high - low) for share in _RINGS_AT]
        rings += [(seam, place) if upright else (place, seam) for place in places]
        step = -1 if side in ("left", "top") else 1
        beside.append((side, row, column + step) if upright else (side, row + step, column))
    box = (left, top, right, bottom)
    return Sheet(row=row, column=column, box=box, core=(x0, y0, x1, y1), rings=tuple(rings), beside=tuple(beside))
