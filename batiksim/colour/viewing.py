"""Other lights and wet cloth: how a reflectance looks there."""

from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from batiksim.colour.kubelka_munk import wet_reflectance
from batiksim.colour.spaces import adapt
from batiksim.colour.spectra import reflectance_to_xyz, white_point
from batiksim.types import Floats, Look, as_spectra
from batiksim.values.light_words import check_look

DAY = "D65"
LAMPS = ("A", "LED")


def seen_xyz(reflectance: ArrayLike, *, light: str = DAY, look: Look = "dry") -> Floats:
    """XYZ of cloth as an eye used to the light sees it.

    Parameters
    ----------
    reflectance : array_like, (..., 31)
        Of the dry cloth at `BANDS_NM`, 0..1.
    light : str, optional
        One of `LIGHTS`: CIE D65 and D50, A (a filament lamp), LED (LED-B3, a white LED).
    look : {"dry", "wet"}, optional
        "wet" shows it wet, approximately: see `wet_reflectance`.

    Returns
    -------
    numpy.ndarray, (..., 3)
        XYZ, D65, Y = 1 for perfect white.

    Raises
    ------
    BatikError
        If there is no such light or look.
    TypeError, ValueError
        If `reflectance` isn't numbers, or its last axis isn't 31.

    Notes
    -----
    Bradford adaptation (Lam 1985, see `adapt`) brings the light to D65, so white stays white.

    Examples
    --------
    >>> red = 1 / (1 + np.exp((600 - batiksim.colour.BANDS_NM) / 15))
    >>> for light in batiksim.colour.LIGHTS:
    ...     print(light, batiksim.colour.xyz_to_hex(batiksim.colour.seen_xyz(red, light=light, look="wet")))
    D65 #d20000
    D50 #d90000
    A #ec0000
    LED #d02000
    """
    values = as_spectra(reflectance, "reflectance")
    xyz = reflectance_to_xyz(wet_reflectance(values) if check_look(look) == "wet" else values, light)
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
