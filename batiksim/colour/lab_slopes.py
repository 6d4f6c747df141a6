"""Small steps of colour as the eye weighs them, for searches that need slopes. Differences themselves are CIEDE2000."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from batiksim.colour.spaces import D65
from batiksim.types import Floats, as_triples

__all__ = ["eye_weights", "lab_slope"]

_LAB_FROM_CURVE = np.array([[0.0, 116.0, 0.0], [500.0, -500.0, 0.0], [0.0, 200.0, -200.0]])


def eye_weights(lab: ArrayLike) -> Floats:
    """What turns small CIELAB steps at colours (..., 3) into about CIEDE2000: (..., 3, 3), weights @ step.

    Rows are lightness, chroma and hue, each by its own weight. What CIEDE2000 adds for near-greys (a fuller a*) and
    for blues (hue turned against chroma) is left out. Source: Sharma, Wu and Dalal 2005, the weights S.
    """
    light, a, b = np.moveaxis(as_triples(lab, "lab"), -1, 0)
    chroma, hue = np.hypot(a, b), np.arctan2(b, a)
    s_light = 1 + 0.015 * (light - 50) ** 2 / np.sqrt(20 + (light - 50) ** 2)
    s_chroma, s_hue = 1 + 0.045 * chroma, 1 + 0.015 * chroma
    weights = np.zeros((*light.shape, 3, 3))
    weights[..., 0, 0] = 1 / s_light
    weights[..., 1, 1], weights[..., 1, 2] = np.cos(hue) / s_chroma, np.sin(hue) / s_chroma
    weights[..., 2, 1], weights[..., 2, 2] = -np.sin(hue) / s_hue, np.cos(hue) / s_hue
    return weights


def lab_slope(xyz: ArrayLike) -> Floats:
    """How CIELAB changes with XYZ (..., 3; D65) there: (..., 3, 3), slope @ step. Source: CIE 015:2018."""
    ratio = np.maximum(as_triples(xyz, "xyz") / D65, (6 / 29) ** 3)
    curve = 1 / (3 * np.cbrt(ratio) ** 2 * D65)
    return np.asarray(_LAB_FROM_CURVE * curve[..., None, :])
