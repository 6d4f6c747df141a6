"""An order as a design of its own: the same cloth, masks kept or made anew, its pots in their places."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from batiksim.cloth.program import design_masks
from batiksim.cloth.undyed import reckoned_cloth
from batiksim.ordering.ranking import Orders, Ranked
from batiksim.ordering.rewax import new_waxings, waxed_before
from batiksim.texts.catalogue import say
from batiksim.types import Bytes
from batiksim.values import Design, Dye, DyeBath, Paint, Pot, Step, Wax


@dataclass(frozen=True, eq=False, kw_only=True)
class NewPlan:
    """An order as a design with its masks.

    masks : uint8 (masks, rows, cols), in `design_masks` order of the design
    made : names of the pictures that are new; waxed : before which dyeings of the order they go on
    """

    design: Design
    masks: Bytes
    made: tuple[str, ...]
    waxed: tuple[bool, ...]


def order_plan(orders: Orders, ranked: Ranked, masks: Bytes, wanted: Bytes) -> NewPlan:
    """The design of an order with its masks, kept or made anew.

    masks, wanted : as `rank_orders` takes them, at any size
    """
    uses = design_masks(orders.design)
    stack = dict(zip(uses, masks, strict=True))
    waxings: list[Wax | None] | None = None
    if ranked.found.picks is not None:
        course = orders.course
        waxed = waxed_before(course, orders.areas, ranked.found.picks, uses, masks, wanted)
        planned = [step for at in course.sealing if isinstance(step := orders.design.steps[at], Wax)]
        waxings = new_waxings(planned, uses, masks, waxed, _new_names(orders.design, len(waxed)))
        stack |= {wax.mask: mask for wax, mask in zip(waxings, waxed, strict=True) if wax is not None}
    design = order_design(orders, ranked, waxings)
    design = replace(design, cloth=reckoned_cloth(design.cloth, design.dyes, ranked.scorer.palette.dyes.bare))
    used = [stack[use] for use in design_masks(design)]
    return NewPlan(
        design=design,
        masks=np.stack(used) if used else masks[:0],
        made=tuple(wax.mask.picture for wax in waxings or () if wax is not None),
        waxed=tuple(wax is not None for wax in waxings or [None] * orders.course.places),
    )


def _new_names(design: Design, count: int) -> list[str]:
    """Names for new wax pictures that the design doesn't have yet."""
    taken = {use.picture for _, use in design.mask_uses()} | {w.where.picture for w in design.wants if w.where}
    stem = "new-wax"
    while any(name.startswith(stem) for name in taken):
        stem = f"new-{stem}"
    return [f"{stem}-{number}.png" for number in range(1, count + 1)]


def idle_slots(ranked: Ranked) -> frozenset[int]:
    """Slots whose pot reaches no area."""
    course, areas = ranked.scorer.course, ranked.scorer.areas
    reached = {slot for area in range(areas.count) for slot, _ in area_pattern(ranked, area)}
    return frozenset(range(len(course.slots))) - reached


def is_planned(orders: Orders, ranked: Ranked) -> bool:
    """Whether an order is the design's own, its masks as drawn."""
    same = ranked.slot_pots == orders.planned.slot_pots and ranked.found.layout == orders.planned.found.layout
    return same and (ranked.found.picks is None or list(ranked.found.picks) == ranked.scorer.stages)


def area_pattern(ranked: Ranked, area: int) -> tuple[tuple[int, float], ...]:
    """What reaches an area in this order: see `shades.Pattern`."""
    found = ranked.found
    options = ranked.scorer.options(found.layout, area)
    return options[0 if found.picks is None else found.picks[area]]


def pot_named(pot: Pot) -> str:
    """What to call a pot: a dye alone that isn't at full strength can't go by the dye's own name."""
    if list(pot.parts) == [pot.name] and pot.strength != 1:
        return str(say("orders.pot_at", dye=pot.name, strength=pot.strength))
    return pot.name


def order_design(orders: Orders, ranked: Ranked, waxings: Sequence[Wax | None] | None = None) -> Design:
    """The design of an order.

    waxings : the new waxing before each dyeing where masks are re-derived; pots that reach nothing are then left out
    """
    design, course = orders.design, orders.course
    left_out = frozenset[int]() if waxings is None else idle_slots(ranked)
    bath_steps = [event.step for event in course.events if event.place >= 0]
    notes = {_pots_of(step.paints): step.note for step in design.steps if isinstance(step, DyeBath)}
    steps: list[Step] = []
    place = 0
    for number, step in enumerate(design.steps):
        if waxings is not None and number in course.sealing:
            continue
        if not isinstance(step, DyeBath):
            steps.append(step)
            continue
        bath = ranked.found.layout[place]
        new_wax = None if waxings is None else waxings[place]
        steps += [] if new_wax is None else [new_wax]
        planned = design.steps[bath_steps[bath]]
        before = planned.paints if isinstance(planned, DyeBath) else ()
        paints = tuple(
            replace(paint, pot=pot_named(ranked.slot_pots[slot]))
            for slot, paint in zip(course.baths[bath], before, strict=True)
            if slot not in left_out
        )
        note = planned.note if paints == before else notes.get(_pots_of(paints), "")
        steps += [DyeBath(paints=paints, note=note)] if paints else []
        place += 1
    used = [pot for slot, pot in enumerate(ranked.slot_pots) if slot not in left_out]
    dyes, pots = _shelf(orders, used)
    return replace(design, steps=tuple(steps), dyes=dyes, pots=pots)


def _pots_of(paints: Sequence[Paint]) -> frozenset[str]:
    """The pots of a dyeing: its note is about them, and goes where they go."""
    return frozenset(paint.pot for paint in paints)


def _shelf(orders: Orders, used: Sequence[Pot]) -> tuple[tuple[Dye, ...], tuple[Pot, ...]]:
    """Dyes and pots that the order needs; a design's own that it doesn't use stay on the shelf."""
    mixed = {pot_named(pot): replace(pot, name=pot_named(pot)) for pot in used if not _is_dye(pot)}
    if orders.dyes == orders.design.dyes:
        kept = tuple(mixed.pop(pot.name, pot) for pot in orders.design.pots)
        return orders.design.dyes, (*kept, *mixed.values())
    needed = {dye for pot in used for dye in pot.dyes}
    return tuple(dye for dye in orders.dyes if dye.name in needed), tuple(mixed.values())


def _is_dye(pot: Pot) -> bool:
    return list(pot.parts) == [pot.name] and pot.strength == 1
