"""Which dyes, in which order and how strong, so that a picture's colours can be reached by waxing before each dyeing.

A plan costs what the picture's colours lose when each becomes the nearest that some way through the plan gives, and a
little for labour: each dyeing, each pot beside another, the wax that keeps such pots apart. Plans grow by one pot at a
time: a dyeing of its own put in at any place, or a pot beside those of a dyeing. The best are then bettered by
exchanging any pot for any other, pots of two dyes are tried, and last the strengths are tuned by CIEDE2000. All of it
is counted, none of it is chance.
"""

from collections.abc import Callable, Iterable, Sequence
from functools import lru_cache
from itertools import combinations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.cloth.loads import STRONGEST_POT, WEAKEST_POT
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.spaces import lab_to_xyz, xyz_to_oklab
from batiksim.picture_plan.palette import Bath, Plan, all_ways, offered, palette, plan_xyz
from batiksim.picture_plan.plan_moves import (
    Numbered,
    Shape,
    every_dye,
    fewer,
    first_alike,
    grown_shapes,
    of_each_size,
    shaped,
    stronger,
    swapped,
)
from batiksim.picture_plan.quantise import TargetColours
from batiksim.types import Bools, Bytes, Floats, Ints, Singles

# Strengths looked through first; tuned afterwards. Assumption: what is easily told apart on cloth.
LADDER = (0.1, 0.14, 0.2, 0.28, 0.4, 0.55, 0.75, 1.0, 1.4)
FINE_LADDER = tuple(float(strength) for strength in np.geomspace(WEAKEST_POT, STRONGEST_POT, 48).round(4))
MIX_LADDER = (0.12, 0.25, 0.5, 1.0)  # of pots of two dyes
SHARES = (0.15, 0.4, 0.65, 0.85)  # of the second dye in a pot of two
BEAM = 14  # plans kept while growing
ALIKE = 2  # of them with the same dyes in the same places
FINALISTS = 10
POOL = 60  # plans of differing dyes whose strengths are fitted
TUNED_BY, FINE = (0.8, 0.9, 0.95, 1.05, 1.1, 1.25), (0.97, 0.985, 1.015, 1.03)
BEND = 1.25  # power of a colour's loss: large losses weigh more than their share (set by eye)
PER_MIX = 0.15  # CIEDE2000 that a pot of two dyes has to gain over a pot of one
PER_DYEING = 0.2  # the same, for a dyeing
PER_PARTING = 40.0  # the same, for the whole cloth under wax that only keeps two pots apart (set by eye)
PER_POT = 0.4  # the same, for a pot beside another: it has to be brushed on by hand
IDLE = 0.03  # CIEDE2000; a dye or dyeing that gains less is left out
NEAR = 1.0  # CIEDE2000; a simpler plan further off than this is not tuned

LEAST_SHARE = 2e-3  # of the picture; smaller colours don't steer the search
LEAST_PART = 1e-3  # of the colours alike; smaller parts of them don't either
ALIKE_COLOURS = 8.0  # CIEDE2000 up to which colours count as one
EVEN = 0.6  # power of a colour's area: a small bright spot matters more than its area (set by eye)


def single_baths(dyes: ClothDyes, strengths: Sequence[float]) -> list[Bath]:
    """Baths of each dye alone, at these strengths."""
    return [((name, strength),) for name in dyes.dyes for strength in strengths]


def mixed_baths(dyes: ClothDyes) -> list[Bath]:
    """Baths of every two dyes."""
    return [
        ((first, strength * (1 - share)), (second, strength * share))
        for first, second in combinations(dyes.dyes, 2)
        for strength in MIX_LADDER
        for share in SHARES
    ]


def search_plan(
    dyes: ClothDyes,
    target: TargetColours,
    *,
    steps: int,
    pots: int = 1,
    tell: Callable[[int, int], None] = lambda done, whole: None,
) -> Plan:
    """The dyeings that serve a picture best, in order; fewer than `steps` where one more would change nothing.

    dyes : those to choose from; steps : 1..6 dyeings; pots : most pots side by side in one
    tell : called with (done, whole) now and then
    """
    search = _Search(dyes, main_colours(target))
    whole = steps * pots + 4
    plans: list[Numbered] = [()]
    pool: list[Numbered] = []
    for grown in range(steps * pots):
        tell(grown, whole)
        grown_plans = search.grown(plans, steps, pots)
        plans = search.differing(search.improved(grown_plans[:BEAM], rounds=1), ALIKE)
        gained = search.gain(plans, pool)
        pool += [*plans, *grown_plans]
        if not plans or (grown >= steps and gained < IDLE):
            break
    tell(steps * pots, whole)
    pool = search.finer(of_each_size(search.differing(search.ranked(pool), 1), POOL // 5)[: 2 * POOL])
    best = of_each_size(search.ranked([search.exchanged(plan, 2, alone=True) for plan in pool]), 1)[:FINALISTS]
    tell(steps * pots + 1, whole)
    best = search.ranked([*best, *search.improved(best, rounds=2)])
    search.mix()
    best = search.ranked([*best, *search.improved(of_each_size(best, 1)[:FINALISTS], rounds=2)])
    tell(steps * pots + 2, whole)
    tuned = [search.tuned(search.named(plan)) for plan in search.differing(best, 1)[: FINALISTS // 2]]
    tell(steps * pots + 3, whole)
    return search.simpler(min(tuned, key=lambda costed: costed[0])[1])


def main_colours(colours: TargetColours) -> TargetColours:
    """The colours that steer the search: less those that next to nothing has, small ones counting above their area."""
    order = np.argsort(-colours.share, kind="stable")
    lead = np.arange(len(order))
    for place, colour in enumerate(order):
        heavier = order[:place][lead[order[:place]] == order[:place]]
        if len(heavier):
            apart = delta_e_2000(colours.lab[colour], colours.lab[heavier])
            lead[colour] = heavier[apart.argmin()] if apart.min() < ALIKE_COLOURS else colour
    area = np.bincount(lead, colours.share, len(order))[lead]
    kept = (area >= min(LEAST_SHARE, float(area.max()))) & (colours.share >= LEAST_PART * area)
    weight = (colours.share * area ** (EVEN - 1))[kept]
    pairs = kept[colours.beside].all(axis=1)
    beside = (np.cumsum(kept) - 1)[colours.beside[pairs]]
    return TargetColours(
        lab=colours.lab[kept], share=weight / weight.sum(), beside=beside, parting=colours.parting[pairs]
    )


def _eye(xyz: ArrayLike) -> Singles:
    """OKLab with its hues counting twice and white at 100: distances in it run near CIEDE2000, and are quick."""
    return np.asarray(xyz_to_oklab(xyz) * (100.0, 200.0, 200.0), dtype=np.float32)


def _labour(shape: Shape) -> float:
    return PER_POT * (sum(shape) - len(shape)) + PER_DYEING * len(shape)


@lru_cache(maxsize=64)
def _meeting(shape: Shape) -> Bools:
    """Which ways (ways, ways) must be kept apart: at some dyeing they take pots that differ, both being open."""
    ways = all_ways(shape)
    return np.array([[any(a != b for a, b in zip(first, second, strict=False)) for second in ways] for first in ways])


class _Search:
    """One picture's colours and every bath that may serve them."""

    def __init__(self, dyes: ClothDyes, target: TargetColours) -> None:
        self.dyes = dyes
        self.target = target
        self.eye = _eye(lab_to_xyz(target.lab))
        self.share = target.share.astype(np.float32)
        self._offer(single_baths(dyes, LADDER))

    def _offer(self, baths: list[Bath]) -> None:
        self.baths = baths
        self.ks, self.load = offered(self.dyes, self.baths)
        self.extra = np.array([PER_MIX * (len(bath) - 1) for bath in self.baths])

    def mix(self) -> None:
        """Let pots of two dyes be chosen too."""
        self._offer(self.baths + mixed_baths(self.dyes))

    def finer(self, plans: list[Numbered]) -> list[Numbered]:
        """Take up finer strengths of single dyes; gives the plans with the nearest of them."""
        before = self.baths
        self._offer(single_baths(self.dyes, FINE_LADDER))
        steps = np.log(FINE_LADDER)
        near = [
            place // len(LADDER) * len(steps) + int(np.abs(steps - np.log(bath[0][1])).argmin())
            for place, bath in enumerate(before)
        ]
        return [tuple(tuple(near[bath] for bath in dyeing) for dyeing in plan) for plan in plans]

    def _strengths(self, bath: int) -> Ints:
        """Numbers of the baths of the same dye, all of `FINE_LADDER`."""
        first = bath // len(FINE_LADDER) * len(FINE_LADDER)
        return np.arange(first, first + len(FINE_LADDER))

    def gain(self, plans: list[Numbered], before: list[Numbered]) -> float:
        """By how much the best of some plans is better than the best before."""
        if not plans or not before:
            return np.inf
        return float(self.costs(before).min() - self.costs(plans).min())

    def named(self, plan: Numbered) -> Plan:
        """A numbered plan as baths."""
        return tuple(tuple(self.baths[bath] for bath in dyeing) for dyeing in plan)

    def costs(self, plans: Iterable[Numbered]) -> Floats:
        """What plans lose, about CIEDE2000."""
        return np.array([
            self._costs(tuple(map(len, plan)), np.array([[bath for dyeing in plan for bath in dyeing]], np.int64))[0]
            for plan in plans
        ])  # fmt: skip

    def _costs(self, shape: Shape, slots: Ints) -> Floats:
        """What plans of one shape lose: slots (n, pots), the numbers of their baths."""
        cost = np.full(len(slots), _labour(shape))
        size = np.einsum("nc,nc->n", self.eye, self.eye)
        at_once = max(64, 12_000 // len(all_ways(shape)))
        for first in range(0, len(slots), at_once):
            part = slots[first : first + at_once]
            shown = _eye(plan_xyz(self.dyes, shape, self.ks[part], self.load[part]))
            apart = np.full((len(part), len(self.eye)), np.inf, np.float32)
            way = np.zeros(apart.shape, np.uint8)
            for at in range(shown.shape[1]):
                colour = shown[:, at]
                squared = size - 2 * (colour @ self.eye.T) + np.einsum("nc,nc->n", colour, colour)[:, None]
                way[squared < apart] = at
                np.minimum(apart, squared, out=apart)
            if max(shape, default=1) > 1:
                cost[first : first + at_once] += self._parting(shape, way)
            loss = np.maximum(apart, 0) ** (BEND / 2) @ self.share
            cost[first : first + at_once] += loss ** (1 / BEND) + self.extra[part].sum(axis=1)
        return cost

    def _parting(self, shape: Shape, way: NDArray[np.intp] | Bytes) -> Floats:
        """What it costs (plans,) to keep pots apart where colours take these ways (plans, colours)."""
        first, second = self.target.beside.T
        return PER_PARTING * (_meeting(shape)[way[:, first], way[:, second]] @ self.target.parting)

    def grown(self, plans: list[Numbered], steps: int, pots: int) -> list[Numbered]:
        """The best plans with any bath put in: as a dyeing at any place, or beside the pots of one."""
        options = np.arange(len(self.baths))
        tried: list[tuple[float, Numbered]] = []
        for plan in plans:
            for grown, place in grown_shapes(plan, steps, pots):
                shape = tuple(map(len, grown))
                slots = np.tile([bath for dyeing in grown for bath in dyeing], (len(options), 1))
                slots[:, place] = options
                costs = self._costs(shape, slots)
                for best in np.argsort(costs, kind="stable")[:BEAM]:
                    tried.append((float(costs[best]), shaped(shape, slots[best].tolist())))
        kept: dict[Numbered, float] = {}
        for cost, plan in sorted(tried):
            kept.setdefault(plan, cost)
        return self.differing(list(kept), ALIKE)[: POOL // 2]

    def improved(self, plans: list[Numbered], *, rounds: int = 6) -> list[Numbered]:
        """Plans with baths exchanged for any other, while that helps, the best first."""
        return self.ranked([self.exchanged(plan, rounds) for plan in plans])

    def exchanged(self, plan: Numbered, rounds: int, *, alone: bool = False) -> Numbered:
        """A plan with baths exchanged for any other while that helps; alone : only for other strengths of the dye."""
        shape, options = tuple(map(len, plan)), np.arange(len(self.baths))
        slots = np.array([bath for dyeing in plan for bath in dyeing], np.int64)
        cost = float(self._costs(shape, slots[None])[0])
        for _ in range(rounds):
            before = cost
            for place in range(len(slots)):
                if alone:
                    options = self._strengths(int(slots[place]))
                tried = np.tile(slots, (len(options), 1))
                tried[:, place] = options
                costs = self._costs(shape, tried)
                if costs.min() < cost - 1e-6:
                    cost, slots = float(costs.min()), tried[costs.argmin()]
            if cost > before - 0.01:
                break
        return shaped(shape, slots.tolist())

    def differing(self, plans: list[Numbered], alike: int) -> list[Numbered]:
        """Plans of the same dyes in the same places no more than so many times each, in the order given."""
        dyes = [tuple(name for name, _ in bath) for bath in self.baths]
        return first_alike(plans, alike, lambda plan: tuple(tuple(dyes[bath] for bath in dyeing) for dyeing in plan))

    def ranked(self, plans: list[Numbered]) -> list[Numbered]:
        """Plans once each, the best first."""
        once = list(dict.fromkeys(plans))
        return [once[place] for place in np.argsort(self.costs(once), kind="stable")]

    # --- by CIEDE2000 ----------------------------------------------------------------------------------------------

    def exact(self, plan: Plan) -> float:
        """What a plan loses: CIEDE2000, bent as in the search, with a little for what makes it laborious."""
        shape = tuple(map(len, plan))
        loss = delta_e_2000(self.target.lab[:, None], palette(self.dyes, plan))
        apart = loss.min(axis=1)
        mixes = sum(len(bath) - 1 for dyeing in plan for bath in dyeing)
        labour = PER_MIX * mixes + _labour(shape) + float(self._parting(shape, loss.argmin(axis=1)[None])[0])
        return float((apart**BEND @ self.target.share) ** (1 / BEND)) + labour

    def tuned(self, plan: Plan) -> tuple[float, Plan]:
        """A plan's cost, and the plan with each dye made stronger or weaker while that helps, in measurable amounts."""
        cost, factors = self.exact(plan), list(TUNED_BY)
        for _ in range(8):
            before = cost
            for at, pot, dye in every_dye(plan):
                for factor in factors:
                    tried = swapped(plan, at, pot, stronger(plan[at][pot], dye, factor))
                    if (tried_cost := self.exact(tried)) < cost:
                        cost, plan = tried_cost, tried
            if cost > before - 1e-3:
                if factors == list(FINE):
                    break
                factors = list(FINE)
        rounded = tuple(
            tuple(tuple((dye, float(f"{full:.2g}")) for dye, full in bath) for bath in dyeing) for dyeing in plan
        )  # to two figures: 0.047, 0.62, 1.3
        return self.exact(rounded), rounded

    def simpler(self, plan: Plan) -> Plan:
        """A plan less the dyes, pots and dyeings that change nothing worth seeing."""
        while True:
            cost = self.exact(plan)
            tried = [self.tuned(less) for less in fewer(plan) if less and self.exact(less) < cost + NEAR]
            best = min(tried, key=lambda costed: costed[0], default=(np.inf, plan))
            if best[0] > cost + IDLE:
                return plan
            plan = best[1]
