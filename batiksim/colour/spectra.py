"""Reflectance on the grid, and what light makes of it.

The grid is 400-700 nm by 10 nm (31 bands), everywhere. XYZ has Y = 1 for perfect white.
"""

from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from batiksim.colour.spaces import D65
from batiksim.errors import BatikError, nearest
from batiksim.types import BANDS, Floats, as_spectra
from batiksim.values import LIGHTS as LIGHTS  # public from here, beside what takes them

BANDS_NM: Floats = np.arange(400.0, 701.0, 10.0)
BANDS_NM.setflags(write=False)
_TABLE = Path(__file__).resolve().parent.parent / "data" / "light_weights.csv"


@cache
def light_weights(light: str = "D65") -> Floats:
    """What each band adds to XYZ, (31, 3), read-only: reflectance @ weights = XYZ, perfect white has Y = 1.

    The D65 columns are scaled (by .0003 at most) so that they sum to the white of sRGB: a perfect white cloth is
    exactly #ffffff. Sources: see `data/light_weights.csv`. Raises BatikError for a light not in `LIGHTS`.
    """
    if light not in LIGHTS:
        raise BatikError("colour.error.unknown_light", field="light", got=light, fix=nearest(light, LIGHTS))
    first = 1 + 3 * LIGHTS.index(light)
    lines = [line for line in _TABLE.read_text(encoding="utf-8").splitlines() if line[0].isdigit()]
    weights = np.array([line.split(",")[first : first + 3] for line in lines], dtype=np.float64)
    scale = D65 / weights.sum(axis=0) if light == "D65" else 1.0 / weights[:, 1].sum()
    scaled: Floats = weights * scale
    scaled.setflags(write=False)
    return scaled


def white_point(light: str = "D65") -> Floats:
    """XYZ (3,) of perfect white under a light; Y is 1."""
    return np.asarray(light_weights(light).sum(axis=0))


def reflectance_to_xyz(reflectance: ArrayLike, light: str = "D65") -> Floats:
    """XYZ (..., 3) that a reflectance (..., 31; 0..1) shows under a light."""
    return as_spectra(reflectance, "reflectance") @ light_weights(light)


def resample(nm: ArrayLike, values: ArrayLike) -> Floats:
    """A measured spectrum on the grid (31,).

    nm, values : (n,) each, n >= 4, wavelengths rising, reaching at least from 420 to 680 nm
    A cubic through the nearest four points; beyond the ends the end values hold (ASTM E308 practice).
    Nothing leaves the range of those four points, so noise can't swing out. Raises BatikError.
    """
    nm, values = np.asarray(nm, dtype=np.float64), np.asarray(values, dtype=np.float64)
    if nm.ndim != 1 or nm.shape != values.shape or len(nm) < 4:
        raise BatikError("colour.error.few_wavelengths", number=int(nm.size))
    if not (np.all(np.isfinite(nm)) and np.all(np.isfinite(values))):
        raise BatikError("colour.error.spectrum_not_numbers")
    if np.any(np.diff(nm) <= 0):
        raise BatikError("colour.error.wavelengths_unsorted")
    if nm[0] > 420 or nm[-1] < 680:
        raise BatikError("colour.error.spectrum_short", first=float(nm[0]), last=float(nm[-1]))
    at = np.clip(BANDS_NM, nm[0], nm[-1])
    near = np.clip(np.searchsorted(nm, at) - 2, 0, len(nm) - 4)[:, None] + np.arange(4)
    points, heights = nm[near], values[near]
    result = np.zeros(BANDS)
    for i in range(4):
        others = [m for m in range(4) if m != i]
        result += heights[:, i] * np.prod((at[:, None] - points[:, others]) / (points[:, [i]] - points[:, others]), 1)
    return np.clip(result, heights.min(axis=1), heights.max(axis=1))
