"""Calibration: a maker's own dyes from pieces of cloth she dyed, and how far each is to be trusted.

Build-up is linear unless a dye's own strength ladder shows otherwise: each law has to foretell rungs it was not
fitted to. Held-out errors are true ones: for each piece, everything is fitted again without it.
"""

from batiksim.plan.calibrate.data import book_dyes, calibration_data
from batiksim.plan.calibrate.learning import calibrate
from batiksim.plan.calibrate.samples import samples_of_strip, samples_of_swatches
from batiksim.plan.calibrate.values import Calibration, Piece, Taught

__all__ = [
    "Calibration",
    "Piece",
    "Taught",
    "book_dyes",
    "calibrate",
    "calibration_data",
    "samples_of_strip",
    "samples_of_swatches",
]
