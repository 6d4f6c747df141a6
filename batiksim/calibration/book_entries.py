"""A calibration as a dye book keeps it, and as plain data."""

from __future__ import annotations

import datetime
from typing import Any

from batiksim.calibration.values import Calibration
from batiksim.colour import spectra
from batiksim.values import BookDye, BuildUp, Undyed

__all__ = ["book_dyes", "calibration_data"]


def book_dyes(found: Calibration, *, provenance: str, date: datetime.date) -> tuple[BookDye, ...]:
    """Calibrated dyes as a dye book keeps them: reflectance at full strength on the calibrated cloth."""
    seen_on = Undyed(colour=found.cloth, surface=found.surface if found.surface_between else None)
    return tuple(
        BookDye(
            name=dye.name,
            samples=tuple(
                (float(nm), round(float(value), 5)) for nm, value in zip(spectra.BANDS_NM, dye.full, strict=True)
            ),
            build_up=BuildUp(law=dye.build_up.law, bend=round(dye.build_up.bend, 4)),
            seen_on=seen_on,
            provenance=provenance,
            date=date,
            expected_error=_rounded(dye.expected_error),
        )
        for dye in found.dyes
    )


def calibration_data(found: Calibration) -> dict[str, Any]:
    """A calibration as plain data: differences to two places."""
    pieces = [
        {
            "name": one.name,
            "dyes": {name: strength for name, strength in one.layers},
            "measured": one.measured,
            "before": one.before,
            "after": one.after,
            "miss_before": round(one.miss_before, 2),
            "miss_after": round(one.miss_after, 2),
            "held_out": _rounded(one.held_out),
            "problems": list(one.problems),
        }
        for one in found.pieces
    ]
    dyes = [
        {
            "name": dye.name,
            "hex": dye.hex,
            "build_up": {"law": dye.build_up.law, "bend": round(dye.build_up.bend, 4)},
            "expected_error": _rounded(dye.expected_error),
            "pieces": dye.pieces,
        }
        for dye in found.dyes
    ]
    medians = {what: _rounded(found.median(what)) for what in ("miss_before", "miss_after", "held_out")}
    between = None if found.surface_between is None else [round(value, 4) for value in found.surface_between]
    floor = {"surface": round(found.surface, 4), "surface_between": between}
    return {"cloth": found.cloth, **floor, "median": medians, "dyes": dyes, "pieces": pieces}


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 2)
