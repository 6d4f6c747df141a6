"""A calibration as a dye book keeps it."""

import datetime

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
            expected_error=None if dye.expected_error is None else round(dye.expected_error, 2),
        )
        for dye in calibration.dyes
    )
