"""Strengths tuned: each pot of an order thinned or strengthened as long as that makes the order better."""

from dataclasses import replace
from itertools import combinations

import numpy as np

from batiksim.cloth.loads import STRONGEST_POT, WEAKEST_POT
from batiksim.ordering.score import Scorer
from batiksim.ordering.search import OrderCandidate, candidates
from batiksim.types import Ints
from batiksim.values import Pot

FACTORS = (1.0, 0.25, 0.35, 0.5, 0.6, 0.7, 0.8, 0.9, 1.15, 1.3, 1.5)  # of the pot's own strength, which comes first
WORTH = 0.5  # points that a change must bring; assumption
MOST_ROUNDS = 12
FINE_BELOW = 0.075  # strengths from here on are tried to a twentieth


def tuned(scorer: Scorer, found: OrderCandidate) -> tuple[OrderCandidate, Scorer]:
    """An order with its strengths tuned, and the scorer of its pots: `choice` of the order counts them.

    One or two pots are changed at a time, each time in the best way there is, until nothing gains.
    """
    pots = [scorer.palette.pots[number] for number in dict.fromkeys(found.choice)]
    grid = [strengths_to_try(pot) for pot in pots]
    many = scorer.with_pots([replace(p, strength=s) for p, g in zip(pots, grid, strict=True) for s in g])
    starts = np.cumsum([0, *(len(one) for one in grid)])[:-1]
    owner = [list(dict.fromkeys(found.choice)).index(number) for number in found.choice]
    now = np.zeros(len(pots), np.int64)
    points = found.points
    for _ in range(MOST_ROUNDS):
        tries = np.array(_changes(now, [len(one) for one in grid]), np.int64).reshape(-1, len(pots))
        choices = (starts + tries)[:, owner]
        sums = many.whole(found.layout, choices, many.quick(found.layout, choices, {})[1]).points
        best = int(np.argmin(sums))
        if sums[best] > points - WORTH / 4:
            break
        now, points = tries[best], float(sums[best])
    if points > found.points - WORTH:
        now = np.zeros_like(now)
    own = [replace(pot, strength=grid[place][now[place]]) for place, pot in enumerate(pots)]
    last, choice = scorer.with_pots(own), np.array([owner])
    (order,) = candidates(last, found.layout, choice, last.quick(found.layout, choice, {})[1])
    return order, last


def strengths_to_try(pot: Pot) -> list[float]:
    """The strengths to try, to a twentieth, weak ones to a hundredth, the pot's own first."""
    own = pot.strength
    tried = dict.fromkeys(_measurable(own * factor) for factor in FACTORS[1:])
    return [own, *(one for one in tried if one != own and WEAKEST_POT <= one <= max(own, STRONGEST_POT))]


def _measurable(strength: float) -> float:
    return round(20 * strength) / 20 if strength >= FINE_BELOW else round(100 * strength) / 100


def _changes(now: Ints, counts: list[int]) -> list[Ints]:
    """One pot changed in every way, or two."""
    found = []
    for changed in [(place,) for place in range(len(now))] + list(combinations(range(len(now)), 2)):
        grid = np.indices([counts[place] for place in changed]).reshape(len(changed), -1)
        rows = np.repeat(now[None], grid.shape[1], axis=0)
        rows[:, list(changed)] = grid.T
        found += list(rows)
    return found
