"""Bringing colours into what sRGB can show, and writing them as "#rrggbb".

Source: W3C CSS Color Module Level 4, "CSS Gamut Mapping to an RGB Destination", the pseudo-code of its binary search
with local MINDE (minimum deltaE OK by clipping). Many colours go through it at once; names are the specification's.
"""

import numpy as np
from numpy.typing import ArrayLike

from batiksim.colour.spaces import (
    encode_srgb,
    lab_to_xyz,
    linear_srgb_to_xyz,
    oklab_to_xyz,
    xyz_to_linear_srgb,
    xyz_to_oklab,
)
from batiksim.types import Floats, alone, as_triples

JND = 0.02  # deltaE OK that is just noticeable
EPSILON = 0.0001


def fit_to_srgb(xyz: ArrayLike) -> Floats:
    """Encoded sRGB of XYZ, with colours out of gamut brought into it.

    Parameters
    ----------
    xyz : array_like, (..., 3)
        XYZ, D65, Y = 1 for perfect white; any numbers.

    Returns
    -------
    numpy.ndarray, (..., 3)
        Encoded sRGB, 0..1.

    Raises
    ------
    TypeError, ValueError
        If `xyz` isn't numbers, or its last axis isn't 3.

    Notes
    -----
    W3C CSS Color Module Level 4, "CSS Gamut Mapping to an RGB Destination": colours out of gamut lose chroma until they
    fit; lightness and hue hold as far as an eye can tell. Colours in gamut pass unchanged.

    Examples
    --------
    >>> vivid = batiksim.colour.oklab_to_xyz(batiksim.colour.oklch_to_oklab([0.7, 0.4, 150]))
    >>> batiksim.colour.fit_to_srgb(vivid).round(3)
    array([0.   , 0.761, 0.281])
    """
    linear = xyz_to_linear_srgb(xyz)
    out = np.any((linear < -1e-9) | (linear > 1 + 1e-9), axis=-1)
    fitted = np.clip(linear, 0.0, 1.0)
    if np.any(out):
        fitted[out] = _gamut_map(xyz_to_oklab(as_triples(xyz, "xyz")[out]))
    return encode_srgb(fitted)


def _gamut_map(origin: Floats) -> Floats:
    """Linear sRGB 0..1 (n, 3) of OKLab colours (n, 3) that are out of its gamut."""
    lightness, origin_chroma = origin[:, 0], np.hypot(origin[:, 1], origin[:, 2])
    mapped, delta_e = _clip(origin)
    ends = (lightness >= 1) | (lightness <= 0)
    mapped[ends] = np.where(lightness[ends, None] >= 1, 1.0, 0.0)
    searching = ~ends & (delta_e >= JND)
    low, high = np.zeros_like(origin_chroma), origin_chroma.copy()  # min and max of the specification
    min_in_gamut = np.ones(len(origin), dtype=bool)
    while np.any(searching := searching & (high - low > EPSILON)):
        chroma = (low + high) / 2
        share = chroma / np.maximum(origin_chroma, EPSILON)
        clipped, delta_e = _clip(origin * np.stack([np.ones_like(share), share, share], axis=-1))
        in_gamut = min_in_gamut & (delta_e < 1e-7)
        mapped = np.where((searching & ~in_gamut)[:, None], clipped, mapped)
        within_jnd = ~in_gamut & (delta_e < JND)
        done = within_jnd & (JND - delta_e < EPSILON)
        min_in_gamut &= ~(searching & within_jnd)
        raise_min = in_gamut | within_jnd
        low = np.where(searching & raise_min & ~done, chroma, low)
        high = np.where(searching & ~raise_min, chroma, high)
        searching &= ~done
    return mapped


def _clip(oklab: Floats) -> tuple[Floats, Floats]:
    """Linear sRGB clipped to 0..1, and its deltaE OK from the colour before."""
    clipped = np.clip(xyz_to_linear_srgb(oklab_to_xyz(oklab)), 0.0, 1.0)
    return clipped, np.linalg.norm(xyz_to_oklab(linear_srgb_to_xyz(clipped)) - oklab, axis=-1)


def xyz_to_hex(xyz: ArrayLike) -> str:
    """The colour "#rrggbb" of one XYZ.

    Parameters
    ----------
    xyz : array_like, (3,)
        XYZ, D65, Y = 1 for perfect white. Brought into sRGB by `fit_to_srgb`.

    Returns
    -------
    str
        "#rrggbb", small letters.

    Raises
    ------
    TypeError, ValueError
        If `xyz` isn't three finite numbers.

    Examples
    --------
    >>> batiksim.colour.xyz_to_hex(batiksim.colour.white_point("D65"))
    '#ffffff'
    """
    shown = fit_to_srgb(alone(as_triples(xyz, "xyz"), "xyz"))
    return "#" + "".join(f"{round(255 * value):02x}" for value in shown.tolist())


def lab_to_hex(lab: ArrayLike) -> str:
    """The colour "#rrggbb" of one CIELAB.

    Parameters
    ----------
    lab : array_like, (3,)
        CIELAB, D65; L* 0..100. Brought into sRGB by `fit_to_srgb`.

    Returns
    -------
    str
        "#rrggbb", small letters.

    Raises
    ------
    TypeError, ValueError
        If `lab` isn't three finite numbers.

    Examples
    --------
    >>> batiksim.colour.lab_to_hex([50, 0, 0])
    '#777777'
    """
    return xyz_to_hex(lab_to_xyz(alone(as_triples(lab, "lab"), "lab")))
