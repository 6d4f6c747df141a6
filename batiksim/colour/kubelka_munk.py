"""How dye, cloth, water and wax make a reflectance. Arrays in, new arrays out, any shape.

K/S is absorption over scattering (no unit, >= 0). It adds up over the dyes that a fibre holds; reflectance doesn't.
`surface` is the share of light that the fibre's surface throws back before any dye can take it.
"""

import math
from numbers import Real

import numpy as np
from numpy.typing import ArrayLike

from batiksim.types import BANDS, Floats, as_floats, as_spectra

LEAST_REFLECTANCE = 1e-6  # above the surface, so that K/S stays finite (5e5 at most); far below what an eye sees


def ks_from_reflectance(reflectance: ArrayLike, *, surface: float = 0.0) -> Floats:
    """K/S of thick cloth from its reflectance.

    Parameters
    ----------
    reflectance : array_like, any shape
        0..1. Above 1 counts as 1 (K/S 0); at or below `surface` counts as a millionth above it (K/S 5e5).
    surface : float, optional
        Share of light that the fibre's surface throws back before any dye can take it, 0 <= surface < 1.

    Returns
    -------
    numpy.ndarray, the same shape
        K/S: absorption over scattering, no unit, 0 or more.

    Raises
    ------
    TypeError, ValueError
        If `reflectance` isn't numbers, or `surface` is no number of its range.

    See Also
    --------
    reflectance_from_ks : The way back.

    Notes
    -----
    Kubelka and Munk, Zeitschrift fuer technische Physik 12 (1931) 593: K/S = (1 - R)^2 / 2R of what lies beneath the
    surface. K/S adds up over the dyes that a fibre holds; reflectance doesn't.

    Examples
    --------
    >>> batiksim.colour.ks_from_reflectance([0.1, 0.5, 1.0])
    array([4.05, 0.25, 0.  ])
    """
    surface = _share(surface)
    inner = (as_floats(reflectance, "reflectance") - surface) / (1.0 - surface)
    inner = np.clip(inner, LEAST_REFLECTANCE, 1.0)
    return (1.0 - inner) ** 2 / (2.0 * inner)


def reflectance_from_ks(ks: ArrayLike, *, surface: float = 0.0) -> Floats:
    """Reflectance of thick cloth from K/S.

    Parameters
    ----------
    ks : array_like, any shape
        Absorption over scattering, no unit, 0 or more.
    surface : float, optional
        Share of light that the fibre's surface throws back before any dye can take it, 0 <= surface < 1.

    Returns
    -------
    numpy.ndarray, the same shape
        Reflectance, `surface`..1.

    Raises
    ------
    TypeError, ValueError
        If `ks` isn't numbers, or `surface` is no number of its range.

    See Also
    --------
    ks_from_reflectance : The way back.

    Notes
    -----
    Kubelka and Munk, Zeitschrift fuer technische Physik 12 (1931) 593. The exact inverse of `ks_from_reflectance`, in a
    form that keeps its precision at large K/S.

    Examples
    --------
    Two dyes of K/S 0.25 in one fibre, each of which leaves half the light:

    >>> batiksim.colour.reflectance_from_ks([0.25, 0.5]).round(3)
    array([0.5  , 0.382])
    """
    surface = _share(surface)
    ks = as_floats(ks, "ks")
    return surface + (1.0 - surface) / (1.0 + ks + np.sqrt(ks * (ks + 2.0)))


def wet_reflectance(reflectance: ArrayLike) -> Floats:
    """Reflectance of wet cloth from that of dry cloth.

    Parameters
    ----------
    reflectance : array_like, any shape
        Of the dry cloth, 0..1.

    Returns
    -------
    numpy.ndarray, the same shape
        Of the wet cloth, without the shine of the water film itself.

    Raises
    ------
    TypeError, ValueError
        If `reflectance` isn't an array of numbers.

    Notes
    -----
    Lekner and Dorf, Applied Optics 27 (1988) 1278; water 1.333, cotton fibre 1.55.

    Examples
    --------
    >>> batiksim.colour.wet_reflectance([0.2, 0.5, 1.0]).round(2)
    array([0.11, 0.32, 0.98])
    """
    return _filled(as_floats(reflectance, "reflectance"), WATER_P, WATER_Q, WATER_R)


def waxed_reflectance(reflectance: ArrayLike) -> Floats:
    """Reflectance of cloth soaked through with wax, from that of bare cloth.

    Parameters
    ----------
    reflectance : array_like, (..., 31)
        Of the dry cloth without wax at `BANDS_NM`, 0..1.

    Returns
    -------
    numpy.ndarray, (..., 31)
        Of the cloth as it looks with the wax still in it.

    Raises
    ------
    TypeError, ValueError
        If `reflectance` isn't numbers, or its last axis isn't 31.

    Notes
    -----
    Wax fills the fibre as water does, a little more closely matched: darker, clearer; beeswax warms it faintly. The
    model of `wet_reflectance` (Lekner and Dorf 1988) with wax of index 1.435 in the water's place, and a faint tint:
    both are assumptions.

    Examples
    --------
    >>> batiksim.colour.waxed_reflectance(np.full(31, 0.5))[[0, 15, 30]].round(2)
    array([0.26, 0.28, 0.28])
    """
    return WAX_TINT * _filled(as_spectra(reflectance, "reflectance"), WAX_P, WAX_Q, WAX_R)


def _share(surface: float) -> float:
    if not isinstance(surface, Real):
        raise TypeError(f"surface needs a number, got {type(surface).__name__}")
    if not 0 <= surface < 1:
        raise ValueError(f"surface needs 0 or more and less than 1, got {surface}")
    return float(surface)


def _filled(dry: Floats, p: float, q: float, film: float) -> Floats:
    absorbed = 1.0 - dry
    absorbed = absorbed * ((1.0 - absorbed) * q + absorbed)
    return 1.0 - (1.0 - film) * absorbed / (1.0 - p * (1.0 - absorbed)) - film


def _through(n: float) -> float:
    """Share of diffuse light that passes a surface into index n > 1 (Fresnel over a Lambertian hemisphere).

    Source: the closed form of J. W. T. Walsh 1926, as printed by Duntley, J. Opt. Soc. Am. 32 (1942) 61.
    """
    n2, n4 = n**2, n**4
    back = (
        0.5
        + (n - 1) * (3 * n + 1) / (6 * (n + 1) ** 2)
        + n2 * (n2 - 1) ** 2 / (n2 + 1) ** 3 * math.log((n - 1) / (n + 1))
        - 2 * n**3 * (n2 + 2 * n - 1) / ((n2 + 1) * (n4 - 1))
        + 8 * n4 * (n4 + 1) / ((n2 + 1) * (n4 - 1) ** 2) * math.log(n)
    )
    return 1 - back


def _film(n: float) -> tuple[float, float, float]:
    """p, q and the shine of fibre filled with a liquid of index n (Lekner & Dorf 1988).

    p : share of light from below that the film's surface turns back
    q : how much more light enters the fibre than when it lies in air
    """
    return 1 - _through(n) / n**2, _through(FIBRE_INDEX / n) / _through(FIBRE_INDEX), ((n - 1) / (n + 1)) ** 2


FIBRE_INDEX = 1.55  # cotton; Lekner & Dorf 1988
WATER_INDEX = 1.333  # same
WAX_INDEX = 1.435  # beeswax and paraffin about 1.43-1.44; common practice, no source
WATER_P, WATER_Q, WATER_R = _film(WATER_INDEX)
WAX_P, WAX_Q, WAX_R = _film(WAX_INDEX)
# Beeswax in a wax-soaked cloth takes about a twelfth of violet light and next to none of red: an assumption.
WAX_TINT: Floats = 1.0 - 0.08 * np.exp(-np.arange(BANDS) / 9.0)
WAX_TINT.setflags(write=False)
