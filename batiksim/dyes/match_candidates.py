"""Pots as rows of numbers, as the search of `match` keeps and compares them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields
from functools import lru_cache
from itertools import product

import numpy as np

from batiksim.types import Bools, Floats, Ints

MOST_DYES = 4  # in one pot


@dataclass(frozen=True, eq=False, kw_only=True)
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
        return PotCandidate(**{name: getattr(self, name)[rows] for name in COLUMNS})

    def put(self, rows: Ints | Bools, other: PotCandidate, which: Bools) -> None:
        """Take over some of another's in place of some of these."""
        for name in COLUMNS:
            getattr(self, name)[rows] = getattr(other, name)[which]


COLUMNS = tuple(field.name for field in fields(PotCandidate))


def sorted_pots(some: Sequence[PotCandidate]) -> PotCandidate:
    """All of them together, the nearest first; of equally near ones, the simplest."""
    joined = PotCandidate(**{name: np.concatenate([getattr(one, name) for one in some]) for name in COLUMNS})
    dyes, parts = (joined.sets >= 0).sum(axis=1), joined.parts.sum(axis=1)
    near = np.round(joined.delta_e, 6)  # the last digits differ from machine to machine
    return joined.take(np.lexsort((parts, dyes, near)))


def padded(rows: Ints, fill: int) -> Ints:
    """Rows (n, k) filled up to (n, MOST_DYES)."""
    return np.pad(rows, ((0, 0), (0, MOST_DYES - rows.shape[1])), constant_values=fill)


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
