"""Shapes on the cloth: pieces, thin and thick parts, edges grown. Arrays in, new arrays out."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from batiksim.types import Bools, Ints

Labels = NDArray[np.int32]
BAND_PX = 16_000_000  # of a shape looked at together: bounds the memory


def thick(where: Bools, radius: int) -> Bools:
    """The parts of a shape that an octagon of a radius in pixels fits into: what is 2 radius or less wide goes.

    The picture's own edge is no edge of the shape. Worked out in bands with the rows beside them that matter.
    """
    rows, cols = where.shape
    beside = 2 * radius
    band = max(BAND_PX // cols, 4 * beside)
    found = np.empty_like(where)
    for first in range(0, rows, band):
        above = min(first, beside)
        some = where[first - above : first + band + beside]
        found[first : first + band] = _thick(some, radius)[above : above + band]
    return found


def _thick(where: Bools, radius: int) -> Bools:
    out = ~where
    for turn in range(radius):
        out = dilate(out, corners=turn % 2 == 1)
    out = ~out
    for turn in range(radius):
        out = dilate(out, corners=turn % 2 == 1)
    return out & where


def pieces(where: Bools, *, corners: bool = False) -> tuple[Labels, int]:
    """Number the connected pieces of a shape from 1; corners : whether touching corners connect."""
    from scipy import ndimage

    structure = np.ones((3, 3), np.bool_) if corners else None
    labels: Any = np.empty(where.shape, np.int32)
    count: Any = ndimage.label(where, structure, output=labels)
    return labels, int(count)


def piece_sizes(labels: Labels, count: int, within: Bools) -> Ints:
    """Pixels of each piece within a shape; place 0 is what belongs to none."""
    return np.bincount(labels[within], minlength=count + 1)


def boxes(labels: Labels) -> list[tuple[slice, slice]]:
    """The rows and columns that each numbered piece lies in."""
    from scipy import ndimage

    return [(box[0], box[1]) for box in ndimage.find_objects(labels)]


def dilate(where: Bools, *, corners: bool = False) -> Bools:
    """A shape and the pixels beside it; corners : also those that only touch corners."""
    across = where.copy()
    across[:, 1:] |= where[:, :-1]
    across[:, :-1] |= where[:, 1:]
    out = across.copy()
    beside = across if corners else where
    out[1:] |= beside[:-1]
    out[:-1] |= beside[1:]
    return out


def deepest(where: Bools) -> tuple[int, int, int] | None:
    """Row, column and depth (pixels to the edge) of the spot of a shape that lies farthest from its edge."""
    left = where
    if not left.any():
        return None
    depth = 0
    while True:
        padded = np.pad(left, 1)
        inner = left & padded[:-2, 1:-1] & padded[2:, 1:-1] & padded[1:-1, :-2] & padded[1:-1, 2:]
        if not inner.any():
            break
        left, depth = inner, depth + 1
    rows, cols = np.nonzero(left)
    middle = np.argmin((rows - rows.mean()) ** 2 + (cols - cols.mean()) ** 2)
    return int(rows[middle]), int(cols[middle]), depth
