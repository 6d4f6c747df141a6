"""Colour spaces: XYZ, CIELAB, sRGB, OKLab. Everything works on the last axis, of 3; leading axes are free.

XYZ has Y = 1 for perfect white. sRGB runs 0..1. CIELAB and OKLab have their usual units; hues are in degrees.
White is D65 as sRGB defines it (x .3127, y .3290), so that the grey axis is exactly neutral in every space here.
"""

import numpy as np
from numpy.typing import ArrayLike

from batiksim.types import Floats, as_triples
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
    """CIELAB (L* 0..100) from XYZ. Source: CIE 015:2018."""
    ratio = as_triples(xyz, "xyz") / as_triples(white, "white")
    curve = np.where(ratio > (6 / 29) ** 3, np.cbrt(ratio), ratio * (29 / 6) ** 2 / 3 + 4 / 29)
    x, y, z = np.moveaxis(curve, -1, 0)
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def lab_to_xyz(lab: ArrayLike, white: ArrayLike = D65) -> Floats:
    """XYZ from CIELAB; the exact inverse of `xyz_to_lab`."""
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
    """Linear sRGB from XYZ; outside 0..1 where sRGB can't show the colour. Source: IEC 61966-2-1."""
    return as_triples(xyz, "xyz") @ _TO_SRGB.T


def linear_srgb_to_xyz(linear: ArrayLike) -> Floats:
    """XYZ from linear sRGB."""
    return as_triples(linear, "linear") @ _FROM_SRGB.T


def encode_srgb(linear: ArrayLike) -> Floats:
    """Encoded sRGB from linear (any shape); negatives mirror. Source: IEC 61966-2-1."""
    linear = np.asarray(linear, dtype=np.float64)
    size = np.abs(linear)
    curve = np.where(size > 0.0031308, 1.055 * size ** (1 / 2.4) - 0.055, 12.92 * size)
    return np.asarray(np.copysign(curve, linear))


def decode_srgb(encoded: ArrayLike) -> Floats:
    """Linear sRGB from encoded (any shape); negatives mirror. Source: IEC 61966-2-1."""
    encoded = np.asarray(encoded, dtype=np.float64)
    size = np.abs(encoded)
    curve = np.where(size > 0.04045, ((size + 0.055) / 1.055) ** 2.4, size / 12.92)
    return np.asarray(np.copysign(curve, encoded))


def xyz_to_oklab(xyz: ArrayLike) -> Floats:
    """OKLab (L 0..1) from XYZ. Source: Ottosson 2020, scaled so that D65 white is exactly (1, 0, 0)."""
    return np.asarray(np.cbrt(as_triples(xyz, "xyz") @ _TO_CONES.T) @ _TO_OKLAB.T)


def oklab_to_xyz(oklab: ArrayLike) -> Floats:
    """XYZ from OKLab; the exact inverse of `xyz_to_oklab`."""
    cones: Floats = (as_triples(oklab, "oklab") @ _FROM_OKLAB.T) ** 3
    return cones @ _FROM_CONES.T


def oklab_to_oklch(oklab: ArrayLike) -> Floats:
    """Lightness, chroma and hue (degrees, 0..360) from OKLab."""
    light, a, b = np.moveaxis(as_triples(oklab, "oklab"), -1, 0)
    return np.stack([light, np.hypot(a, b), np.degrees(np.arctan2(b, a)) % 360.0], axis=-1)


def oklch_to_oklab(oklch: ArrayLike) -> Floats:
    """OKLab from lightness, chroma and hue in degrees."""
    light, chroma, hue = np.moveaxis(as_triples(oklch, "oklch"), -1, 0)
    angle = np.radians(hue)
    return np.stack([light, chroma * np.cos(angle), chroma * np.sin(angle)], axis=-1)


def adapt(xyz: ArrayLike, source_white: ArrayLike, target_white: ArrayLike = D65) -> Floats:
    """XYZ seen under one white as it would look under another. Source: Bradford (Lam 1985), as in ICC.1."""
    gains = (_BRADFORD @ as_triples(target_white, "white")) / (_BRADFORD @ as_triples(source_white, "white"))
    return as_triples(xyz, "xyz") @ np.linalg.solve(_BRADFORD, gains[:, None] * _BRADFORD).T


def hex_to_xyz(text: str) -> Floats:
    """XYZ (3,) of "#rrggbb". Raises BatikError when the text is no such colour."""
    checked: str = _COLOUR.check(text, "colour")
    parts = [int(checked[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    return linear_srgb_to_xyz(decode_srgb(parts))


def hex_to_lab(text: str) -> Floats:
    """CIELAB (3,), D65, of "#rrggbb". Raises BatikError when the text is no such colour."""
    return xyz_to_lab(hex_to_xyz(text))
