"""Masks and sets of operations as arrays: reduced, multiplied, packed into bits. Arrays in, new arrays out."""

import numpy as np

from batiksim.types import Bools, Bytes


def area_mean(mask: Bytes, factor: int) -> Bytes:
    """A mask (rows, cols) reduced by a whole number; a last row or column that isn't whole repeats its edge."""
    if factor == 1:
        return mask
    rows, cols = mask.shape
    short = (-rows % factor, -cols % factor)
    if any(short):
        mask = np.pad(mask, ((0, short[0]), (0, short[1])), mode="edge")
    total = np.zeros((mask.shape[0] // factor, mask.shape[1] // factor), np.uint16 if factor <= 16 else np.uint32)
    for row in range(factor):
        for col in range(factor):
            total += mask[row::factor, col::factor]
    return np.asarray(total // factor**2, np.uint8)


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
