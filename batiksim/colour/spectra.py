"""Reflectance on the grid, and what light makes of it.

The grid is 400-700 nm by 10 nm (31 bands), everywhere. XYZ has Y = 1 for perfect white.
"""

from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from batiksim.colour.spaces import D65
from batiksim.types import BANDS, Floats, as_floats, as_spectra
from batiksim.values import LIGHTS as LIGHTS  # public from here, beside what takes them
from batiksim.values import check_spectrum
from batiksim.values.light_words import check_light

BANDS_NM: Floats = np.arange(400.0, 701.0, 10.0)
"""Wavelengths of the grid in nm, (31,), read-only."""
BANDS_NM.setflags(write=False)
_TABLE = Path(__file__).resolve().parent.parent / "data" / "light_weights.csv"


def light_weights(light: str = "D65") -> Floats:
    """What each band of a reflectance adds to XYZ under a light.

    Parameters
    ----------
    light : str, optional
        One of `LIGHTS`: CIE D65 and D50, A (a filament lamp), LED (LED-B3, a white LED).

    Returns
    -------
    numpy.ndarray, (31, 3)
        Read-only. ``reflectance @ weights`` is XYZ; perfect white has Y = 1.

    Raises
    ------
    BatikError
        If there is no such light.

    Notes
    -----
    The CIE 1931 2 degree observer and the lights of CIE 015:2018, summed from 1 nm: see ``data/light_weights.csv``. The
    D65 columns are scaled (by .0003 at most) so that they sum to the white of sRGB: a perfect white cloth is exactly
    #ffffff.

    Examples
    --------
    >>> batiksim.colour.light_weights("D65").sum(axis=0).round(4)
    array([0.9505, 1.    , 1.0891])
    """
    return _weights(check_light(light))


@cache
def _weights(light: str) -> Floats:
    first = 1 + 3 * LIGHTS.index(light)
    lines = [line for line in _TABLE.read_text(encoding="utf-8").splitlines() if line[0].isdigit()]
    weights = np.array([line.split(",")[first : first + 3] for line in lines], dtype=np.float64)
    scale = D65 / weights.sum(axis=0) if light == "D65" else 1.0 / weights[:, 1].sum()
    scaled: Floats = weights * scale
    scaled.setflags(write=False)
    return scaled


def white_point(light: str = "D65") -> Floats:
    """XYZ of perfect white under a light.

    Parameters
    ----------
    light : str, optional
        One of `LIGHTS`: CIE D65 and D50, A (a filament lamp), LED (LED-B3, a white LED).

    Returns
    -------
    numpy.ndarray, (3,)
        XYZ, with Y = 1.

    Raises
    ------
    BatikError
        If there is no such light.

    Examples
    --------
    >>> batiksim.colour.white_point("A").round(3)
    array([1.098, 1.   , 0.356])
    """
    return np.asarray(light_weights(light).sum(axis=0))


def reflectance_to_xyz(reflectance: ArrayLike, light: str = "D65") -> Floats:
    """XYZ that a reflectance shows under a light.

    Parameters
    ----------
    reflectance : array_like, (..., 31)
        At `BANDS_NM`, 0..1.
    light : str, optional
        One of `LIGHTS`: CIE D65 and D50, A (a filament lamp), LED (LED-B3, a white LED).

    Returns
    -------
    numpy.ndarray, (..., 3)
        XYZ under that light, Y = 1 for perfect white.

    Raises
    ------
    BatikError
        If there is no such light.
    TypeError, ValueError
        If `reflectance` isn't numbers, or its last axis isn't 31.

    See Also
    --------
    seen_xyz : As an eye used to the light sees it, by D65.
    light_weights : The sources.

    Examples
    --------
    >>> batiksim.colour.reflectance_to_xyz(np.full(31, 0.5)).round(4)
    array([0.4752, 0.5   , 0.5445])
    """
    return as_spectra(reflectance, "reflectance") @ light_weights(light)


def resample(nm: ArrayLike, values: ArrayLike) -> Floats:
    """A measured spectrum on the grid of batiksim.

    Parameters
    ----------
    nm : array_like, (n,)
        At least four wavelengths, nm, rising, reaching at least from 420 to 680 nm.
    values : array_like, (n,)
        The spectrum there; a reflectance is 0..1.

    Returns
    -------
    numpy.ndarray, (31,)
        The spectrum at `BANDS_NM`.

    Raises
    ------
    BatikError
        If there are fewer than four wavelengths, they don't rise, are too short or hold NaN, or the two differ in
        length.
    TypeError, ValueError
        If an argument isn't an array of numbers.

    Notes
    -----
    A cubic through the nearest four points; beyond the ends the end values hold (ASTM E308 practice). Nothing leaves
    the range of those four points, so noise can't swing out.

    Examples
    --------
    >>> measured = batiksim.colour.resample([380, 480, 580, 730], [0.05, 0.2, 0.6, 0.65])
    >>> measured[[0, 8, 30]].round(3)
    array([0.05, 0.2 , 0.65])
    """
    nm, values = as_floats(nm, "nm"), as_floats(values, "values")
    for name, given in (("nm", nm), ("values", values)):
        if given.ndim != 1:
            raise ValueError(f"{name} needs one axis, got shape {given.shape}")
    check_spectrum(nm.tolist(), values.tolist())
    at = np.clip(BANDS_NM, nm[0], nm[-1])
    near = np.clip(np.searchsorted(nm, at) - 2, 0, len(nm) - 4)[:, None] + np.arange(4)
    points, heights = nm[near], values[near]
    result = np.zeros(BANDS)
    for i in range(4):
        others = [m for m in range(4) if m != i]
        result += heights[:, i] * np.prod((at[:, None] - points[:, others]) / (points[:, [i]] - points[:, others]), 1)
    return np.clip(result, heights.min(axis=1), heights.max(axis=1))
