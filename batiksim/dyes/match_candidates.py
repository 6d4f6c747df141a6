"""Pots as rows of numbers, as the search of `match` keeps and compares them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product

import numpy as np

from batiksim.types import Bools, Floats, Ints

MOST_DYES = 4  # in one pot


@dataclass(frozen=True, kw_only=True)
class PotCandidate:
    """The best pots found, one for each choice of dyes, the nearest first.

    sets : (n, 4) dye numbers, -1 where fewer; parts (n, 4); strength (n,) as a place on the ladder; delta_e (n,)
    """

    sets: Ints
    parts: Ints
    strength: Ints
    delta_e: Floats

    def take(self, rows: Ints | Bools) -> PotCandidate:
        """Some of them."""
        return PotCandidate(
            sets=self.sets[rows], parts=self.parts[rows], strength=self.strength[rows], delta_e=self.delta_e[rows]
        )


def no_pots() -> PotCandidate:
    """None found yet."""
    none = np.zeros((0, MOST_DYES), np.int64)
    return PotCandidate(sets=none, parts=none, strength=np.zeros(0, np.int64), delta_e=np.zeros(0))


def sorted_pots(some: Sequence[PotCandidate]) -> PotCandidate:
    """All of them together, the nearest first; of equally near ones, the simplest."""
    joined = PotCandidate(
        sets=np.concatenate([one.sets for one in some]),
        parts=np.concatenate([one.parts for one in some]),
        strength=np.concatenate([one.strength for one in some]),
        delta_e=np.concatenate([one.delta_e for one in some]),
    )
    dyes, parts = (joined.sets >= 0).sum(axis=1), joined.parts.sum(axis=1)
    near = np.round(joined.delta_e, 6)  # the last digits differ from machine to machine
    return joined.take(np.lexsort((parts, dyes, near)))


def padded(rows: Ints, fill: int) -> Ints:
    """Rows (n, k) filled up to (n, MOST_DYES)."""
    short = MOST_DYES - rows.shape[1]
    return np.pad(rows, ((0, 0), (0, short)), constant_values=fill) if short else rows


@lru_cache(maxsize=32)
def part_ratios(count: int, most: int) -> Ints:
    """All whole parts 1..most of some dyes (ratios, count) without a common factor."""
    rows = [row for row in product(range(1, most + 1), repeat=count) if math.gcd(*row) == 1]
    return np.array(rows, dtype=np.int64)


@lru_cache(maxsize=8)
def part_moves(count: int) -> Ints:
    """One part more or less of each of some dyes (the rest stay), a rung up or down (moves, 5)."""
    ways = [(-1, 0, 1)] * count + [(0,)] * (MOST_DYES - count) + [(-1, 0, 1)]
    return np.array(list(product(*ways)), dtype=np.int64)
