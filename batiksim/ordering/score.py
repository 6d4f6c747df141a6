"""What an order is worth: one table of weights, and the sum of what speaks against it, in points.

A point is one CIEDE2000 that the wanted colours are off on average. Less is better; 0 would be perfect. Two sums are
taken: a quick one, area by area, which never exceeds the whole one, and the whole one for orders near the best.
"""

from collections.abc import Mapping, Sequence
from copy import copy
from dataclasses import dataclass

import numpy as np

from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.dyes.mud import DEFAULT_RULE
from batiksim.ordering.areas import Partition
from batiksim.ordering.contrast import LOST, Border, blurred, told_apart
from batiksim.ordering.course import Course, Layout
from batiksim.ordering.shades import Choices, Palette, Pattern, ShadeLookup, Shades, pattern_of
from batiksim.ordering.wishes import Target
from batiksim.types import Bools, Bytes, Floats
from batiksim.values import Pot

Picks = Bytes
"""(orders, areas): in re-derived masks, the place of the dyeing before which wax closes each area."""

LEAST_EDGE = 0.002  # of all touching edges, below which two areas don't count as neighbours
TIE = 1e-6
AREA_PARTS = ("wants", "rest", "mud", "dull", "lost")


@dataclass(frozen=True, kw_only=True)
class Weights:
    """Points for each thing that a maker minds. All are assumptions, set by eye on the samples.

    wants : for each CIEDE2000 that wanted colours are off, on average
    bend : a miss of d counts d + d * d / bend: one bad miss is worse than two small ones
    rest : in re-derived masks, for each CIEDE2000 that areas nobody named move from the design, by share of the cloth
    mud, dull : for a cloth that is all mud; for one that is all brown, olive or grey for other reasons
    lost : for each full strength that finds no room in the fibre, on average over the cloth
    vanished : for each shape that the design as it stands tells from its neighbours and that now looks like them
    reads, apart : for a cloth whose touching areas are all of one colour; from `apart` (CIEDE2000) on they read
    rise, steady : for each L* by which a dyeing is paler than the one before, above `steady`
    pots : for each pot to be mixed
    idle : for each pot that reaches nothing
    """

    wants: float = 1.0
    bend: float = 40.0
    rest: float = 0.5
    mud: float = 60.0
    dull: float = 15.0
    lost: float = 8.0
    vanished: float = 20.0
    reads: float = 25.0
    apart: float = 12.0
    rise: float = 0.15
    steady: float = 3.0
    pots: float = 1.0
    idle: float = 4.0


DEFAULT_WEIGHTS = Weights()


@dataclass(frozen=True, eq=False, kw_only=True)
class Whole:
    """Some orders in full. labs : (orders, areas, 3); points : (orders,); parts : the same by what they are for."""

    labs: Floats
    points: Floats
    parts: Mapping[str, Floats]


@dataclass(frozen=True, eq=False, kw_only=True)
class AsItStands:
    """The design as it stands, whose shapes are to stay. labs : (areas, 3) CIELAB; muddy : (areas,) which are mud."""

    labs: Floats
    muddy: Bools


class Scorer:
    """Scores orders of one design's cloth.

    planned : None when the design as it stands is what is scored
    derive : whether wax masks are re-derived: every area may be closed before any dyeing, and takes what is best there
    """

    def __init__(
        self,
        course: Course,
        areas: Partition,
        palette: Palette,
        targets: Sequence[Target],
        *,
        planned: AsItStands | None = None,
        derive: bool = False,
        weights: Weights = DEFAULT_WEIGHTS,
    ) -> None:
        self.course, self.areas, self.palette, self.weights = course, areas, palette, weights
        self.targets = tuple(targets)
        self.planned = planned.labs if planned is not None and derive else None
        self.stages = areas.opened[:, course.dyeings].sum(axis=1).tolist()
        whole = sum(target.want.weight for target in targets) or 1.0
        self._asked = [(target.lab, weights.wants * target.want.weight / whole * target.part) for target in targets]
        wanted = np.full((areas.count, 3), np.nan)
        self.named = np.zeros(areas.count, np.bool_)
        most = np.zeros(areas.count)
        for lab, part in self._asked:
            wanted[part > most] = lab
            most = np.maximum(most, part)
            self.named |= part > 0
        self._goal = wanted if self.planned is None else np.where(np.isnan(wanted), self.planned, wanted)
        self.borders: tuple[Border, ...] = (
            () if planned is None else told_apart(areas, planned.labs, wanted, planned.muddy)
        )

    def with_pots(self, pots: Sequence[Pot]) -> "Scorer":
        """The same for other pots, of the same dyes."""
        other = copy(self)
        other.palette = Palette(self.palette.dyes, pots)
        return other

    def options(self, layout: Layout, area: int) -> tuple[Pattern, ...]:
        """The patterns that an area may have: one, or one for each place before which it may be closed."""
        if self.planned is None:
            return (pattern_of(self.course, layout, self.areas, area),)
        places = range(self.course.places + 1)
        return tuple(pattern_of(self.course, layout, self.areas, area, closed_at=place) for place in places)

    # The quick sum

    def quick(self, layout: Layout, choices: Choices, known: dict[Pattern, ShadeLookup]) -> tuple[Floats, Picks | None]:
        """Quick sums of some orders, (orders,), and their picks; None where wax stays as planned.

        known : patterns already looked up for these same choices, added to
        """
        sums: dict[Pattern, Floats] = {}
        points = self._sequence_points(layout, choices).sum(axis=0)
        picks: Picks | None = None
        if self.planned is not None:
            picks = np.zeros((len(choices), self.areas.count), np.uint8)
        for area in range(self.areas.count):
            options = self.options(layout, area)
            for pattern in options:
                if pattern not in known:
                    known[pattern] = self.palette.look_up(pattern, choices)
            costs = [self._area_parts(area, known[pattern].shades).sum(axis=0) for pattern in options]
            if picks is None:
                sums[options[0]] = sums.get(options[0], 0.0) + costs[0]
            else:
                table = np.stack([cost[known[pattern].at] for cost, pattern in zip(costs, options, strict=True)])
                table[self.stages[area]] -= TIE  # where nothing else decides, wax stays when it was planned
                picks[:, area] = table.argmin(axis=0)
                points += table.min(axis=0)
        for pattern, total in sums.items():
            points += total[known[pattern].at]
        return points, picks

    def _area_parts(self, area: int, shades: Shades) -> Floats:
        """Points of one area's shades, (parts of `AREA_PARTS`, shades)."""
        weights, share = self.weights, self.areas.shares[area]
        wants, rest = np.zeros((2, len(shades.lab)))
        pardoned = np.zeros(len(shades.lab), np.bool_)
        for lab, part in self._asked:
            if part[area] > 0:
                off = delta_e_2000(lab, shades.lab)
                wants += part[area] * (off + off * off / weights.bend)
                pardoned |= off <= DEFAULT_RULE.pardon
        if self.planned is not None and not self.named[area]:
            rest = weights.rest * share * delta_e_2000(self._goal[area], shades.lab)
        mud = weights.mud * share * (shades.mud & ~pardoned)
        dull = weights.dull * share * (shades.dull & ~shades.mud & ~pardoned)
        return np.stack([wants, rest, mud, dull, weights.lost * share * shades.lost])

    def _sequence_points(self, layout: Layout, choices: Choices) -> Floats:
        """Points of a sequence of pots whatever it dyes: for rises in lightness, for the number of pots, (2, n)."""
        light = self.palette.alone[:, 0]
        means = [light[choices[:, list(self.course.baths[bath])]].mean(axis=1) for bath in layout]
        rises = np.maximum(np.diff(np.stack(means), axis=0) - self.weights.steady, 0.0).sum(axis=0)
        ordered = np.sort(choices, axis=1)
        pots = 1 + (np.diff(ordered, axis=1) > 0).sum(axis=1)
        return np.stack([self.weights.rise * rises, self.weights.pots * pots])

    # The whole sum

    def whole(self, layout: Layout, choices: Choices, picks: Picks | None) -> Whole:
        """Some orders in full. picks : as `quick` found them."""
        count = len(choices)
        labs = np.empty((count, self.areas.count, 3))
        by_area = np.zeros((len(AREA_PARTS), count))
        reach = np.zeros((count, len(self.course.slots)), np.bool_)
        for area in range(self.areas.count):
            for place, pattern in enumerate(self.options(layout, area)):
                rows = np.arange(count) if picks is None else np.flatnonzero(picks[:, area] == place)
                if not len(rows):
                    continue
                found = self.palette.look_up(pattern, choices[rows])
                labs[rows, area] = found.shades.lab[found.at]
                by_area[:, rows] += self._area_parts(area, found.shades)[:, found.at]
                reach[np.ix_(rows, np.array([slot for slot, _ in pattern if slot >= 0], np.intp))] = True
        order, pots = self._sequence_points(layout, choices)
        parts = dict(zip(AREA_PARTS, by_area, strict=True)) | {
            "vanished": self.weights.vanished * blurred(self.borders, labs, apart=LOST),
            "reads": self.weights.reads * blurred(self.neighbours(layout), labs, apart=self.weights.apart),
            "order": order,
            "pots": pots,
            "idle": self.weights.idle * (~reach).sum(axis=1),
        }
        return Whole(labs=labs, points=sum(parts.values(), np.zeros(count)), parts=parts)

    def mud(self, layout: Layout, choice: Choices) -> Bools:
        """Which areas are mud in one order with kept masks, but for those that have the colour wanted there, (areas,).

        choice : (1, slots)
        """
        found = np.zeros(self.areas.count, np.bool_)
        for area in range(self.areas.count):
            shades = self.palette.look_up(self.options(layout, area)[0], choice).shades
            found[area] = self._area_parts(area, shades)[AREA_PARTS.index("mud"), 0] > 0
        return found

    def neighbours(self, layout: Layout) -> list[Border]:
        """Areas that touch and are meant to differ, by their part of all touching edges."""
        pairs = np.argwhere(np.triu(self.areas.edges) >= LEAST_EDGE).tolist()
        alike = delta_e_2000(self._goal[:, None], self._goal[None]) < self.weights.apart  # nan compares as False
        if self.planned is None:
            patterns = [self.options(layout, area)[0] for area in range(self.areas.count)]
            alike |= np.array([[one == other for other in patterns] for one in patterns])
        return [Border(one, other, self.areas.edges[one, other]) for one, other in pairs if not alike[one, other]]
