"""Other lights and wet cloth: how a reflectance looks there."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from batiksim.colour.kubelka_munk import wet_reflectance
from batiksim.colour.spaces import adapt
from batiksim.colour.spectra import reflectance_to_xyz, white_point
from batiksim.types import Floats, Look

__all__ = ["DAY", "other_lights", "seen_weights", "seen_xyz"]

DAY = "D65"
LAMPS = ("A", "LED")


def seen_xyz(reflectance: ArrayLike, *, light: str = DAY, look: Look = "dry") -> Floats:
    """XYZ (..., 3) of dry cloth of a reflectance (..., 31; 0..1) as an eye used to the light sees it.

    light : one of `spectra.LIGHTS`; Bradford adaptation brings it to D65, so white stays white
    look : "wet" shows it wet, approximately (see `kubelka_munk.wet_reflectance`)
    """
    values = np.asarray(reflectance, dtype=np.float64)
    xyz = reflectance_to_xyz(wet_reflectance(values) if look == "wet" else values, light)
    return xyz if light == DAY else adapt(xyz, white_point(light), white_point(DAY))


@cache
def seen_weights(light: str = DAY) -> Floats:
    """(31, 3), read-only: dry reflectances @ weights are what `seen_xyz` gives."""
    weights = seen_xyz(np.eye(31), light=light)
    weights.setflags(write=False)
    return weights


def other_lights(light: str) -> tuple[str, ...]:
    """The lights beside which a colour seen by one is to be looked at: both lamps, or daylight in place of a lamp."""
    return tuple(lamp if lamp != light else DAY for lamp in LAMPS)
