"""The course of a design: its dyeings as places that pots can be given to, and what happens between them.

A slot is one pot's place: the whole cloth, or the area of one paint mask, at one dyeing. A layout says which dyeing of
the design comes at which place; an order gives every slot a pot.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import permutations

from batiksim.errors import BatikError
from batiksim.values import Design, Discharge, DyeBath, MaskUse, Want, Wax

Layout = tuple[int, ...]
"""Which dyeing of the design (from 0) comes first, second ..."""

MOST_LAYOUTS = 120  # five dyeings, each of other places; with more only the design's own layout is tried


@dataclass(frozen=True, kw_only=True)
class Slot:
    """One pot's place. mask : its paint mask, by number, or -1 for everywhere."""

    mask: int
    pot: str


@dataclass(frozen=True, kw_only=True)
class Event:
    """What reaches open cloth, in order of the steps.

    step : of the design, from 0; place : of a dyeing, from 0, or -1 for a discharge; mask, strength : of a discharge
    """

    step: int
    place: int = -1
    mask: int = -1
    strength: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Course:
    """A design's steps, sorted for trying orders.

    masks : the pictures that say where dye or bleach goes, once each
    baths : of each dyeing, its slots by number
    sealing : step numbers (from 0) of the waxings that seal
    """

    design: Design
    masks: tuple[MaskUse, ...]
    slots: tuple[Slot, ...]
    baths: tuple[tuple[int, ...], ...]
    events: tuple[Event, ...]
    sealing: tuple[int, ...]

    @cached_property
    def layouts(self) -> tuple[Layout, ...]:
        """Every way to place the dyeings that differs in where dye goes, the design's own first."""
        own = tuple(range(len(self.baths)))
        kinds = [tuple(self.slots[slot].mask for slot in bath) for bath in self.baths]
        if len(set(kinds)) == 1:
            return (own,)
        found: dict[tuple[tuple[int, ...], ...], Layout] = {}
        for layout in permutations(own):
            found.setdefault(tuple(kinds[bath] for bath in layout), layout)
            if len(found) > MOST_LAYOUTS:
                return (own,)
        return tuple(found.values())

    @cached_property
    def dyeings(self) -> list[int]:
        """Which events are dyeings."""
        return [number for number, event in enumerate(self.events) if event.place >= 0]

    @property
    def places(self) -> int:
        """How many dyeings there are."""
        return len(self.baths)

    @property
    def pots(self) -> tuple[str, ...]:
        """The design's own pot of each slot."""
        return tuple(slot.pot for slot in self.slots)


def course_of(design: Design) -> Course:
    """Sort a design's steps. Raises BatikError for a design without any dyeing."""
    masks: dict[MaskUse, int] = {}
    slots: list[Slot] = []
    baths: list[tuple[int, ...]] = []
    events: list[Event] = []
    sealing: list[int] = []

    def number(use: MaskUse | None) -> int:
        return -1 if use is None else masks.setdefault(use, len(masks))

    for at, step in enumerate(design.steps):
        if isinstance(step, Wax) and step.seals:
            sealing.append(at)
        elif isinstance(step, DyeBath):
            first = len(slots)
            slots += [Slot(mask=number(paint.where), pot=paint.pot) for paint in step.paints]
            events.append(Event(step=at, place=len(baths)))
            baths.append(tuple(range(first, len(slots))))
        elif isinstance(step, Discharge):
            events.append(Event(step=at, mask=number(step.where), strength=step.strength))
    if not baths:
        raise BatikError("orders.error.no_dyeing")
    return Course(
        design=design,
        masks=tuple(masks),
        slots=tuple(slots),
        baths=tuple(baths),
        events=tuple(events),
        sealing=tuple(sealing),
    )


def want_pictures(wants: Sequence[Want]) -> tuple[MaskUse, ...]:
    """Every picture that wants name, once each."""
    return tuple(dict.fromkeys(want.where for want in wants if want.where is not None))
