"""A calibration as a dye book keeps it, and as plain data."""

import datetime
from typing import Any

from batiksim.calibration.calibration_values import Calibration
from batiksim.colour import spectra
from batiksim.values import BookDye, BuildUp, Undyed


def book_dyes(calibration: Calibration, *, provenance: str, date: datetime.date) -> tuple[BookDye, ...]:
    """Calibrated dyes as a dye book keeps them: reflectance at full strength on the calibrated cloth."""
    seen_on = Undyed(colour=calibration.cloth, surface=calibration.surface if calibration.surface_between else None)
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
        for dye in calibration.dyes
    )


def calibration_data(calibration: Calibration) -> dict[str, Any]:
    """A calibration as plain data: differences to two places."""
    pieces = [
        {
            "name": piece.name,
            "dyes": {name: strength for name, strength in piece.layers},
            "measured": piece.measured,
            "before": piece.before,
            "after": piece.after,
            "miss_before": round(piece.miss_before, 2),
            "miss_after": round(piece.miss_after, 2),
            "held_out": _rounded(piece.held_out),
            "problems": [str(problem) for problem in piece.problems],
        }
        for piece in calibration.pieces
    ]
    dyes = [
        {
            "name": dye.name,
            "hex": dye.hex,
            "build_up": {"law": dye.build_up.law, "bend": round(dye.build_up.bend, 4)},
            "expected_error": _rounded(dye.expected_error),
            "pieces": dye.pieces,
        }
        for dye in calibration.dyes
    ]
    medians = {what: _rounded(calibration.median(what)) for what in ("miss_before", "miss_after", "held_out")}
    between = (
        None if calibration.surface_between is None else [round(value, 4) for value in calibration.surface_between]
    )
    floor = {"surface": round(calibration.surface, 4), "surface_between": between}
    return {"cloth": calibration.cloth, **floor, "median": medians, "dyes": dyes, "pieces": pieces}


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 2)
