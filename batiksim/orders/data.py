"""Ranked orders as plain data, as `orders --json` and orders.json give them."""

from typing import Any

from batiksim.colour.gamut import lab_to_hex
from batiksim.colour.names import colour_name
from batiksim.orders.design_of_order import idle_slots, is_planned, pot_named
from batiksim.orders.ranking import Orders, Ranked
from batiksim.orders.reasons import reasons
from batiksim.orders.report import Met, how_words, met_wants, sequence_words, standing_words
from batiksim.texts.catalogue import message_data
from batiksim.values import FORMAT


def orders_data(orders: Orders) -> dict[str, Any]:
    """All ranked orders, and the design as it stands."""
    return {
        "format": FORMAT,
        "title": orders.design.title,
        "masks": "derive" if orders.question.derive else "keep",
        "how": orders.how,
        "tried": orders.tried,
        "of": orders.of,
        "told": f"{how_words(orders)} {standing_words(orders)}".rstrip(),
        "orders": [_ranked_data(orders, one) for one in orders.ranked],
        "planned": _ranked_data(orders, orders.planned) | {"better": orders.better},
        "notes": [str(note) for note in orders.notes],
    }


def _ranked_data(orders: Orders, ranked: Ranked) -> dict[str, Any]:
    why = reasons(orders, ranked)
    return {
        "rank": ranked.rank or None,
        "as_it_stands": not ranked.rank or is_planned(orders, ranked),
        "points": round(ranked.found.points, 2),
        "sequence": str(sequence_words(orders, ranked)),
        "dyeings": _dyeings_data(orders, ranked),
        "wants": [_met_data(met) for met in met_wants(orders, ranked)],
        "reasons": [str(reason) for reason in why],
        "reasons_says": [message_data(reason) for reason in why],
        "parts": {name: round(part, 3) for name, part in ranked.found.parts.items()},
    }


def _dyeings_data(orders: Orders, ranked: Ranked) -> list[list[dict[str, Any]]]:
    course, idle = orders.course, idle_slots(ranked)
    alone = ranked.scorer.palette.alone
    found = []
    for bath in ranked.found.layout:
        paints = []
        for slot in course.baths[bath]:
            pot, mask = ranked.slot_pots[slot], course.slots[slot].mask
            paints.append(
                {
                    "pot": pot_named(pot),
                    "parts": dict(pot.parts),
                    "strength": pot.strength,
                    "hex": lab_to_hex(alone[ranked.found.choice[slot]]),
                    "where": course.masks[mask].picture if mask >= 0 else None,
                    "reaches": slot not in idle,
                }
            )
        found.append(paints)
    return found


def _met_data(met: Met) -> dict[str, Any]:
    named = colour_name(met.lab)
    return {
        "called": str(met.called),
        "wanted": met.wanted_hex,
        "hex": met.hex,
        "lab": [round(part, 3) for part in met.lab],
        "name": named.name,
        "plain": named.plain,
        "delta_e": round(met.delta_e, 2),
        "kept": met.kept,
    }
