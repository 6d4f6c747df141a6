"""Frozen values that every part of batiksim speaks in. A value that exists is valid.

Nothing here reads a file or computes a colour. Lengths carry their unit in the name; loads are in full strengths
(1 = the dye as at full strength on open cloth); shares and greys run from 0 to 1.
"""

from batiksim.values.cloth import COTTON, FLOOR, Cloth, Undyed
from batiksim.values.design import FORMAT, MADE_BY, Design
from batiksim.values.dyes import (
    CALIBRATED,
    MOST_REFLECTANCE,
    BookDye,
    BuildUp,
    BuildUpLaw,
    Dye,
    DyeBook,
    Spectrum,
    check_spectrum,
)
from batiksim.values.findings import SEVERITIES, Finding, Place, Region, Remedy, Severity
from batiksim.values.pots import DROP_ML, Pot
from batiksim.values.prices import Price, PriceList
from batiksim.values.steps import Discharge, DyeBath, Marks, MaskUse, Paint, RemoveWax, Step, Tool, Wax, picture_name
from batiksim.values.swatches import DAYLIGHT, LIGHTS, Layers, Patch, Strip, Swatch
from batiksim.values.wishes import Want

__all__ = [
    "DAYLIGHT",
    "LIGHTS",
    "CALIBRATED",
    "COTTON",
    "DROP_ML",
    "FLOOR",
    "FORMAT",
    "MADE_BY",
    "MOST_REFLECTANCE",
    "SEVERITIES",
    "BookDye",
    "BuildUp",
    "BuildUpLaw",
    "Cloth",
    "Design",
    "Discharge",
    "Dye",
    "DyeBath",
    "DyeBook",
    "Finding",
    "Layers",
    "Marks",
    "MaskUse",
    "Paint",
    "Patch",
    "Place",
    "Pot",
    "Price",
    "PriceList",
    "Region",
    "Remedy",
    "RemoveWax",
    "Severity",
    "Spectrum",
    "Step",
    "Strip",
    "Swatch",
    "Tool",
    "Undyed",
    "Want",
    "Wax",
    "check_spectrum",
    "picture_name",
]
