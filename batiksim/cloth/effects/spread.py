"""Brushed dye creeps through open fibre: to the wax edge, around corners, through gaps, and no further than its reach.

Distances are the shortest ways through open fibre. Dye gets weaker towards the end of its reach. Pots that meet with no
wax between them share the cloth along the line where both arrive at once, and mingle across it.
"""

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from itertools import product
from math import ceil

import numpy as np

from batiksim.cloth.effects import geodesic
from batiksim.cloth.effects.mingling import mingle
from batiksim.types import Bools, Bytes, Singles

REACH_MM = 3.0  # thin dye creeps 1-5 mm past the brush into dry open cloth: assumption, the middle of it
MINGLE = 0.25  # width of a front (standard deviation) as a share of the smaller reach: assumption
OPEN = 128  # fibre with more than half of its area open lets dye pass, as in `rules.Cover.sealed`
TILE_PX, MOST_TILE_PX = 768, 1536  # the sides of tiles, at least and at most
TILE_HALOS = 14  # times as wide as the halo round them that is worked out twice: the same extra work at any scale
LEAST = 6  # of 255: less isn't paint but the off-white of a picture


def fade(share: Singles) -> Singles:
    """The strength left after a share 0..1 of the reach: 1 at the brush, nothing at the end. Assumption."""
    left: Singles = np.clip(1.0 - share * share, 0.0, 1.0).astype(np.float32)
    return left


def _begin(levels: Bytes, reach_px: float) -> Singles:
    """What each place begins with: fully painted 0; paler paint as far along as if it had crept to that strength."""
    table = np.full(256, geodesic.FAR, np.float32)
    shares = np.arange(LEAST, 255) / 255.0
    table[LEAST:255] = 0.5 + reach_px * np.sqrt(1.0 - shares)
    table[255] = 0.0
    begin: Singles = table[levels]
    # a soft pixel between a full one and an empty one is the edge of a stroke: its paint ends within the pixel
    soft = (levels >= LEAST) & (levels < 255)
    if soft.any():
        edge = soft & (_around(levels, np.maximum) == 255) & (_around(levels, np.minimum) < LEAST)
        begin[edge] = np.minimum(begin[edge], 1.0 - levels[edge] / np.float32(255.0))
    return begin


def _around(levels: Bytes, choose: np.ufunc) -> Bytes:
    """The largest or smallest level of a pixel and its eight neighbours."""
    tall = levels.copy()
    choose(tall[1:], levels[:-1], out=tall[1:])
    choose(tall[:-1], levels[1:], out=tall[:-1])
    found = tall.copy()
    choose(found[:, 1:], tall[:, :-1], out=found[:, 1:])
    choose(found[:, :-1], tall[:, 1:], out=found[:, :-1])
    return found


def distance_through(painted: Bytes, opened: Bools, reach_px: float) -> Singles:
    """How far dye creeps from the edge of the paint to each place, in pixels, along open fibre.

    painted : uint8 (rows, cols), 255 = fully painted; opened : bool (rows, cols)
    returns : float32 (rows, cols), 0 where painted; inf beyond the reach and on wax
    """
    far = geodesic.creep_distance(_begin(painted, reach_px), opened, reach_px + 0.5)
    far[far >= geodesic.FAR] = np.inf
    lengths: Singles = np.maximum(far - np.float32(0.5), np.float32(0.0))
    return lengths


def _spans(length: int, side: int, halo: int) -> list[tuple[slice, slice, slice]]:
    """A side of the cloth in pieces: each, the wider piece that decides what happens there, and its place in that."""
    spans = []
    for first in range(0, length, side):
        last, start = min(first + side, length), max(0, first - halo)
        spans.append((slice(first, last), slice(start, min(last + halo, length)), slice(first - start, last - start)))
    return spans


def _tiles(shape: tuple[int, ...], halo: int) -> list[tuple[tuple[slice, slice, slice], ...]]:
    """The cloth in pieces, each as the `_spans` of its rows and of its columns."""
    side = max(TILE_PX, min(TILE_HALOS * halo, MOST_TILE_PX))
    return list(product(*(_spans(length, side, halo) for length in shape)))


def spread(
    paints: Sequence[Bytes], closed: Bytes | None, *, reach_mm: Sequence[float], px_per_mm: float, threads: int = 1
) -> list[Bytes]:
    """Paint masks as the dye comes to lie: crept through open fibre, mingled where pots meet.

    paints : uint8 (rows, cols) each, the pots of one dyeing that creep; 255 = brushed on at full strength
    closed : uint8 (rows, cols), the share of each pixel that wax seals; None = no wax
    reach_mm : how far each pot creeps
    px_per_mm : pixels in a millimetre of cloth
    returns : uint8 (rows, cols) each; nothing changes on wax
    """
    reaches = [reach * px_per_mm for reach in reach_mm]
    front = MINGLE * min(reaches) if len(paints) > 1 else 0.0
    tiles = _tiles(paints[0].shape, ceil(max(reaches) + 4.0 * front) + 2)
    results = [paint.copy() for paint in paints]

    def work(tile: tuple[tuple[slice, slice, slice], ...]) -> None:
        here, seen, inner = zip(*tile, strict=True)
        some = [paint[seen] for paint in paints]
        if not any(one.max(initial=0) >= LEAST for one in some):
            return
        opened = np.ones(some[0].shape, np.bool_) if closed is None else closed[seen] < OPEN
        loads = _crept(some, opened, reaches)
        if front >= 0.5:
            mingle(loads, opened, front, ceil(3.0 * front))
        for result, load in zip(results, loads, strict=True):
            crept = np.rint(load[inner] * np.float32(255.0)).astype(np.uint8)
            np.copyto(result[here], crept, where=opened[inner])

    with ThreadPoolExecutor(max(1, threads)) as pool:
        list(pool.map(work, tiles))
    return results


def _crept(paints: Sequence[Bytes], opened: Bools, reaches: Sequence[float]) -> Singles:
    """Loads float32 (pots, rows, cols): what is brushed on, and what creeps to where no other pot came first."""
    far = [distance_through(paint, opened, reach) for paint, reach in zip(paints, reaches, strict=True)]
    loads = np.empty((len(paints), *opened.shape), np.float32)
    for number, (paint, reach) in enumerate(zip(paints, reaches, strict=True)):
        crept = fade(far[number] / np.float32(reach))
        for other in range(len(paints)):
            if other != number:
                crept[far[other] <= far[number] if other < number else far[other] < far[number]] = 0.0
        loads[number] = np.maximum(crept, paint / np.float32(255.0))
    return loads
