"""Colours of many orders at once.

An area's colour depends only on which slots reach it, at what level, in which sequence: its pattern. All orders that
give those slots the same pots share that colour, so each pattern is worked out once for every choice of pots for its
own slots, and looked up for all orders.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.cloth.loads import share_taken
from batiksim.cloth.program import LEAST_REACH
from batiksim.dyes.mud import dull_flags, mud_flags
from batiksim.ordering.areas import Partition
from batiksim.ordering.course import Course, Layout
from batiksim.types import Bools, Floats, Ints
from batiksim.values import Pot

Choices = Ints
"""(orders, slots): the pot, by number, of each slot."""

Pattern = tuple[tuple[int, float], ...]
"""What reaches an area, in order: (slot, level 0..1), or (-1, what a discharge leaves 0..1)."""

LEVELS = 100  # levels are told apart to a hundredth: at most .2 of CIEDE2000 in trials
BLOCK = 1 << 13
MOST_CODES = 1 << 23  # of a pattern's choices that may be marked in a table instead of being sorted


def pattern_of(course: Course, layout: Layout, areas: Partition, area: int, *, closed_at: int | None = None) -> Pattern:
    """What reaches an area.

    closed_at : the place of the dyeing before which wax closes it, instead of what the planned wax does
    """
    found: list[tuple[int, float]] = []
    whole = areas.levels.shape[2] - 1
    places = 0
    for number, event in enumerate(course.events):
        places = max(places, event.place)
        is_open = areas.opened[area, number] if closed_at is None else _still_open(course, number, closed_at)
        if not is_open:
            continue
        if event.place < 0:
            mask = whole if event.mask < 0 else event.mask
            amount = event.strength * areas.levels[area, number, mask]
            if amount >= LEAST_REACH and any(slot >= 0 for slot, _ in found):
                found.append((-1, 1.0 - amount))
            continue
        for slot in course.baths[layout[event.place]]:
            mask = whole if course.slots[slot].mask < 0 else course.slots[slot].mask
            if areas.reached[area, number, mask]:
                found.append((slot, round(areas.levels[area, number, mask] * LEVELS) / LEVELS))
    return tuple(found)


def _still_open(course: Course, number: int, closed_at: int) -> bool:
    """Whether an event comes before the wax that closes an area before dyeing `closed_at`."""
    place = course.events[number].place
    if place < 0:  # a discharge: as the dyeing after it, whose wax is laid after the discharge at the latest
        place = max((one.place for one in course.events[:number]), default=-1)
    return place < closed_at


@dataclass(frozen=True, eq=False, kw_only=True)
class Shades:
    """The colours of one pattern for some choices of pots.

    lab : (n, 3) CIELAB, D65; mud, dull : (n,), as `plan.mud` has it; lost : (n,) full strengths that didn't take
    """

    lab: Floats
    mud: Bools
    dull: Bools
    lost: Floats


@dataclass(frozen=True, eq=False, kw_only=True)
class ShadeLookup:
    """A pattern's shades and, for every order, which of them it has."""

    shades: Shades
    at: Ints


class Palette:
    """Pots to choose from, on one cloth."""

    def __init__(self, dyes: ClothDyes, pots: Sequence[Pot]) -> None:
        self.dyes = dyes
        self.pots = tuple(pots)
        self._levels: dict[float, tuple[Floats, Floats, Floats]] = {}
        self.alone = self.at(1.0)[2]

    def at(self, level: float) -> tuple[Floats, Floats, Floats]:
        """K/S (n, 31), full strengths (n,) and CIELAB on bare cloth (n, 3) of all pots brushed on at a level."""
        if level not in self._levels:
            ks, load = self.dyes.offered(self.pots, level)
            self._levels[level] = ks, load, self.dyes.labs(ks * share_taken(0.0, load)[:, None])
        return self._levels[level]

    def shades(self, pattern: Pattern, picks: Ints) -> Shades:
        """The colours of a pattern. picks : (n, slots of the pattern), the pot of each, in its order."""
        parts = [self._block(pattern, picks[at : at + BLOCK]) for at in range(0, len(picks), BLOCK)]
        joined = {key: np.concatenate([getattr(part, key) for part in parts]) for key in ("lab", "mud", "dull", "lost")}
        return Shades(**joined)

    def _block(self, pattern: Pattern, picks: Ints) -> Shades:
        # as `rules.Fibre` has it, but in K/S, which adds up and scales as loads do: a third faster than dye by dye
        count = len(picks)
        ks, total, lost = np.zeros((count, len(self.dyes.cloth_ks))), np.zeros(count), np.zeros(count)
        parents, place = [], 0
        for slot, level in pattern:
            if slot < 0:
                ks, total = ks * level, total * level
                continue
            pot_ks, pot_load, pot_lab = self.at(level)
            pots = picks[:, place]
            place += 1
            offered = pot_load[pots]
            taken = share_taken(total, offered)
            ks += taken[:, None] * pot_ks[pots] if (taken < 1).any() else pot_ks[pots]
            total, lost = total + offered, lost + (1.0 - taken) * offered
            parents.append(pot_lab[pots])
        lab = self.dyes.labs(ks)
        around = np.stack(parents, axis=1) if parents else np.zeros((count, 0, 3))
        return Shades(lab=lab, mud=mud_flags(lab, around), dull=dull_flags(lab) & (place > 0), lost=lost)

    def look_up(self, pattern: Pattern, choices: Choices) -> ShadeLookup:
        """The shades that some orders need of a pattern, each once."""
        slots = [slot for slot, _ in pattern if slot >= 0]
        code = np.zeros(len(choices), np.int64)
        for slot in slots:
            code = code * len(self.pots) + choices[:, slot]
        codes, at = _distinct(code, len(self.pots) ** len(slots))
        picks = np.empty((len(codes), len(slots)), np.int64)
        for place in reversed(range(len(slots))):
            codes, picks[:, place] = np.divmod(codes, len(self.pots))
        return ShadeLookup(shades=self.shades(pattern, picks), at=at)


def _distinct(code: Ints, most: int) -> tuple[Ints, Ints]:
    """Distinct codes in order, and which of them each is: as `np.unique`, without sorting where there is room."""
    if most > MOST_CODES:
        codes, at = np.unique(code, return_inverse=True)
        return codes, at.ravel()
    seen = np.zeros(most, np.bool_)
    seen[code] = True
    codes = np.flatnonzero(seen)
    number = np.empty(most, np.int64)
    number[codes] = np.arange(len(codes))
    return codes, number[code]
