"""Outlines of what is waxed, in mm of cloth: closed rings, hatching for what is filled, and what lies in a part of it.

Arrays only: x and y from the cloth's top left corner. A spot counts as waxed from half cover on.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from batiksim.cloth.compiling import compiled_function
from batiksim.types import Bools, Bytes, Floats

__all__ = ["Box", "Ring", "cut", "hatching", "mirrored", "outlines", "simplified", "wide_parts"]

Ring = Floats
Box = tuple[float, float, float, float]  # left, top, right, bottom

WITHIN_MM = 0.05  # less than a pencil's line by far
HALF = 127.5
BAND_PX = 16_000_000  # looked at together: bounds the memory
GRID_MM = 1.0  # on which widths are looked at
MOST_CELLS = 1_500_000
SHORTEST_MM = 0.8  # hatching shorter than this is left out


def outlines(mask: Bytes, *, width_mm: float, within_mm: float = WITHIN_MM) -> tuple[Ring, ...]:
    """Where a mask passes half cover, at sub-pixel.

    mask : uint8 (rows, cols), 255 = fully marked; what runs off the picture is closed along its border
    width_mm : real width of the cloth; within_mm : how far the rings may leave the true outline
    returns : closed rings, float64 (points, 2) of x, y in mm, the first point again at the end
    """
    pixel_mm = width_mm / mask.shape[1]
    # a padded picture's pixel (row, col) has its middle at (col - 0.5, row - 0.5) pixels from the corner
    return simplified([(ring[:, ::-1] - 0.5) * pixel_mm for ring in _contours(mask)], within_mm=within_mm)


def _contours(mask: Bytes) -> list[Floats]:
    """Closed rings (points, 2) of row, column in the mask padded by a pixel, found in bands that share a row."""
    from skimage.measure import find_contours  # slow to import; takes eight bytes for a pixel

    rows, cols = mask.shape
    band = max(2, BAND_PX // (cols + 2))
    closed: list[Floats] = []
    ends: list[Floats] = []  # of rings that run on in another band
    for first in range(0, rows + 1, band):
        last = min(first + band, rows + 1)  # rows first..last of the padded mask
        rows_of_band = mask[max(0, first - 1) : last]
        part = np.pad(rows_of_band, ((int(first == 0), int(last == rows + 1)), (1, 1)))
        for piece in find_contours(part, HALF):
            piece[:, 0] += first
            (closed if np.array_equal(piece[0], piece[-1]) else ends).append(piece)
    return closed + _joined_rings(ends)


def _joined_rings(pieces: Sequence[Floats]) -> list[Floats]:
    """Rings of pieces, each of which begins where another ends, at the same spot of a shared row."""
    begin = {(piece[0, 0], piece[0, 1]): piece for piece in pieces}
    rings = []
    while begin:
        spot, piece = begin.popitem()
        ring = [piece]
        while (end := (piece[-1, 0], piece[-1, 1])) != spot:
            piece = begin.pop(end)
            ring.append(piece[1:])
        rings.append(np.concatenate(ring))
    return rings


def simplified(rings: Sequence[Ring], *, within_mm: float) -> tuple[Ring, ...]:
    """Rings with as few points as stay within a distance of the old ones; rings smaller than that are gone."""
    fewer = []
    for ring in rings:
        points = np.ascontiguousarray(ring, dtype=np.float64)
        if np.ptp(points, axis=0).max() > within_mm:
            fewer.append(points[_kept(points, within_mm)])
    return tuple(fewer)


@compiled_function()
def _kept(points, within):  # type: ignore[no-untyped-def]
    """Which points of a closed ring (points, 2) stay: those further than `within` from what the others draw."""
    count = len(points)
    kept = np.zeros(count, np.bool_)
    kept[0] = kept[count - 1] = True
    far = 0
    for at in range(1, count - 1):  # a ring needs a second point that stays: the one furthest from the first
        if _apart(points, at, 0, 0) > _apart(points, far, 0, 0):
            far = at
    kept[far] = True
    stack = [(0, far), (far, count - 1)]
    while len(stack) > 0:
        first, last = stack.pop()
        worst, place = within * within, -1
        for at in range(first + 1, last):
            apart = _apart(points, at, first, last)
            if apart > worst:
                worst, place = apart, at
        if place >= 0:
            kept[place] = True
            stack.append((first, place))
            stack.append((place, last))
    return kept


@compiled_function()
def _apart(points, at, first, last):  # type: ignore[no-untyped-def]
    """Squared distance of a point from the stretch between two others."""
    x, y = points[at, 0] - points[first, 0], points[at, 1] - points[first, 1]
    dx, dy = points[last, 0] - points[first, 0], points[last, 1] - points[first, 1]
    length = dx * dx + dy * dy
    if length > 0.0:
        share = min(1.0, max(0.0, (x * dx + y * dy) / length))
        x, y = x - share * dx, y - share * dy
    return x * x + y * y


def mirrored(lines: Sequence[Floats], *, width_mm: float) -> tuple[Floats, ...]:
    """Lines (points, 2) as seen from the cloth's back: left and right changed."""
    return tuple(line * [-1.0, 1.0] + [width_mm, 0.0] for line in lines)


def cut(lines: Sequence[Floats], box: Box) -> list[Floats]:
    """What of lines may show in a box: unbroken runs of whole stretches, none of their points moved.

    lines : (points, 2) each; box : left, top, right, bottom
    A stretch between two points is there when the rectangle around it touches the box, so the runs of boxes that
    cover the cloth are together all of the lines.
    """
    if not lines:
        return []
    points = np.concatenate(lines)
    low, high = np.minimum(points[1:], points[:-1]), np.maximum(points[1:], points[:-1])
    touches = np.all((high >= box[:2]) & (low <= box[2:]), axis=1)
    touches[np.cumsum([len(line) for line in lines])[:-1] - 1] = False  # from one line to the next
    index = np.flatnonzero(touches)
    if not len(index):
        return []
    runs = np.split(index, np.flatnonzero(np.diff(index) > 1) + 1)
    return [points[run[0] : run[-1] + 2] for run in runs]


def wide_parts(mask: Bytes, *, width_mm: float, wider_mm: float) -> tuple[Bools, float]:
    """Where what is marked is wider than a tool's line.

    returns : bool (grid rows, grid cols), its edges a cell beyond the marked parts; and the size of a cell in mm
    """
    from scipy.ndimage import distance_transform_edt  # slow to import

    px_per_mm = mask.shape[1] / width_mm
    block = max(1, round(GRID_MM * px_per_mm), int(np.ceil(np.sqrt(mask.size / MOST_CELLS))))
    marked = mask[block // 2 :: block, block // 2 :: block] > HALF
    cell = block / px_per_mm
    padded = np.pad(marked, 1, mode="edge")  # it may go on beyond the border
    if padded.all():
        return np.ones(marked.shape, np.bool_), cell
    core = distance_transform_edt(padded) * cell >= wider_mm / 2
    if not core.any():
        return np.zeros(marked.shape, np.bool_), cell
    return distance_transform_edt(~core)[1:-1, 1:-1] * cell <= wider_mm / 2 + cell, cell


def hatching(rings: Sequence[Ring], wide: Bools, *, cell_mm: float, every_mm: float) -> list[Floats]:
    """Slanting lines through what rings enclose, where it is wide.

    rings : closed, (points, 2); a ring within a ring is a hole
    wide, cell_mm : from `wide_parts`; every_mm : from one line to the next
    returns : lines (2, 2) of x, y, their ends on the rings
    """
    if not rings:
        return []
    line, start, end = _crossings(rings, every_mm)
    line, start, end = _where_wide(line, start, end, wide, cell_mm=cell_mm, every_mm=every_mm)
    ends = np.stack([_place(line, start, every_mm), _place(line, end, every_mm)], axis=1)
    return list(ends[end - start >= SHORTEST_MM])


def _place(line: Floats, along: Floats, every_mm: float) -> Floats:
    """Places (n, 2) on slanting lines: x + y tells the line, x - y how far along."""
    across = line * every_mm
    return np.asarray(np.stack([across + along, across - along], axis=-1) / np.sqrt(2))


def _crossings(rings: Sequence[Ring], every_mm: float) -> tuple[Floats, Floats, Floats]:
    """Stretches of slanting lines inside rings, by the even-odd rule: number of the line, start and end along it."""
    sides = np.concatenate([np.stack([ring[:-1], ring[1:]]) for ring in rings], axis=1)  # (2, sides, 2)
    across, along = sides.sum(axis=2), sides[..., 0] - sides[..., 1]
    across, along = across / np.sqrt(2) / every_mm, along / np.sqrt(2)
    # half-open, so that a corner on a line is counted once
    first, last = np.ceil(across.min(axis=0)).astype(np.int64), np.ceil(across.max(axis=0)).astype(np.int64)
    times = last - first
    side = np.repeat(np.arange(len(times)), times)
    number = first[side] + np.arange(len(side)) - np.repeat(np.cumsum(times) - times, times)
    share = (number - across[0, side]) / (across[1, side] - across[0, side])
    place = along[0, side] + share * (along[1, side] - along[0, side])
    order = np.lexsort((place, number))
    return number[order][::2].astype(np.float64), place[order][::2], place[order][1::2]


def _where_wide(
    line: Floats, start: Floats, end: Floats, wide: Bools, *, cell_mm: float, every_mm: float
) -> tuple[Floats, Floats, Floats]:
    """The parts of stretches where it is wide, looked at every half cell."""
    pieces = np.maximum(1, np.ceil((end - start) / (cell_mm / 2))).astype(np.int64)
    owner = np.repeat(np.arange(len(pieces)), pieces)
    number = np.arange(len(owner)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    step = ((end - start) / pieces)[owner]
    spots = _place(line[owner], start[owner] + (number + 0.5) * step, every_mm)
    cells = np.clip((spots / cell_mm).astype(np.int64), 0, [wide.shape[1] - 1, wide.shape[0] - 1])
    there = wide[cells[:, 1], cells[:, 0]]
    fresh = np.flatnonzero(there & ~np.concatenate([[False], there[:-1] & (owner[1:] == owner[:-1])]))
    over = np.flatnonzero(there & ~np.concatenate([there[1:] & (owner[1:] == owner[:-1]), [False]]))
    begins = start[owner[fresh]] + number[fresh] * step[fresh]
    ends = start[owner[over]] + (number[over] + 1) * step[over]
    return line[owner[fresh]], begins, ends
