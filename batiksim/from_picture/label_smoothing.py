"""Grain calmed: spots that a brush or camera left between two colours nearly alike go with their neighbours."""

from __future__ import annotations

import numpy as np

from batiksim.from_picture.quantise import Colours
from batiksim.types import Bools, Bytes, Singles

__all__ = ["calmed"]


PULL = 0.8  # CIEDE2000 that a pixel gives up to be like one more of those about it (set by eye)
ROUNDS = 10
REACH = 2  # pixels about a pixel that count
AROUND = tuple((down, right) for down in range(5) for right in range(5) if (down, right) != (REACH, REACH))
NEXT = tuple(place for place, (down, right) in enumerate(AROUND) if max(abs(down - REACH), abs(right - REACH)) == 1)


def calmed(labels: Bytes, colours: Colours, loss: Singles) -> Bytes:
    """Labels (rows, cols) with pixels changed to a neighbour's label where that costs less than standing alone.

    loss : (colours, labels), CIEDE2000. A fine line stays: its colour is far from those beside it.

    Each round takes one of two sets of pixels, like the fields of a chessboard, so that neighbours don't swap.
    """
    out = np.pad(labels, REACH, mode="edge")
    inner = out[REACH:-REACH, REACH:-REACH]
    busy = _mixed(out)
    for turn in range(ROUNDS):
        rows, cols = np.nonzero(busy)
        mine = (rows + cols) % 2 == turn % 2
        rows, cols = rows[mine], cols[mine]
        if not len(rows):
            break
        around = np.stack([out[rows + down, cols + right] for down, right in AROUND])
        number, here = colours.number[rows, cols], inner[rows, cols]
        best, best_cost = here, loss[number, here] - PULL * (around == here).sum(axis=0)
        for one in around[list(NEXT)]:
            cost = loss[number, one] - PULL * (around == one).sum(axis=0)
            better = cost < best_cost - 1e-3
            best, best_cost = np.where(better, one, best), np.where(better, cost, best_cost)
        inner[rows, cols] = best
    return inner.copy()


def _mixed(padded: Bytes) -> Bools:
    """Which pixels have a neighbour unlike themselves."""
    rows, cols = padded.shape[0] - 2 * REACH, padded.shape[1] - 2 * REACH
    inner = padded[REACH:-REACH, REACH:-REACH]
    found = np.zeros(inner.shape, np.bool_)
    for down, right in AROUND:
        found |= padded[down : down + rows, right : right + cols] != inner
    return found
