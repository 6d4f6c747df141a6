"""A comparison told: in a line, as data, and as swatches from which a calibration learns."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from batiksim.colour import names
from batiksim.photo.compare import AS_PLANNED, Comparison
from batiksim.texts.phrases import percent
from batiksim.values import Swatch

__all__ = ["comparison_data", "summary", "swatch_data", "teachable"]


def summary(found: Comparison) -> str:
    """The whole comparison in a line."""
    off = [one for one in found.regions if one.miss >= AS_PLANNED]
    share = sum(one.share for one in off) / sum(one.share for one in found.regions)
    if not off:
        return f"All came out as planned (mean difference {found.overall:.1f})."
    many = "1 region differs" if len(off) == 1 else f"{len(off)} regions differ"
    return f"{many}, {percent(share)} of the cloth; mean difference {found.overall:.1f} (1 is just seen)."


def teachable(found: Comparison) -> tuple[Swatch, ...]:
    """Swatches for `calibrate --table`: bare cloth, and regions whose dyes each also lie somewhere alone."""
    regions = [one for one in found.regions if one.layers is not None]
    alone = {one.layers[0][0] for one in regions if one.layers is not None and len(one.layers) == 1}
    bare = [one for one in regions if not one.layers]
    if not alone or not bare:
        return ()
    return tuple(
        Swatch(name=f"region {one.number}", layers=one.layers, lab=one.labs[1])
        for one in regions
        if one.layers is not None and all(dye in alone for dye, _ in one.layers)
    )


def swatch_data(taught: Sequence[Swatch]) -> list[dict[str, Any]]:
    """Swatches as plain data: what each was dyed with, and its CIELAB."""
    return [
        {"name": one.name, "dyes": dict(one.layers), "lab": None if one.lab is None else list(one.lab)}
        for one in taught
    ]


def comparison_data(found: Comparison) -> dict[str, Any]:
    """A comparison as plain data."""
    regions = [
        {
            "number": one.number,
            "share": round(one.share, 5),
            "history": list(one.history),
            "planned": one.planned,
            "dyed": one.dyed,
            "planned_name": names.colour_name(np.array(one.labs[0])).name,
            "dyed_name": names.colour_name(np.array(one.labs[1])).name,
            "difference": round(one.miss, 2),
            "words": one.words,
            "place": [round(part, 4) for part in one.place],
        }
        for one in found.regions
    ]
    return {
        "summary": summary(found),
        "overall": round(found.overall, 2),
        "agreement": round(found.registration.agreement, 3),
        "regions": regions,
        "notes": list(found.notes),
    }
