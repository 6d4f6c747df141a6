"""What the eye sees: spectra, how dyes mix, colour spaces, names. Arrays in, new arrays out; only numpy."""

from batiksim.colour.kubelka_munk import ks_from_reflectance, reflectance_from_ks, wet_reflectance
from batiksim.colour.names import ColourName, colour_name
from batiksim.colour.reflectance_recovery import dye_curve, smooth_reflectance
from batiksim.colour.spectra import BANDS_NM, LIGHTS, reflectance_to_xyz

__all__ = [
    "BANDS_NM",
    "LIGHTS",
    "ColourName",
    "colour_name",
    "dye_curve",
    "ks_from_reflectance",
    "reflectance_from_ks",
    "reflectance_to_xyz",
    "smooth_reflectance",
    "wet_reflectance",
]
