"""Reflectance on the grid, what light makes of it, and the smoothest spectrum that shows a wanted colour.

The grid is 400-700 nm by 10 nm (31 bands), everywhere. XYZ has Y = 1 for perfect white.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from batiksim.colour.kubelka_munk import ks_from_reflectance, reflectance_from_ks
from batiksim.colour.lab_slopes import eye_weights, lab_slope
from batiksim.colour.spaces import D65, delta_e_2000, xyz_to_lab, xyz_to_linear_srgb
from batiksim.errors import BatikError, nearest
from batiksim.types import BANDS, Floats, as_spectra, as_triples
from batiksim.values import LIGHTS

__all__ = [
    "BANDS_NM",
    "LIGHTS",
    "dye_curve",
    "light_weights",
    "reflectance_to_xyz",
    "resample",
    "smooth_reflectance",
    "white_point",
]

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
        raise BatikError("is not a known light", field="light", got=light, fix=nearest(light, LIGHTS))
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
        raise BatikError("a spectrum needs at least four wavelengths, each with a value", got=f"{nm.size} wavelengths")
    if not (np.all(np.isfinite(nm)) and np.all(np.isfinite(values))):
        raise BatikError("a spectrum has something that isn't a number in it", fix="fill in or delete that line")
    if np.any(np.diff(nm) <= 0):
        raise BatikError("wavelengths must rise from line to line", fix="sort the lines, each wavelength once")
    if nm[0] > 420 or nm[-1] < 680:
        got = f"{nm[0]:g} to {nm[-1]:g} nm"
        raise BatikError("the spectrum is too short", got=got, fix="measure from 420 to 680 nm or more")
    at = np.clip(BANDS_NM, nm[0], nm[-1])
    near = np.clip(np.searchsorted(nm, at) - 2, 0, len(nm) - 4)[:, None] + np.arange(4)
    points, heights = nm[near], values[near]
    result = np.zeros(BANDS)
    for i in range(4):
        others = [m for m in range(4) if m != i]
        result += heights[:, i] * np.prod((at[:, None] - points[:, others]) / (points[:, [i]] - points[:, others]), 1)
    return np.clip(result, heights.min(axis=1), heights.max(axis=1))


# Limits of a unit curve, assumed. Below the first a dye is as clear as water (R drops by .004 on white cloth); above
# the second it is as black as the surface lets it be (R .0025 above it). Without limits, colours out of reach would
# send the curve to zero or infinity, and its overdyes with it. Cloth may be clearer still: #ffffff is perfect white.
LEAST_KS, MOST_KS, LEAST_CLOTH_KS = 1e-5, 200.0, 1e-10
SMOOTHNESS = 1e-2  # 100 units of bend weigh as much as CIEDE2000 1: hardly felt within reach, no cliffs outside it
# Bend alone leaves both ends of a curve running off as steeply as it left the middle, which no dye does. A little of
# the slope beside it takes a quarter off what overdyes miss; more hardly gains (tests/outside/test_curves.py).
TENSION = 0.1
_BEND, _SLOPE = (np.diff(np.eye(BANDS), order, axis=0) for order in (2, 1))
_STIFFNESS = SMOOTHNESS * (_BEND.T @ _BEND + TENSION * _SLOPE.T @ _SLOPE)
_FENCE = 10 * SMOOTHNESS  # for a curve that leaves the limits, by the square
_LONGEST_STEP, _MOST_STEPS = 3.0, 60


def smooth_reflectance(xyz: ArrayLike, *, surface: float) -> tuple[Floats, float]:
    """The smoothest cloth of a colour: reflectance (31,; `surface`..1) and how far it misses (CIEDE2000).

    xyz : (3,), D65. It is the dye of that colour on perfectly white cloth: see `dye_curve`.
    """
    match = _Match(as_triples(xyz, "xyz"), np.zeros(BANDS), surface, LEAST_CLOTH_KS)
    unit_ks, residual = match.solve()
    return reflectance_from_ks(unit_ks, surface=surface), residual


def dye_curve(xyz: ArrayLike, cloth_ks: ArrayLike, *, surface: float) -> tuple[Floats, float]:
    """K/S (31,) of load 1 of the dye that shows a colour on this cloth, and how far it misses (CIEDE2000).

    xyz : (3,), D65, of the dyed cloth
    cloth_ks : (31,; >= 0), K/S of the bare cloth
    surface : 0..1, see `mixing`
    Of all curves exp(u) that match, this is the smoothest: least in the squared second differences of u and, with
    TENSION, the squared first ones. A colour out of reach (paler than the cloth, darker than the surface, too vivid for
    any smooth dye) gives about the nearest one, and the honest residual. Method: damped Gauss-Newton
    (Levenberg-Marquardt), the match as a stiff spring.
    Raises ValueError for wrong shapes and for what isn't a number.
    """
    match = _Match(as_triples(xyz, "xyz"), as_spectra(cloth_ks, "cloth_ks"), surface, LEAST_KS)
    return match.solve()


class _Match:
    """The search for one curve. The miss is CIELAB at the target, weighed as CIEDE2000 would about there."""

    def __init__(self, target: Floats, cloth: Floats, surface: float, least_ks: float) -> None:
        if target.shape != (3,) or cloth.shape != (BANDS,):
            raise ValueError(f"needs xyz (3,) and cloth_ks (31,), got {target.shape} and {cloth.shape}")
        if not (np.all(np.isfinite(target)) and np.all(np.isfinite(cloth)) and np.all(cloth >= 0)):
            raise ValueError("xyz and cloth_ks need finite numbers, and cloth_ks none below 0")
        self.target, self.cloth, self.surface = target, cloth, surface
        self.low, self.high = np.log(least_ks), np.log(MOST_KS)
        self.lab = xyz_to_lab(target)
        self.weigh = eye_weights(self.lab)

    def solve(self) -> tuple[Floats, float]:
        u = self.start()
        miss, slope = self.look(u)
        cost, damping = self.cost(u, miss), 1e-3
        for _ in range(_MOST_STEPS):
            step = self.step(u, miss, slope, damping)
            tried_miss, tried_slope = self.look(u + step)
            tried = self.cost(u + step, tried_miss)
            if tried > cost:
                damping *= 10
                continue
            done = cost - tried <= 1e-3 * cost
            u, miss, slope, cost, damping = u + step, tried_miss, tried_slope, tried, max(damping / 5, 1e-6)
            if done:
                break
        unit_ks = np.exp(np.clip(u, self.low, self.high))
        return unit_ks, float(delta_e_2000(xyz_to_lab(self.shown(unit_ks)), self.lab))

    def start(self) -> Floats:
        """From what the dye must take of blue, green and red light (450, 550 and 620 nm)."""
        bare = xyz_to_linear_srgb(self.shown(np.zeros(BANDS)))
        wanted = xyz_to_linear_srgb(self.target)
        both = ks_from_reflectance(np.clip([wanted, bare], 0.003, 1.0), surface=self.surface)
        take = np.clip(both[0] - both[1], 1e-3, MOST_KS)
        return np.asarray(np.interp(BANDS_NM, [450.0, 550.0, 620.0], np.log(take[::-1])))

    def shown(self, unit_ks: Floats) -> Floats:
        return reflectance_to_xyz(reflectance_from_ks(self.cloth + unit_ks, surface=self.surface))

    def look(self, u: Floats) -> tuple[Floats, Floats]:
        """Miss (3,) and its slope by u (3, 31)."""
        unit_ks = np.exp(np.clip(u, self.low - 3.0, self.high + 3.0))
        ks = self.cloth + unit_ks
        root = np.sqrt(ks * (ks + 2.0))
        inner = 1.0 / (1.0 + ks + root)
        xyz = reflectance_to_xyz(self.surface + (1.0 - self.surface) * inner)
        by_u = (self.surface - 1.0) * inner / root * unit_ks
        slope = self.weigh @ lab_slope(xyz) @ light_weights().T * by_u
        return self.weigh @ (xyz_to_lab(xyz) - self.lab), slope

    def outside(self, u: Floats) -> Floats:
        return u - np.clip(u, self.low, self.high)

    def cost(self, u: Floats, miss: Floats) -> float:
        out = self.outside(u)
        return float(miss @ miss + u @ _STIFFNESS @ u + _FENCE * out @ out)

    def step(self, u: Floats, miss: Floats, slope: Floats, damping: float) -> Floats:
        out = self.outside(u)
        gradient = slope.T @ miss + _STIFFNESS @ u + _FENCE * out
        curvature = slope.T @ slope + _STIFFNESS
        curvature[np.diag_indices(BANDS)] += damping * SMOOTHNESS + _FENCE * (out != 0)
        step = -np.linalg.solve(curvature, gradient)
        return np.asarray(step * min(1.0, _LONGEST_STEP / max(float(np.abs(step).max()), 1e-12)))
