"""All the orders that a question has, as arrays, and how many there are before they are listed."""

from itertools import chain, permutations
from math import comb, factorial, perm

import numpy as np

from batiksim.ordering.shades import Choices


def count_orders(own: tuple[int, ...]) -> int:
    """In how many ways pots (numbers, some perhaps twice) can be dealt out to as many slots."""
    ways = factorial(len(own))
    for pot in set(own):
        ways //= factorial(own.count(pot))
    return ways


def list_orders(own: tuple[int, ...]) -> Choices:
    """All of these ways, (orders, slots), the given one first."""
    rest = sorted(set(permutations(own)) - {own})
    return np.array([own, *rest], dtype=np.int64)


def count_choices(pots: int, slots: int, different: int) -> int:
    """In how many ways `slots` can be given exactly so many different pots out of `pots`."""
    return perm(pots, different) * _groupings(slots, different)


def _groupings(slots: int, groups: int) -> int:
    """In how many ways slots fall into so many groups, none empty (Stirling numbers of the second kind)."""
    signed: int = sum((1 - 2 * (k % 2)) * comb(groups, k) * (groups - k) ** slots for k in range(groups + 1))
    return signed // factorial(groups)


def list_choices(pots: int, slots: int, different: int) -> Choices:
    """All of these ways, (orders, slots), each once."""
    sequences = chain.from_iterable(permutations(range(pots), different))
    picked = np.fromiter(sequences, np.int64).reshape(-1, different)
    parts = [picked[:, groups] for groups in _group_of_slots(slots, different)]
    return np.concatenate(parts)


def _group_of_slots(slots: int, groups: int) -> list[list[int]]:
    """Every way to group slots: the group of each, groups numbered as they first appear."""
    found: list[list[int]] = [[]]
    for _ in range(slots):
        found = [[*one, group] for one in found for group in range(min(max(one, default=-1) + 2, groups))]
    return [one for one in found if max(one) == groups - 1]
