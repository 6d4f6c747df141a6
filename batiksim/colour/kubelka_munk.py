"""How dye, cloth, water and wax make a reflectance. Arrays in, new arrays out, any shape.

K/S is absorption over scattering (no unit, >= 0). It adds up over the dyes that a fibre holds; reflectance doesn't.
`surface` is the share of light that the fibre's surface throws back before any dye can take it.
"""

import math

import numpy as np
from numpy.typing import ArrayLike

from batiksim.types import BANDS, Floats, as_spectra

LEAST_REFLECTANCE = 1e-6  # above the surface, so that K/S stays finite (5e5 at most); far below what an eye sees


def ks_from_reflectance(reflectance: ArrayLike, *, surface: float = 0.0) -> Floats:
    """K/S of thick cloth from its reflectance (any shape, 0..1). Source: Kubelka & Munk 1931.

    Above 1 counts as 1 (K/S 0); at or below `surface` counts as a millionth above it (K/S 5e5).
    """
    inner = (np.asarray(reflectance, dtype=np.float64) - surface) / (1.0 - surface)
    inner = np.clip(inner, LEAST_REFLECTANCE, 1.0)
    return (1.0 - inner) ** 2 / (2.0 * inner)


def reflectance_from_ks(ks: ArrayLike, *, surface: float = 0.0) -> Floats:
    """Reflectance (`surface`..1) of thick cloth from K/S (any shape, >= 0). Source: Kubelka & Munk 1931.

    The exact inverse of `ks_from_reflectance`; this form keeps its precision at large K/S.
    """
    ks = np.asarray(ks, dtype=np.float64)
    return surface + (1.0 - surface) / (1.0 + ks + np.sqrt(ks * (ks + 2.0)))


def wet_reflectance(reflectance: ArrayLike) -> Floats:
    """Reflectance of wet cloth from that of dry cloth (any shape, 0..1), without the shine of the water film itself.

    Source: Lekner & Dorf, Applied Optics 27 (1988) 1278; water 1.333, cotton fibre 1.55.
    """
    return _filled(np.asarray(reflectance, dtype=np.float64), WATER_P, WATER_Q, WATER_R)


def waxed_reflectance(reflectance: ArrayLike) -> Floats:
    """Reflectance of cloth soaked through with wax (..., 31) from that without (..., 31; 0..1).

    Wax fills the fibre as water does, a little more closely matched: darker, clearer; beeswax warms it faintly.
    Source: the wet cloth model with wax in the water's place (an assumption), tint assumed.
    """
    return WAX_TINT * _filled(as_spectra(reflectance, "reflectance"), WAX_P, WAX_Q, WAX_R)


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
