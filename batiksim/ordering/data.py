"""Ranked orders as plain data, as `orders --json` and orders.json give them."""

from typing import Any

from batiksim.colour.gamut import lab_to_hex
from batiksim.colour.names import colour_name
from batiksim.ordering.design_of_order import idle_slots, is_planned, pot_named
from batiksim.ordering.ranking import Orders, Ranked
from batiksim.ordering.reasons import reasons
from batiksim.ordering.report import how_words, met_wants, sequence_words, standing_words
from batiksim.values.plain_data import plain, plain_data, sentences


def orders_data(orders: Orders) -> dict[str, Any]:
    """All ranked orders, and the design as it stands."""
    return {
        "masks": "derive" if orders.question.derive else "keep",
        "how": orders.how,
        "tried": orders.tried,
        "of": orders.of,
        "told": f"{how_words(orders)} {standing_words(orders)}".rstrip(),
        "orders": [_ranked_data(orders, one) for one in orders.ranked],
        "planned": _ranked_data(orders, orders.planned) | {"better": orders.better},
        **sentences("notes", orders.notes),
    }


def _ranked_data(orders: Orders, ranked: Ranked) -> dict[str, Any]:
    why = reasons(orders, ranked)
    return {
        "rank": ranked.rank or None,
        "as_it_stands": not ranked.rank or is_planned(orders, ranked),
        "points": round(ranked.found.points, 2),
        "sequence": str(sequence_words(orders, ranked)),
        "dyeings": _dyeings_data(orders, ranked),
        "wants": [plain_data(met) | plain_data(colour_name(met.lab)) for met in met_wants(orders, ranked)],
        **sentences("reasons", tuple(why)),
        "parts": plain(ranked.found.parts, places=3),
    }


def _dyeings_data(orders: Orders, ranked: Ranked) -> list[list[dict[str, Any]]]:
    course, idle = orders.course, idle_slots(ranked)
    alone = ranked.scorer.palette.alone

    def paint(slot: int) -> dict[str, Any]:
        pot, mask = ranked.slot_pots[slot], course.slots[slot].mask
        return plain_data(pot, without=("name",)) | {
            "pot": pot_named(pot),
            "hex": lab_to_hex(alone[ranked.found.choice[slot]]),
            "where": course.masks[mask].picture if mask >= 0 else None,
            "reaches": slot not in idle,
        }

    return [[paint(slot) for slot in course.baths[bath]] for bath in ranked.found.layout]
