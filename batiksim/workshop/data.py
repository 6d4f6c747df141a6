"""A workshop as plain data, as `workshop --json` prints it."""

from typing import Any

from batiksim.values.plain_data import plain, plain_data
from batiksim.workshop.cautions import CAUTIONS, DEFER
from batiksim.workshop.figures import FIGURES
from batiksim.workshop.measures import amount_words
from batiksim.workshop.shopping import Shopping
from batiksim.workshop.values import Workshop

_UNITS = {"length": "mm", "weight": "g", "volume": "ml"}


def workshop_data(workshop: Workshop, shopping: Shopping) -> dict[str, Any]:
    """Amounts (ml, g, mm2, mm), timetable (minutes), cautions and the figures behind them."""
    systems = [mixes.system for mixes in workshop.mixes]
    items = [
        plain_data(item)
        | {
            "unit": _UNITS[item.kind],
            "words": {system: str(amount_words(item.need, item.kind, system)) for system in systems},
        }
        for item in shopping.items
    ]
    unpriced = {} if shopping.priced else {"used": None, "pay": None}
    areas = workshop.areas
    return plain_data(workshop) | {
        "cloth": {"width_mm": areas.width_mm, "height_mm": areas.height_mm},
        "reaches": plain(areas.reaches),
        "shopping": plain_data(shopping) | unpriced | {"items": items},
        "mixes": {mixes.system: plain_data(mixes) for mixes in workshop.mixes},
        "wax_pot_fill_g": dict(zip(("beeswax", "paraffin"), workshop.pot_fill_g, strict=True)),
        "cautions": plain(CAUTIONS),
        "defer": str(DEFER),
        "notes": plain((*workshop.notes, *shopping.notes)),
        "figures": plain(tuple(FIGURES.values())),
    }
