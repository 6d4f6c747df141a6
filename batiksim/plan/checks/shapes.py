"""Shapes on the cloth, measured: distances, pieces, what touches what. Arrays in, new arrays out."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from typing import Any

import numpy as np
from numpy.typing import NDArray

from batiksim.cloth.engine import default_threads

__all__ = ["boxes", "capped_distance", "fits", "grown_by_one", "piece_sizes", "pieces"]

Bools = NDArray[np.bool_]
Labels = NDArray[np.int32]
TILE_PX = 512


def capped_distance(where: Bools, cap_px: float) -> NDArray[np.float32]:
    """Distance of each pixel of a shape to the nearest pixel outside it, exact up to a cap; 0 outside.

    The picture's own edge is no edge of the shape. Worked tile by tile, so that empty cloth costs nothing.
    """
    from scipy import ndimage

    halo = int(np.ceil(cap_px)) + 1
    rows, cols = where.shape
    out = np.zeros(where.shape, np.float32)

    def one(at: tuple[int, int]) -> None:
        row, col = at
        top, left = max(0, row - halo), max(0, col - halo)
        part = where[top : row + TILE_PX + halo, left : col + TILE_PX + halo]
        target = out[row : row + TILE_PX, col : col + TILE_PX]
        if part.all():
            target[...] = cap_px
        elif part.any():
            far = ndimage.distance_transform_edt(part)
            inner = far[row - top : row - top + target.shape[0], col - left : col - left + target.shape[1]]
            np.minimum(inner, cap_px, out=target, casting="same_kind")

    tiles = [(row, col) for row in range(0, rows, TILE_PX) for col in range(0, cols, TILE_PX)]
    with ThreadPoolExecutor(default_threads()) as pool:
        list(pool.map(one, tiles))
    return out


def fits(where: Bools, width_px: float, *, far: NDArray[np.float32] | None = None) -> Bools:
    """The parts of a shape that a disc of a given width fits into (opening by a disc).

    far : the shape's `capped_distance` with a cap of at least width_px / 2 + 1, where it is known
    """
    reach = (width_px + 1) / 2  # a shape n pixels wide has its middle at most (n + 1) / 2 from the outside
    if far is None:
        far = capped_distance(where, reach + 1)
    cores = far > reach
    return where & (capped_distance(~cores, reach + 1) <= reach) if cores.any() else np.zeros_like(where)


def pieces(where: Bools, *, corners: bool = False) -> tuple[Labels, int]:
    """Number the connected pieces of a shape from 1; corners : whether touching corners connect."""
    from scipy import ndimage

    structure = np.ones((3, 3), np.bool_) if corners else None
    labels: Any = np.empty(where.shape, np.int32)
    count: Any = ndimage.label(where, structure, output=labels)
    return labels, int(count)


def piece_sizes(labels: Labels, count: int) -> NDArray[np.int64]:
    """Pixels of each piece; place 0 is what belongs to none."""
    return np.bincount(labels.ravel(), minlength=count + 1)


def boxes(labels: Labels) -> list[tuple[slice, slice]]:
    """The rows and columns that each numbered piece lies in."""
    from scipy import ndimage

    return [(box[0], box[1]) for box in ndimage.find_objects(labels)]


def grown_by_one(where: Bools) -> Bools:
    """A shape and the pixels beside it."""
    out = where.copy()
    out[1:] |= where[:-1]
    out[:-1] |= where[1:]
    out[:, 1:] |= where[:, :-1]
    out[:, :-1] |= where[:, 1:]
    return out
