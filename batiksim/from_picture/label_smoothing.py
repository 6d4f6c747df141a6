"""Grain smooth_labels: spots that a brush or camera left between two colours nearly alike go with their neighbours."""

import numpy as np

from batiksim.from_picture.quantise import Colours
from batiksim.types import Bytes, Singles

PULL = 0.8  # CIEDE2000 that a pixel gives up to be like one more of those about it (set by eye)
ROUNDS = 10
REACH = 2  # pixels about a pixel that count
AROUND = tuple((down, right) for down in range(5) for right in range(5) if (down, right) != (REACH, REACH))
NEXT = tuple(place for place, (down, right) in enumerate(AROUND) if max(abs(down - REACH), abs(right - REACH)) == 1)


def smooth_labels(labels: Bytes, colours: Colours, loss: Singles) -> Bytes:
    """Labels (rows, cols) with pixels changed to a neighbour's label where that costs less than standing alone.

    loss : (colours, labels), CIEDE2000. A fine line stays: its colour is far from those beside it.

    Each round takes one of two sets of pixels, like the fields of a chessboard, so that neighbours don't swap.
    """
    from scipy import ndimage  # slow to import

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
