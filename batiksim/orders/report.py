"""An order in the maker's words: its dyeings, what became of her wants, how it was found. Why, says `reasons`."""

from dataclasses import dataclass

import numpy as np

from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.gamut import lab_to_hex
from batiksim.colour.names import colour_name
from batiksim.orders.design_of_order import pot_named
from batiksim.orders.ranking import Orders, Ranked
from batiksim.texts.phrases import listed
from batiksim.types import Floats
from batiksim.values import Pot, picture_name

# CIEDE2000 of a wanted colour: kept; not quite; beyond it is another colour. Assumptions.
KEPT, NEAR = 5.0, 12.0


@dataclass(frozen=True, kw_only=True)
class Met:
    """What became of one want: the colour of its largest part, how far off on average over its area.

    kept : near enough, or not far off and of the name that was asked for
    """

    called: str
    wanted_hex: str
    wanted_lab: tuple[float, float, float]
    hex: str
    lab: tuple[float, float, float]
    delta_e: float
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
                wanted_lab=_triple(target.lab),
                hex=lab_to_hex(lab),
                lab=_triple(lab),
                delta_e=off,
                kept=off <= KEPT or (same and off <= NEAR),
            )
        )
    return tuple(found)


def _triple(lab: Floats) -> tuple[float, float, float]:
    return float(lab[0]), float(lab[1]), float(lab[2])


def dyeing_words(orders: Orders, ranked: Ranked) -> tuple[tuple[tuple[Pot, str], ...], ...]:
    """Each dyeing: its pots, and the picture that says where, or "" for everywhere."""
    course = orders.course
    found = []
    for bath in ranked.found.layout:
        places = [(ranked.slot_pots[slot], course.slots[slot].mask) for slot in course.baths[bath]]
        found.append(tuple((pot, course.masks[mask].picture if mask >= 0 else "") for pot, mask in places))
    return tuple(found)


def sequence_words(orders: Orders, ranked: Ranked) -> str:
    """The pots in order: "straw, then evening on low-sky and tide on hills, then ink"."""
    baths = dyeing_words(orders, ranked)
    return ", then ".join(str(listed([f"{pot_named(pot)}{_on(where)}" for pot, where in bath])) for bath in baths)


def _on(where: str) -> str:
    """Where a pot is brushed on, in a few letters."""
    return f" on {picture_name(where)}" if where else ""


def how_words(orders: Orders) -> str:
    """How it was looked for."""
    if orders.how == "every":
        return f"All {orders.of:,} tried." if orders.of > 1 else "There is only one."
    looked = f"A search from many starts looked at {orders.tried:,} of {orders.of:,}"
    return f"{looked}: these are the best it found, and there may be better."


def standing_words(orders: Orders) -> str:
    """How the order as it stands fares among all; "" where that isn't known."""
    if orders.better is None or orders.of < 2:
        return ""
    if not orders.better:
        return "Nothing beats the order as it stands."
    return f"{orders.better} of them {'is' if orders.better == 1 else 'are'} better than the order as it stands."
