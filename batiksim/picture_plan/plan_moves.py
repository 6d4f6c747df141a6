"""Plans changed a little: a pot more, a dye stronger, a dyeing less."""

from collections import Counter
from collections.abc import Callable

import numpy as np

from batiksim.cloth.loads import STRONGEST_POT, WEAKEST_POT
from batiksim.picture_plan.palette import Bath, Plan, all_ways

Numbered = tuple[tuple[int, ...], ...]
"""A plan by the numbers of its baths."""
Shape = tuple[int, ...]
"""How many pots each dyeing has."""

MOST_WAYS = 64


def grown_shapes(plan: Numbered, steps: int, pots: int) -> list[tuple[Numbered, int]]:
    """Plans with a place for one more bath, and that place's number among all."""
    grown: list[tuple[Numbered, int]] = []
    for at in range(len(plan) + 1):
        before = sum(map(len, plan[:at]))
        if len(plan) < steps:
            grown.append(((*plan[:at], (0,), *plan[at:]), before))
        if at < len(plan) and len(plan[at]) < pots:
            grown.append(((*plan[:at], (*plan[at], 0), *plan[at + 1 :]), before + len(plan[at])))
    return [(plan, place) for plan, place in grown if len(all_ways(tuple(map(len, plan)))) <= MOST_WAYS]


def shaped(shape: Shape, slots: list[int]) -> Numbered:
    """A plan of a shape, the pots of each dyeing in the order of their numbers."""
    ends = np.cumsum(shape).tolist()
    return tuple(tuple(sorted(slots[end - pots : end])) for pots, end in zip(shape, ends, strict=True))


def swapped(plan: Plan, at: int, pot: int, bath: Bath) -> Plan:
    """A plan with another bath in place of one pot."""
    dyeing = (*plan[at][:pot], bath, *plan[at][pot + 1 :])
    return (*plan[:at], dyeing, *plan[at + 1 :])


def every_dye(plan: Plan) -> list[tuple[int, int, int]]:
    """Each dye of a plan: its dyeing, pot, and place in the pot."""
    return [
        (at, pot, dye) for at, dyeing in enumerate(plan) for pot, bath in enumerate(dyeing) for dye in range(len(bath))
    ]


def fewer(plan: Plan) -> list[Plan]:
    """Plans with one dyeing, one pot or one dye less."""
    less = [(*plan[:at], *plan[at + 1 :]) for at in range(len(plan))]
    for at, dyeing in enumerate(plan):
        if len(dyeing) > 1:
            less += [(*plan[:at], (*dyeing[:pot], *dyeing[pot + 1 :]), *plan[at + 1 :]) for pot in range(len(dyeing))]
        for pot, bath in enumerate(dyeing):
            if len(bath) > 1:
                less += [swapped(plan, at, pot, stronger((part,), 0, 1.0)) for part in bath]
    return less


def stronger(bath: Bath, dye: int, factor: float) -> Bath:
    """A bath with one dye scaled, kept within what is sensible."""
    whole = sum(full for _, full in bath)
    name, full = bath[dye]
    most = STRONGEST_POT - (whole - full)
    return (*bath[:dye], (name, min(max(full * factor, WEAKEST_POT), max(most, WEAKEST_POT))), *bath[dye + 1 :])


def first_alike(plans: list[Numbered], most: int, kind: Callable[[Numbered], object]) -> list[Numbered]:
    """So many of the first plans of each kind: none crowds out the others."""
    count: Counter[object] = Counter()
    kept = []
    for plan, own in zip(plans, map(kind, plans), strict=True):
        count[own] += 1
        if count[own] <= most:
            kept.append(plan)
    return kept


def of_each_size(plans: list[Numbered], most: int) -> list[Numbered]:
    """So many of the first plans of each number of dyeings and of pots."""
    return first_alike(plans, most, lambda plan: (len(plan), sum(map(len, plan))))
