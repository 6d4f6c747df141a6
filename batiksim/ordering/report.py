"""An order in the maker's words: its dyeings, what became of her wants, how it was found. `reasons` says why."""

from dataclasses import dataclass, field
from functools import reduce

import numpy as np

from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.gamut import lab_to_hex
from batiksim.colour.names import colour_name
from batiksim.ordering.design_of_order import pot_named
from batiksim.ordering.ranking import Orders, Ranked
from batiksim.texts.catalogue import Message, say
from batiksim.types import triple
from batiksim.values import Pot, picture_name
from batiksim.values.plain_data import LEFT_OUT, as_data

# CIEDE2000 of a wanted colour: kept; not quite; beyond it is another colour. Assumptions.
KEPT, NEAR = 5.0, 12.0


@dataclass(frozen=True, kw_only=True)
class Met:
    """What became of one want: the colour of its largest part, how far off on average over its area.

    kept : near enough, or not far off and of the name that was asked for
    """

    called: str
    wanted_hex: str = field(metadata=as_data("wanted"))
    wanted_lab: tuple[float, float, float] = field(metadata=LEFT_OUT)
    hex: str
    lab: tuple[float, float, float] = field(metadata=as_data(places=3))
    delta_e: float = field(metadata=as_data(places=2))
    kept: bool


def met_wants(orders: Orders, ranked: Ranked) -> tuple[Met, ...]:
    """Every want of the design, in its order."""
    found = []
    for target in orders.targets:
        labs = ranked.found.labs
        lab = labs[int(np.argmax(target.part))]
        off = float(delta_e_2000(target.lab, labs) @ target.part)
        same = target.named is not None and colour_name(lab).name == target.named
        found.append(
            Met(
                called=target.want.called,
                wanted_hex=target.hex,
                wanted_lab=triple(target.lab),
                hex=lab_to_hex(lab),
                lab=triple(lab),
                delta_e=off,
                kept=off <= KEPT or (same and off <= NEAR),
            )
        )
    return tuple(found)


def dyeing_words(orders: Orders, ranked: Ranked) -> tuple[tuple[tuple[Pot, str], ...], ...]:
    """Each dyeing: its pots, and the picture that says where, or "" for everywhere."""
    course = orders.course
    found = []
    for bath in ranked.found.layout:
        places = [(ranked.slot_pots[slot], course.slots[slot].mask) for slot in course.baths[bath]]
        found.append(tuple((pot, course.masks[mask].picture if mask >= 0 else "") for pot, mask in places))
    return tuple(found)


def sequence_words(orders: Orders, ranked: Ranked) -> Message:
    """The pots in order: "straw, then evening on low-sky and tide on hills, then ink"."""
    baths = [say("phrase.listed", words=[_placed(*paint) for paint in bath]) for bath in dyeing_words(orders, ranked)]
    return reduce(lambda first, later: say("orders.then", first=first, later=later), baths)


def _placed(pot: Pot, where: str) -> Message | str:
    """A pot and where it is brushed on."""
    name = pot_named(pot)
    return say("orders.pot_on", pot=name, picture=picture_name(where)) if where else name


def how_words(orders: Orders) -> Message:
    """How the orders were searched for, and with what certainty."""
    if orders.how == "every":
        return say("orders.how.every", count=orders.of)
    return say("orders.how.search", tried=orders.tried, of=orders.of)


def standing_words(orders: Orders) -> Message | str:
    """How the maker's own order ranks among all; "" where that isn't known."""
    if orders.better is None or orders.of < 2:
        return ""
    return say("orders.standing.some", count=orders.better) if orders.better else say("orders.standing.best")
