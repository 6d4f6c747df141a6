"""Colour spaces and differences. Everything works on the last axis, of 3; leading axes are free.

XYZ has Y = 1 for perfect white. sRGB runs 0..1. CIELAB and OKLab have their usual units; hues are in degrees.
White is D65 as sRGB defines it (x .3127, y .3290), so that the grey axis is exactly neutral in every space here.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from batiksim.types import Floats, as_triples
from batiksim.values.fields import colour

__all__ = [
    "D65",
    "OKLAB_FROM_AND_TO_LINEAR",
    "adapt",
    "decode_srgb",
    "delta_e_2000",
    "encode_srgb",
    "fit_to_srgb",
    "hex_to_lab",
    "hex_to_xyz",
    "lab_to_hex",
    "lab_to_xyz",
    "linear_srgb_to_xyz",
    "oklab_to_oklch",
    "oklab_to_xyz",
    "oklch_to_oklab",
    "xyz_to_hex",
    "xyz_to_lab",
    "xyz_to_linear_srgb",
    "xyz_to_oklab",
]


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


def delta_e_2000(lab1: ArrayLike, lab2: ArrayLike) -> Floats:
    """CIEDE2000 difference of (..., 3) and (..., 3), broadcast. Source: Sharma, Wu & Dalal 2005."""
    first, second = as_triples(lab1, "lab1"), as_triples(lab2, "lab2")
    l1, a1, b1 = np.moveaxis(first, -1, 0)
    l2, a2, b2 = np.moveaxis(second, -1, 0)
    stretch = 1.5 - 0.5 * _seventh((np.hypot(a1, b1) + np.hypot(a2, b2)) / 2)
    c1, c2 = np.hypot(a1 * stretch, b1), np.hypot(a2 * stretch, b2)
    h1, h2 = np.arctan2(b1, a1 * stretch), np.arctan2(b2, a2 * stretch)
    turn = np.where(c1 * c2 == 0, 0.0, (h2 - h1 + np.pi) % (2 * np.pi) - np.pi)
    hue = np.degrees(np.where(c1 == 0, h2, np.where(c2 == 0, h1, h1 + turn / 2))) % 360
    light, chroma = (l1 + l2) / 2 - 50, (c1 + c2) / 2
    d_light = (l2 - l1) / (1 + 0.015 * light**2 / np.sqrt(20 + light**2))
    d_chroma = (c2 - c1) / (1 + 0.045 * chroma)
    d_hue = 2 * np.sqrt(c1 * c2) * np.sin(turn / 2) / (1 + 0.015 * chroma * _hue_weight(hue))
    bend = np.exp(-(((hue - 275) / 25) ** 2))
    twist = -2 * _seventh(chroma) * np.sin(np.radians(60 * bend))
    squared = d_light**2 + d_chroma**2 + d_hue**2 + twist * d_chroma * d_hue
    return np.asarray(np.sqrt(np.maximum(squared, 0.0)))


def _seventh(chroma: Floats) -> Floats:
    power = (chroma / 25.0) ** 7
    return np.asarray(np.sqrt(power / (power + 1.0)))


def _hue_weight(hue: Floats) -> Floats:
    rad = np.radians(hue)
    weight: Floats = (
        1
        - 0.17 * np.cos(rad - np.radians(30))
        + 0.24 * np.cos(2 * rad)
        + 0.32 * np.cos(3 * rad + np.radians(6))
        - 0.20 * np.cos(4 * rad - np.radians(63))
    )
    return weight


def fit_to_srgb(xyz: ArrayLike) -> Floats:
    """Encoded sRGB 0..1 (..., 3) of XYZ (..., 3): colours out of reach lose chroma until they fit.

    Colours within reach pass unchanged. Lightness and hue hold as far as an eye can tell (OKLCh, .02).
    Source: W3C CSS Color Module Level 4, "Gamut mapping" (binary search with local clipping).
    """
    linear = xyz_to_linear_srgb(xyz)
    out = np.any((linear < -1e-9) | (linear > 1 + 1e-9), axis=-1)
    fitted = np.clip(linear, 0.0, 1.0)
    if np.any(out):
        fitted[out] = _less_chroma(xyz_to_oklab(as_triples(xyz, "xyz")[out]))
    return encode_srgb(fitted)


JUST_SEEN, CLOSE_ENOUGH = 0.02, 0.0001  # OKLab units; CSS Color 4


def _less_chroma(oklab: Floats) -> Floats:
    """Linear sRGB 0..1 (n, 3) of OKLab colours (n, 3) that sRGB can't show."""
    best, loss = _clipped(oklab)
    low, high = np.zeros(len(oklab)), np.ones(len(oklab))  # shares of the colour's chroma
    full = np.hypot(oklab[:, 1], oklab[:, 2])
    all_in = np.ones(len(oklab), dtype=bool)
    ends = (oklab[:, 0] >= 1) | (oklab[:, 0] <= 0)
    best[ends] = np.where(oklab[ends, :1] >= 1, 1.0, 0.0)
    busy = ~ends & (loss >= JUST_SEEN)
    while np.any(busy := busy & ((high - low) * full > CLOSE_ENOUGH)):
        share = (low + high) / 2
        tried, loss = _clipped(oklab * np.stack([np.ones_like(share), share, share], axis=-1))
        inside = all_in & (loss < 1e-7)
        best = np.where((busy & ~inside)[:, None], tried, best)
        near = ~inside & (loss < JUST_SEEN)
        found = near & (JUST_SEEN - loss < CLOSE_ENOUGH)
        all_in &= ~(busy & near)
        up = inside | near
        low, high = np.where(busy & up & ~found, share, low), np.where(busy & ~up, share, high)
        busy &= ~found
    return best


def _clipped(oklab: Floats) -> tuple[Floats, Floats]:
    """Linear sRGB cut to 0..1, and what the cut costs in OKLab."""
    clipped = np.clip(xyz_to_linear_srgb(oklab_to_xyz(oklab)), 0.0, 1.0)
    return clipped, np.linalg.norm(xyz_to_oklab(linear_srgb_to_xyz(clipped)) - oklab, axis=-1)


def hex_to_xyz(text: str) -> Floats:
    """XYZ (3,) of "#rrggbb". Raises BatikError when the text is no such colour."""
    checked = colour("colour", text)
    parts = [int(checked[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    return linear_srgb_to_xyz(decode_srgb(parts))


def xyz_to_hex(xyz: ArrayLike) -> str:
    """The colour "#rrggbb" of one XYZ (3,), brought into sRGB by `fit_to_srgb`."""
    triple = as_triples(xyz, "xyz")
    if triple.shape != (3,):
        raise ValueError(f"xyz needs shape (3,), got {triple.shape}")
    return "#" + "".join(f"{round(255 * value):02x}" for value in fit_to_srgb(triple).tolist())


def hex_to_lab(text: str) -> Floats:
    """CIELAB (3,), D65, of "#rrggbb". Raises BatikError when the text is no such colour."""
    return xyz_to_lab(hex_to_xyz(text))


def lab_to_hex(lab: ArrayLike) -> str:
    """The colour "#rrggbb" of one CIELAB (3,), D65, brought into sRGB by `fit_to_srgb`."""
    return xyz_to_hex(lab_to_xyz(lab))
