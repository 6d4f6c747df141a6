"""Colour spaces: XYZ, CIELAB, sRGB, OKLab. Everything works on the last axis, of 3; leading axes are free.

XYZ has Y = 1 for perfect white. sRGB runs 0..1. CIELAB and OKLab have their usual units; hues are in degrees.
White is D65 as sRGB defines it (x .3127, y .3290), so that the grey axis is exactly neutral in every space here.
"""

import numpy as np
from numpy.typing import ArrayLike

from batiksim.types import Floats, alone, as_floats, as_triples
from batiksim.values.rules import Colour

_COLOUR = Colour(help="A colour.")


def _xyz_of(x: float, y: float) -> Floats:
    return np.array([x / y, 1.0, (1.0 - x - y) / y])


def _frozen(values: ArrayLike) -> Floats:
    array = np.array(values, dtype=np.float64)
    array.setflags(write=False)
    return array


# IEC 61966-2-1: chromaticities of white and of the three primaries. The matrix is worked out from them: the one
# printed with four decimals puts white at a* .0077.
D65 = _frozen(_xyz_of(0.3127, 0.3290))
"""XYZ of white, (3,), Y = 1, read-only."""
_PRIMARIES = np.stack([_xyz_of(0.64, 0.33), _xyz_of(0.30, 0.60), _xyz_of(0.15, 0.06)], axis=1)
_FROM_SRGB = _frozen(_PRIMARIES * np.linalg.solve(_PRIMARIES, D65))
_TO_SRGB = _frozen(np.linalg.inv(_FROM_SRGB))

# B. Ottosson, "A perceptual color space for image processing" (2020). Rows of the first are scaled (by 1.0001) so that
# D65 white gives exactly 1, as CSS Color 4 does too; rows of the second so that greys are exactly neutral.
_TO_CONES = np.array([
    [0.8189330101, 0.3618667424, -0.1288597137],
    [0.0329845436, 0.9293118715, 0.0361456387],
    [0.0482003018, 0.2643662691, 0.6338517070],
])  # fmt: skip
_TO_CONES = _frozen(_TO_CONES / (_TO_CONES @ D65)[:, None])
_TO_OKLAB = np.array([
    [0.2104542553, 0.7936177850, -0.0040720468],
    [1.9779984951, -2.4285922050, 0.4505937099],
    [0.0259040371, 0.7827717662, -0.8086757660],
])  # fmt: skip
_TO_OKLAB = _frozen(_TO_OKLAB - (_TO_OKLAB.sum(axis=1) - [1.0, 0.0, 0.0])[:, None] / 3.0)
_FROM_CONES = _frozen(np.linalg.inv(_TO_CONES))
_FROM_OKLAB = _frozen(np.linalg.inv(_TO_OKLAB))
# The same steps from and to linear sRGB, for compiled loops: to cones, (cube root) to OKLab, to cones, (cube) back.
OKLAB_FROM_AND_TO_LINEAR = (_TO_CONES @ _FROM_SRGB, _TO_OKLAB, _FROM_OKLAB, _TO_SRGB @ _FROM_CONES)

# Bradford: K. M. Lam 1985, as printed in ICC.1 and CSS Color 4.
_BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])


def xyz_to_lab(xyz: ArrayLike, white: ArrayLike = D65) -> Floats:
    """CIELAB from XYZ.

    Parameters
    ----------
    xyz : array_like, (..., 3)
        XYZ, Y = 1 for perfect white.
    white : array_like, (..., 3), optional
        XYZ of the white that the eye is used to; D65 when left out.

    Returns
    -------
    numpy.ndarray, (..., 3)
        L* 0..100, a*, b*.

    Raises
    ------
    TypeError, ValueError
        If an argument isn't numbers, or its last axis isn't 3.

    See Also
    --------
    lab_to_xyz : The way back.

    Notes
    -----
    CIE 015:2018.

    Examples
    --------
    >>> batiksim.colour.xyz_to_lab([0.2, 0.2, 0.2]).round(2)
    array([51.84,  4.99,  3.28])
    """
    ratio = as_triples(xyz, "xyz") / as_triples(white, "white")
    curve = np.where(ratio > (6 / 29) ** 3, np.cbrt(ratio), ratio * (29 / 6) ** 2 / 3 + 4 / 29)
    x, y, z = np.moveaxis(curve, -1, 0)
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def lab_to_xyz(lab: ArrayLike, white: ArrayLike = D65) -> Floats:
    """XYZ from CIELAB.

    Parameters
    ----------
    lab : array_like, (..., 3)
        L* 0..100, a*, b*.
    white : array_like, (..., 3), optional
        XYZ of the white that the eye is used to; D65 when left out.

    Returns
    -------
    numpy.ndarray, (..., 3)
        XYZ, Y = 1 for perfect white.

    Raises
    ------
    TypeError, ValueError
        If an argument isn't numbers, or its last axis isn't 3.

    See Also
    --------
    xyz_to_lab : Its exact inverse, with the source.

    Examples
    --------
    >>> batiksim.colour.lab_to_xyz([50, 0, 0]).round(4)
    array([0.1751, 0.1842, 0.2006])
    """
    light, red, yellow = np.moveaxis(as_triples(lab, "lab"), -1, 0)
    y = (light + 16) / 116
    curve = np.stack([y + red / 500, y, y - yellow / 200], axis=-1)
    ratio = np.where(curve > 6 / 29, curve**3, 3 * (6 / 29) ** 2 * (curve - 4 / 29))
    return np.asarray(ratio * as_triples(white, "white"))


_LAB_FROM_CURVE = np.array([[0.0, 116.0, 0.0], [500.0, -500.0, 0.0], [0.0, 200.0, -200.0]])


def lab_jacobian(xyz: ArrayLike) -> Floats:
    """How CIELAB changes with XYZ (..., 3; D65) there: (..., 3, 3), jacobian @ step; held at the curve's straight foot.

    Source: CIE 015:2018, the derivative of `xyz_to_lab`.
    """
    ratio = np.maximum(as_triples(xyz, "xyz") / D65, (6 / 29) ** 3)
    curve = 1 / (3 * np.cbrt(ratio) ** 2 * D65)
    return np.asarray(_LAB_FROM_CURVE * curve[..., None, :])


def xyz_to_linear_srgb(xyz: ArrayLike) -> Floats:
    """Linear sRGB from XYZ.

    Parameters
    ----------
    xyz : array_like, (..., 3)
        XYZ, D65, Y = 1 for perfect white.

    Returns
    -------
    numpy.ndarray, (..., 3)
        Linear sRGB; outside 0..1 where sRGB can't show the colour.

    Raises
    ------
    TypeError, ValueError
        If `xyz` isn't numbers, or its last axis isn't 3.

    See Also
    --------
    fit_to_srgb : Brings colours into sRGB and encodes them.
    linear_srgb_to_xyz : The way back.

    Notes
    -----
    IEC 61966-2-1, its matrix worked out from its chromaticities.

    Examples
    --------
    >>> batiksim.colour.xyz_to_linear_srgb(batiksim.colour.D65).round(12)
    array([1., 1., 1.])
    """
    return as_triples(xyz, "xyz") @ _TO_SRGB.T


def linear_srgb_to_xyz(linear: ArrayLike) -> Floats:
    """XYZ from linear sRGB.

    Parameters
    ----------
    linear : array_like, (..., 3)
        Linear sRGB, usually 0..1.

    Returns
    -------
    numpy.ndarray, (..., 3)
        XYZ, D65, Y = 1 for perfect white.

    Raises
    ------
    TypeError, ValueError
        If `linear` isn't numbers, or its last axis isn't 3.

    See Also
    --------
    xyz_to_linear_srgb : The way back.

    Notes
    -----
    IEC 61966-2-1, its matrix worked out from its chromaticities.

    Examples
    --------
    >>> batiksim.colour.linear_srgb_to_xyz([1, 0, 0]).round(4)
    array([0.4124, 0.2126, 0.0193])
    """
    return as_triples(linear, "linear") @ _FROM_SRGB.T


def encode_srgb(linear: ArrayLike) -> Floats:
    """Encoded sRGB from linear sRGB.

    Parameters
    ----------
    linear : array_like, any shape
        Linear sRGB, usually 0..1; negatives mirror.

    Returns
    -------
    numpy.ndarray, the same shape
        Encoded sRGB; divide a byte by 255 to compare.

    Raises
    ------
    TypeError, ValueError
        If `linear` isn't numbers, or lists of unequal lengths.

    See Also
    --------
    decode_srgb : The way back.

    Notes
    -----
    IEC 61966-2-1.

    Examples
    --------
    >>> batiksim.colour.encode_srgb([0, 0.214, 1]).round(3)
    array([0. , 0.5, 1. ])
    """
    linear = as_floats(linear, "linear")
    size = np.abs(linear)
    curve = np.where(size > 0.0031308, 1.055 * size ** (1 / 2.4) - 0.055, 12.92 * size)
    return np.asarray(np.copysign(curve, linear))


def decode_srgb(encoded: ArrayLike) -> Floats:
    """Linear sRGB from encoded sRGB.

    Parameters
    ----------
    encoded : array_like, any shape
        Encoded sRGB, usually 0..1 (a byte divided by 255); negatives mirror.

    Returns
    -------
    numpy.ndarray, the same shape
        Linear sRGB.

    Raises
    ------
    TypeError, ValueError
        If `encoded` isn't numbers, or lists of unequal lengths.

    See Also
    --------
    encode_srgb : The way back.

    Notes
    -----
    IEC 61966-2-1.

    Examples
    --------
    >>> batiksim.colour.decode_srgb([0, 0.5, 1]).round(3)
    array([0.   , 0.214, 1.   ])
    """
    encoded = as_floats(encoded, "encoded")
    size = np.abs(encoded)
    curve = np.where(size > 0.04045, ((size + 0.055) / 1.055) ** 2.4, size / 12.92)
    return np.asarray(np.copysign(curve, encoded))


def xyz_to_oklab(xyz: ArrayLike) -> Floats:
    """OKLab from XYZ.

    Parameters
    ----------
    xyz : array_like, (..., 3)
        XYZ, D65, Y = 1 for perfect white.

    Returns
    -------
    numpy.ndarray, (..., 3)
        L 0..1, a, b.

    Raises
    ------
    TypeError, ValueError
        If `xyz` isn't numbers, or its last axis isn't 3.

    See Also
    --------
    oklab_to_xyz : The way back.

    Notes
    -----
    B. Ottosson, "A perceptual color space for image processing" (2020), scaled so that D65 white is exactly (1, 0, 0).

    Examples
    --------
    >>> batiksim.colour.xyz_to_oklab([1, 0, 0]).round(3)
    array([ 0.45 ,  1.236, -0.019])
    """
    return np.asarray(np.cbrt(as_triples(xyz, "xyz") @ _TO_CONES.T) @ _TO_OKLAB.T)


def oklab_to_xyz(oklab: ArrayLike) -> Floats:
    """XYZ from OKLab.

    Parameters
    ----------
    oklab : array_like, (..., 3)
        L 0..1, a, b.

    Returns
    -------
    numpy.ndarray, (..., 3)
        XYZ, D65, Y = 1 for perfect white.

    Raises
    ------
    TypeError, ValueError
        If `oklab` isn't numbers, or its last axis isn't 3.

    See Also
    --------
    xyz_to_oklab : Its exact inverse, with the source.

    Examples
    --------
    >>> batiksim.colour.oklab_to_xyz([0.5, 0, 0]).round(4)
    array([0.1188, 0.125 , 0.1361])
    """
    cones: Floats = (as_triples(oklab, "oklab") @ _FROM_OKLAB.T) ** 3
    return cones @ _FROM_CONES.T


def oklab_to_oklch(oklab: ArrayLike) -> Floats:
    """OKLCh from OKLab.

    Parameters
    ----------
    oklab : array_like, (..., 3)
        L 0..1, a, b.

    Returns
    -------
    numpy.ndarray, (..., 3)
        L 0..1, chroma, hue in degrees from 0 up to 360.

    Raises
    ------
    TypeError, ValueError
        If `oklab` isn't numbers, or its last axis isn't 3.

    See Also
    --------
    oklch_to_oklab : The way back.

    Examples
    --------
    >>> batiksim.colour.oklab_to_oklch([0.5, 0, 0.1])
    array([ 0.5,  0.1, 90. ])
    """
    light, a, b = np.moveaxis(as_triples(oklab, "oklab"), -1, 0)
    return np.stack([light, np.hypot(a, b), np.degrees(np.arctan2(b, a)) % 360.0], axis=-1)


def oklch_to_oklab(oklch: ArrayLike) -> Floats:
    """OKLab from OKLCh.

    Parameters
    ----------
    oklch : array_like, (..., 3)
        L 0..1, chroma, hue in degrees.

    Returns
    -------
    numpy.ndarray, (..., 3)
        L 0..1, a, b.

    Raises
    ------
    TypeError, ValueError
        If `oklch` isn't numbers, or its last axis isn't 3.

    See Also
    --------
    oklab_to_oklch : The way back.

    Examples
    --------
    >>> batiksim.colour.oklch_to_oklab([0.5, 0.1, 90]).round(12)
    array([0.5, 0. , 0.1])
    """
    light, chroma, hue = np.moveaxis(as_triples(oklch, "oklch"), -1, 0)
    angle = np.radians(hue)
    return np.stack([light, chroma * np.cos(angle), chroma * np.sin(angle)], axis=-1)


def adapt(xyz: ArrayLike, source_white: ArrayLike, target_white: ArrayLike = D65) -> Floats:
    """XYZ seen under one white, as it would look under another.

    Parameters
    ----------
    xyz : array_like, (..., 3)
        XYZ, Y = 1 for perfect white.
    source_white : array_like, (3,)
        XYZ of the white that the eye is used to there.
    target_white : array_like, (3,), optional
        XYZ of the white to go to; D65 when left out.

    Returns
    -------
    numpy.ndarray, (..., 3)
        XYZ under the target's white.

    Raises
    ------
    TypeError, ValueError
        If an argument isn't numbers of its shape.

    See Also
    --------
    white_point : The white of a light.

    Notes
    -----
    Bradford: K. M. Lam 1985, as printed in ICC.1 and CSS Color 4.

    Examples
    --------
    >>> lamp = batiksim.colour.white_point("A")
    >>> batiksim.colour.adapt(lamp, lamp).round(4)
    array([0.9505, 1.    , 1.0891])
    """
    source, target = (
        alone(as_triples(white, name), name)
        for white, name in ((source_white, "source_white"), (target_white, "target_white"))
    )
    gains = (_BRADFORD @ target) / (_BRADFORD @ source)
    return as_triples(xyz, "xyz") @ np.linalg.solve(_BRADFORD, gains[:, None] * _BRADFORD).T


def hex_to_xyz(text: str) -> Floats:
    """XYZ of "#rrggbb".

    Parameters
    ----------
    text : str
        A colour of sRGB, "#rrggbb".

    Returns
    -------
    numpy.ndarray, (3,)
        XYZ, D65, Y = 1 for perfect white.

    Raises
    ------
    BatikError
        If the text is no such colour.

    See Also
    --------
    xyz_to_hex : The way back.

    Examples
    --------
    >>> batiksim.colour.hex_to_xyz("#ff0000").round(4)
    array([0.4124, 0.2126, 0.0193])
    """
    checked: str = _COLOUR.check(text, "colour")
    parts = [int(checked[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    return linear_srgb_to_xyz(decode_srgb(parts))


def hex_to_lab(text: str) -> Floats:
    """CIELAB of "#rrggbb".

    Parameters
    ----------
    text : str
        A colour of sRGB, "#rrggbb".

    Returns
    -------
    numpy.ndarray, (3,)
        CIELAB, D65; L* 0..100.

    Raises
    ------
    BatikError
        If the text is no such colour.

    See Also
    --------
    lab_to_hex : The way back.

    Examples
    --------
    >>> batiksim.colour.hex_to_lab("#ff0000").round(1)
    array([53.2, 80.1, 67.2])
    """
    return xyz_to_lab(hex_to_xyz(text))
