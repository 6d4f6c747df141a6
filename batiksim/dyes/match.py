"""The pot nearest to a wanted colour: which dyes of a book, how many whole parts of each, at what strength.

Pots are counted in the tens of millions, so they are not tried one by one. For every choice of dyes a few damped
Gauss-Newton steps find the strengths that come nearest, whole parts or not; around them colour runs almost straight
with the logarithm of strength, which shows the whole parts and ladder strengths worth trying. Those are worked out
exactly, then improved part by part. Tests hold the outcome against trying every pot.
"""

import math
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import ArrayLike

from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.viewing import DAY
from batiksim.dyes.match_candidates import MOST_DYES, PotCandidate, padded, part_moves, part_ratios, sorted_pots
from batiksim.dyes.match_colours import STRENGTHS, Ground, PotColours
from batiksim.errors import BatikError
from batiksim.types import Floats, Ints, triple
from batiksim.values import Pot
from batiksim.values.rules import Number

MOST_PARTS = 20
_UP_TO_DYES = Number(low=1, high=MOST_DYES, whole=True, example=3, help="Most dyes in one pot.")
_UP_TO_PARTS = Number(low=1, high=MOST_PARTS, whole=True, example=8, help="Most parts of each dye.")
_UP_TO_POTS = Number(low=1, high=20, whole=True, example=5, help="How many pots to name.")

_STEPS = 9  # of the search for strengths
_LEAST_SHARE = 1e-3  # strengths below this are as good as none
_FIRST_SETS = 160  # choices of dyes looked at before it is known how near is near
_TRIED_RATIOS = 12  # per choice of dyes, worked out exactly
_IMPROVED_SETS = 40
_TRIPLES_FOR_FOUR = 24
_MOST_SETS = 150_000  # choices of dyes looked at; of larger books three dyes are tried only around good pairs
_MOST_LATER = 8_000  # choices that may still be nearer, worked out in whole parts; the nearest of them
_SLACK = 1.0  # CIEDE2000 by which the straight-line estimate may be off
_TRULY_OTHER = 0.25  # share of the absorption that two pots must not have in common to count as two


@dataclass(frozen=True, kw_only=True)
class Match:
    """One pot and how near it comes: its CIELAB on the cloth or ground, and CIEDE2000 from the wanted colour."""

    pot: Pot
    lab: tuple[float, float, float]
    delta_e: float


def find_pots(
    dyes: ClothDyes,
    lab: ArrayLike,
    *,
    most_dyes: int = 3,
    most_parts: int = 8,
    ground: Ground | None = None,
    light: str = DAY,
    count: int = 5,
) -> tuple[Match, ...]:
    """The nearest pot to a colour, then others that are nearest among those of truly different dyes.

    lab : (3,), D65, as the dyed cloth should dry; light : by which it should look so
    most_dyes : 1..4 in one pot; most_parts : 1..20 of each; ground : bare cloth when left out
    count : how many pots; a simpler one is among them where it comes close
    errors : BatikError for numbers out of range and for a book without dyes
    """
    most_dyes = _UP_TO_DYES.check(most_dyes, "most_dyes")
    most_parts = _UP_TO_PARTS.check(most_parts, "most_parts")
    count = _UP_TO_POTS.check(count, "count")
    if not dyes.dyes:
        raise BatikError("dyes.error.empty_book", field="dyes")
    search = PotSearch(dyes, lab, most_parts=most_parts, ground=ground, light=light)
    found = search.best_of_each_set(most_dyes)
    return search.matches(search.varied(found, count))


class PotSearch(PotColours):
    """The search for the pots nearest to one wanted colour."""

    def __init__(
        self, dyes: ClothDyes, lab: ArrayLike, *, most_parts: int, ground: Ground | None = None, light: str = DAY
    ) -> None:
        super().__init__(dyes, lab, ground=ground, light=light)
        self.most_parts = most_parts

    # --- strengths, whole parts or not -----------------------------------------------------------------------------

    def nearest_strengths(self, sets: Ints) -> tuple[Floats, Floats]:
        """Where each set of dyes (n, k) comes nearest: ln strengths (n, k) and how far off that still is (n,)."""
        low, high = math.log(_LEAST_SHARE), math.log(STRENGTHS[-1])
        u = np.full(sets.shape, math.log(0.25))
        miss, slope = self.look(u, sets)
        cost = np.einsum("nc,nc->n", miss, miss)
        damping = np.full(len(sets), 1e-2)
        diagonal = np.eye(sets.shape[1])
        for _ in range(_STEPS):
            curve = np.einsum("nic,njc->nij", slope, slope) + (damping[:, None, None] + 1e-9) * diagonal
            step = -np.linalg.solve(curve, np.einsum("nic,nc->ni", slope, miss)[..., None])[..., 0]
            tried = np.clip(u + np.clip(step, -1.5, 1.5), low, high)
            new_miss, new_slope = self.look(tried, sets)
            new_cost = np.einsum("nc,nc->n", new_miss, new_miss)
            better = new_cost < cost
            u = np.where(better[:, None], tried, u)
            miss = np.where(better[:, None], new_miss, miss)
            slope = np.where(better[:, None, None], new_slope, slope)
            cost = np.where(better, new_cost, cost)
            damping = np.where(better, damping * 0.2, damping * 8.0)
        return u, np.sqrt(cost)

    # --- whole parts -----------------------------------------------------------------------------------------------

    def best_of_each_set(self, most_dyes: int) -> PotCandidate:
        """The best pot of every promising choice of dyes, the nearest first."""
        none = np.zeros((0, MOST_DYES), np.int64)
        found = PotCandidate(sets=none, parts=none, strength=none[:, 0], delta_e=np.zeros(0))
        for k in range(1, min(most_dyes, len(self.names), 3) + 1):
            if math.comb(len(self.names), k) <= _MOST_SETS:
                sets = np.array(list(combinations(range(len(self.names)), k)), dtype=np.int64)
            else:
                sets = self.one_dye_more(found, k, _MOST_SETS // len(self.names))
            found = self.searched(sets, found)
        if most_dyes == 4 and len(self.names) >= 4:
            found = self.searched(self.one_dye_more(found, 4, _TRIPLES_FOR_FOUR), found)
        places = np.arange(len(found.delta_e))
        top, rest = found.take(places < _IMPROVED_SETS), found.take(places >= _IMPROVED_SETS)
        return sorted_pots([self.improved(top), rest])

    def one_dye_more(self, found: PotCandidate, k: int, best: int) -> Ints:
        """Sets of k dyes (n, k): the best so many of one dye fewer, each with every other dye."""
        fewer = found.sets[(found.sets >= 0).sum(axis=1) == k - 1][:best, : k - 1]
        more = {tuple(sorted((*one, d))) for one in fewer.tolist() for d in range(len(self.names)) if d not in one}
        return np.array(sorted(more), dtype=np.int64).reshape(-1, k)

    def searched(self, sets: Ints, found: PotCandidate) -> PotCandidate:
        """Sets of dyes of one size (n, k) looked through, added to what is found already."""
        u, reach = self.nearest_strengths(sets)
        order = np.argsort(reach, kind="stable")
        first, later = order[:_FIRST_SETS], order[_FIRST_SETS:]
        found = sorted_pots([found, self.whole_parts(sets[first], u[first])])
        worst = found.delta_e[min(len(found.delta_e), _IMPROVED_SETS) - 1]
        later = later[reach[later] <= min(worst, 2 * found.delta_e[0] + 2.0) + _SLACK][:_MOST_LATER]
        return sorted_pots([found, self.whole_parts(sets[later], u[later])]) if len(later) else found

    def whole_parts(self, sets: Ints, u: Floats) -> PotCandidate:
        """The best whole parts for sets (n, k), sought around ln strengths `u` (n, k), then around what was found."""
        least = 1.0 / (1 + self.most_parts * (sets.shape[1] - 1))  # no part of a pot is smaller
        u = np.maximum(u, np.log(least * np.exp(u).sum(axis=1, keepdims=True)))
        found = self.estimated(sets, u)
        shares = found.parts[:, : sets.shape[1]] / found.parts.sum(axis=1, keepdims=True)
        again = self.estimated(sets, np.log(np.array(STRENGTHS)[found.strength][:, None] * shares))
        nearer = again.delta_e < found.delta_e
        found.put(nearer, again, nearer)
        return found

    def estimated(self, sets: Ints, u: Floats) -> PotCandidate:
        """The best of the pots that a straight line from ln strengths `u` says are nearest, one for each set."""
        miss, slope = self.look(u, sets)
        ratios = part_ratios(sets.shape[1], self.most_parts)
        logs = np.log(ratios / ratios.sum(axis=1, keepdims=True))
        across = logs @ slope + (miss - np.einsum("nk,nkc->nc", u, slope))[:, None]
        along = slope.sum(axis=1)[..., None]
        size = np.maximum((along**2).sum(axis=1), 1e-12)
        ladder = np.log(STRENGTHS)
        ideal = -(across @ along)[..., 0] / size
        low = np.clip(np.searchsorted(ladder, ideal) - 1, 0, len(ladder) - 2)
        rung = low + (2 * ideal > ladder[low] + ladder[low + 1])
        # what is missed is the distance across, plus what the ladder's nearest rung leaves along
        left = np.einsum("nrc,nrc->nr", across, across) + size * ((ladder[rung] - ideal) ** 2 - ideal**2)
        tried = min(_TRIED_RATIOS, len(ratios))
        best = np.argpartition(left, tried - 1, axis=1)[:, :tried]
        rungs = np.take_along_axis(rung, best, axis=1)
        return self.best_of_rows(np.repeat(sets, tried, axis=0), ratios[best.ravel()], rungs.ravel(), tried)

    def best_of_rows(self, sets: Ints, parts: Ints, strength: Ints, run: int) -> PotCandidate:
        """Of every `run` pots in a row (they share one set), the nearest."""
        sets, parts = padded(sets, -1), padded(parts, 0)
        delta_e = delta_e_2000(self.labs(sets, parts, strength), self.lab)
        best = np.argmin(delta_e.reshape(-1, run), axis=1) + np.arange(0, len(sets), run)
        return PotCandidate(sets=sets[best], parts=parts[best], strength=strength[best], delta_e=delta_e[best])

    def improved(self, found: PotCandidate) -> PotCandidate:
        """Every pot changed by a part or a rung of the ladder as long as that brings it nearer."""
        busy = np.arange(len(found.delta_e))
        for _ in range(8):
            pots = found.take(busy)
            scale = np.maximum(self.most_parts // pots.parts.max(axis=1), 1)
            moves = part_moves(int((pots.sets >= 0).sum(axis=1).max()) if len(busy) else 1)
            parts = pots.parts[:, None] * scale[:, None, None] + moves[:, :4]
            parts = np.where(pots.sets[:, None] >= 0, np.clip(parts, 1, self.most_parts), 0)
            strength = np.clip(pots.strength[:, None] + moves[:, 4], 0, len(STRENGTHS) - 1)
            run = len(moves)
            better = self.best_of_rows(np.repeat(pots.sets, run, axis=0), parts.reshape(-1, 4), strength.ravel(), run)
            gain = better.delta_e < pots.delta_e - 1e-9
            if not np.any(gain):
                break
            busy = busy[gain]
            found.put(busy, better, gain)
        return found

    # --- what to show ----------------------------------------------------------------------------------------------

    def varied(self, found: PotCandidate, count: int) -> PotCandidate:
        """The nearest pot, then the nearest that truly differ from those before; a simpler one if it comes close."""
        works = self.absorption(found)
        chosen: list[int] = []
        for at in range(len(found.delta_e)):
            if all(1.0 - np.minimum(works[at], works[one]).sum() >= _TRULY_OTHER for one in chosen):
                chosen.append(at)
            if len(chosen) == count:
                break
        size = (found.sets >= 0).sum(axis=1)
        simple = np.flatnonzero((size < size[chosen].min()) & (found.delta_e <= found.delta_e[0] + 3.0))
        if len(simple) and count > 1:
            chosen = sorted([*chosen[: count - 1], int(simple[0])])
        return found.take(np.array(chosen, dtype=np.int64))

    def absorption(self, found: PotCandidate) -> Floats:
        """The share of each dye in what a pot absorbs (n, dyes); none in a pot that adds nothing to its ground."""
        shares = found.parts / found.parts.sum(axis=1, keepdims=True)
        loads, _ = self.loads(np.array(STRENGTHS)[found.strength][:, None] * shares, found.sets)
        works = np.zeros((len(loads), len(self.names) + 1))
        np.put_along_axis(works, found.sets, loads, axis=1)
        works = works[:, :-1] * self.unit_ks.sum(axis=1)
        whole = works.sum(axis=1, keepdims=True)
        return np.asarray(np.divide(works, whole, out=np.zeros_like(works), where=whole > 0))

    def matches(self, found: PotCandidate) -> tuple[Match, ...]:
        """Found pots as values, parts without a common factor, the largest first."""
        labs = self.labs(found.sets, found.parts, found.strength)
        pots = zip(found.sets.tolist(), found.parts.tolist(), found.strength.tolist(), strict=True)
        return tuple(
            Match(pot=self.pot(*pot), lab=triple(lab), delta_e=float(delta_e))
            for pot, lab, delta_e in zip(pots, labs, found.delta_e, strict=True)
        )

    def pot(self, numbers: list[int], parts: list[int], strength: int) -> Pot:
        """One pot, named by what is in it."""
        common = math.gcd(*parts)
        mix = sorted(
            ((part // common, self.names[d]) for part, d in zip(parts, numbers, strict=True) if d >= 0), reverse=True
        )
        name = " + ".join(f"{part} {dye}" if len(mix) > 1 else dye for part, dye in mix)
        return Pot(name=name[:200], parts={dye: float(part) for part, dye in mix}, strength=STRENGTHS[strength])
