"""Grain and the rims of soft edges given to the shapes beside them: labels of pixels made clean."""

import numpy as np
from numpy.typing import NDArray

from batiksim.colour.spaces import lab_to_xyz, xyz_to_lab
from batiksim.picture_plan.quantise import Colours
from batiksim.types import Bools, Bytes, Floats, Singles

Places = NDArray[np.intp]

UNKNOWN = 255
MIXED = 10.0  # CIELAB distance within which a colour counts as a mixture of its neighbours' (assumption)
ACROSS = ((0, 1), (1, 0), (1, 1), (1, -1))
BESIDE = ((-1, 0), (1, 0), (0, -1), (0, 1))
PULL = 0.8  # CIEDE2000 that a pixel gives up to be like one more of those about it (set by eye)
ROUNDS = 10
REACH = 2  # pixels about a pixel that count
AROUND = tuple((down, right) for down in range(5) for right in range(5) if (down, right) != (REACH, REACH))
NEXT = tuple(place for place, (down, right) in enumerate(AROUND) if max(abs(down - REACH), abs(right - REACH)) == 1)


def smooth_labels(labels: Bytes, colours: Colours, loss: Singles) -> Bytes:
    """Labels (rows, cols) without grain: a pixel takes a neighbour's label where that costs less than standing alone.

    loss : (colours, labels), CIEDE2000. A fine line stays: its colour is far from those beside it.

    Each round takes one of two sets of pixels, like the fields of a chessboard, so that neighbours don't swap.
    """
    from scipy import ndimage

    out = np.pad(labels, REACH, mode="edge")
    inner = out[REACH:-REACH, REACH:-REACH]
    size = 2 * REACH + 1
    busy = ndimage.maximum_filter(labels, size, mode="nearest") != ndimage.minimum_filter(labels, size, mode="nearest")
    for turn in range(ROUNDS):
        rows, cols = np.nonzero(busy)
        mine = (rows + cols) % 2 == turn % 2
        rows, cols = rows[mine], cols[mine]
        if not len(rows):
            break
        around = np.stack([out[rows + down, cols + right] for down, right in AROUND])
        number, here = colours.number[rows, cols], inner[rows, cols]
        best, best_cost = here, loss[number, here] - PULL * (around == here).sum(axis=0)
        for label in around[list(NEXT)]:
            cost = loss[number, label] - PULL * (around == label).sum(axis=0)
            better = cost < best_cost - 1e-3
            best, best_cost = np.where(better, label, best), np.where(better, cost, best_cost)
        inner[rows, cols] = best
    return inner.copy()


def reassign_edge_labels(labels: Bytes, colours: Colours, loss: Singles, *, narrow_px: int) -> Bytes:
    """Labels of shapes without the rims of their soft edges.

    labels : uint8 (rows, cols), below 255; loss : (colours, labels), how badly each label suits each colour
    narrow_px : bands up to this wide are looked at

    A pixel of a narrow band is rim where its colour is a mixture of what lies on either side of the band, and the two
    sides are of different labels. A line is no such mixture, and stays.
    """
    reach = narrow_px // 2
    rows, cols = np.nonzero(_narrow(labels, reach))
    if not len(rows):
        return labels
    rim = _mixtures(labels, colours, rows, cols, narrow_px + 1)
    return _with_neighbours_labels(labels, colours, loss, rows[rim], cols[rim])


def _narrow(labels: Bytes, reach: int) -> Bools:
    """Pixels of shapes too narrow for a square of 2 reach + 1 pixels."""
    from scipy import ndimage

    narrow = np.zeros(labels.shape, np.bool_)
    size = 2 * reach + 1
    for label in np.unique(labels):
        shape = (labels == label).view(np.uint8)
        narrow |= shape > ndimage.grey_opening(shape, (size, size), mode="nearest")
    return narrow


def _mixtures(labels: Bytes, colours: Colours, rows: Places, cols: Places, far: int) -> Bools:
    """Which of these pixels show a mixture of two differing shapes, one on either side of them."""
    xyz = lab_to_xyz(colours.lab)
    padded = np.pad(labels, far, mode="edge")
    numbers = np.pad(colours.number, far, mode="edge")
    mixed = np.zeros(len(rows), np.bool_)
    for down, right in ACROSS:
        left = np.flatnonzero(~mixed)
        ahead = rows[left] + far + far * down, cols[left] + far + far * right
        behind = rows[left] + far - far * down, cols[left] + far - far * right
        differ = padded[ahead] != padded[behind]
        left = left[differ]
        here = colours.number[rows[left], cols[left]]
        start, end = (numbers[side[0][differ], side[1][differ]] for side in (ahead, behind))
        by_light = xyz_to_lab(_nearest_mixture(xyz[here], xyz[start], xyz[end]))
        by_eye = _nearest_mixture(colours.lab[here], colours.lab[start], colours.lab[end])
        for mixture in (by_light, by_eye):
            mixed[left[((mixture - colours.lab[here]) ** 2).sum(axis=1) < MIXED**2]] = True
    return mixed


def _nearest_mixture(here: Floats, start: Floats, end: Floats) -> Floats:
    """What between two colours (n, 3) is nearest to a third."""
    way = end - start
    share = np.clip(((here - start) * way).sum(axis=1) / np.maximum((way**2).sum(axis=1), 1e-9), 0, 1)
    return np.asarray(start + share[:, None] * way)


def _with_neighbours_labels(labels: Bytes, colours: Colours, loss: Singles, rows: Places, cols: Places) -> Bytes:
    """Labels with these pixels given, from their edge inwards, to the neighbour that suits each best."""
    out = np.pad(labels, 1, constant_values=UNKNOWN)
    out[rows + 1, cols + 1] = UNKNOWN
    while len(rows):
        around = np.stack([out[rows + down + 1, cols + right + 1] for down, right in BESIDE])
        known = (around != UNKNOWN).any(axis=0)
        if not known.any():
            break
        around, here = around[:, known], colours.number[rows[known], cols[known]]
        there = around != UNKNOWN
        cost = np.where(there, loss[here, np.where(there, around, 0)], np.inf)
        out[rows[known] + 1, cols[known] + 1] = around[cost.argmin(axis=0), np.arange(around.shape[1])]
        rows, cols = rows[~known], cols[~known]
    inner = out[1:-1, 1:-1]
    return np.where(inner == UNKNOWN, labels, inner)
