"""Recovering a reflectance from one colour: the smoothest spectrum that shows it on a given cloth.

One colour fits many curves; of those this takes the smoothest K/S that a dye could have. Method: damped Gauss-Newton
(Levenberg-Marquardt), the match as a stiff spring.
"""

import numpy as np
from numpy.typing import ArrayLike

from batiksim.colour.ciede2000 import ciede2000_weights, delta_e_2000
from batiksim.colour.kubelka_munk import ks_from_reflectance, reflectance_from_ks
from batiksim.colour.spaces import lab_jacobian, xyz_to_lab, xyz_to_linear_srgb
from batiksim.colour.spectra import BANDS_NM, light_weights, reflectance_to_xyz
from batiksim.types import BANDS, Floats, alone, as_spectra, as_triples

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
    """The smoothest reflectance that shows a colour.

    Parameters
    ----------
    xyz : array_like, (3,)
        XYZ, D65, Y = 1 for perfect white.
    surface : float
        Share of light that the fibre's surface throws back before any dye can take it, 0 <= surface < 1.

    Returns
    -------
    reflectance : numpy.ndarray, (31,)
        At `BANDS_NM`, `surface`..1.
    residual : float
        How far its colour misses, CIEDE2000.

    Raises
    ------
    TypeError, ValueError
        If `xyz` isn't three finite numbers, or `surface` is no number of its range.

    See Also
    --------
    dye_curve : The same search for a dye on a given cloth; this is its dye on perfectly white cloth.

    Examples
    --------
    >>> natural = batiksim.colour.hex_to_xyz("#f1ede2")
    >>> reflectance, residual = batiksim.colour.smooth_reflectance(natural, surface=0.015)
    >>> batiksim.colour.xyz_to_hex(batiksim.colour.reflectance_to_xyz(reflectance))
    '#f1ede2'
    """
    fit = _CurveFit(alone(as_triples(xyz, "xyz"), "xyz"), np.zeros(BANDS), surface, LEAST_CLOTH_KS)
    unit_ks, delta_e = fit.solve()
    return reflectance_from_ks(unit_ks, surface=surface), delta_e


def dye_curve(xyz: ArrayLike, cloth_ks: ArrayLike, *, surface: float) -> tuple[Floats, float]:
    """K/S of the smoothest dye that shows a colour on a cloth.

    Parameters
    ----------
    xyz : array_like, (3,)
        XYZ, D65, Y = 1 for perfect white, of the dyed cloth.
    cloth_ks : array_like, (31,)
        K/S of the bare cloth at `BANDS_NM`, 0 or more.
    surface : float
        Share of light that the fibre's surface throws back before any dye can take it, 0 <= surface < 1.

    Returns
    -------
    unit_ks : numpy.ndarray, (31,)
        K/S that the dye adds to the cloth's at full strength (load 1), above 0.
    residual : float
        How far the dyed cloth's colour misses, CIEDE2000.

    Raises
    ------
    TypeError, ValueError
        If `xyz` isn't three finite numbers, `cloth_ks` not 31, or `surface` is no number of its range.

    Notes
    -----
    Of all curves exp(u) that match, this is the smoothest: least in the squared second differences of u and, with a
    little tension, the squared first ones. Damped Gauss-Newton (Levenberg-Marquardt), the match as a stiff spring. A
    colour out of reach (paler than the cloth, darker than the surface, too vivid for any smooth dye) gives about the
    nearest one, and the honest residual.

    Examples
    --------
    >>> cloth_ks = batiksim.colour.ks_from_reflectance(np.full(31, 0.85), surface=0.015)
    >>> blue = batiksim.colour.hex_to_xyz("#1c3f94")
    >>> unit_ks, residual = batiksim.colour.dye_curve(blue, cloth_ks, surface=0.015)
    >>> dyed = batiksim.colour.reflectance_from_ks(cloth_ks + unit_ks, surface=0.015)
    >>> batiksim.colour.xyz_to_hex(batiksim.colour.reflectance_to_xyz(dyed))
    '#1c3f94'
    """
    target, bare = alone(as_triples(xyz, "xyz"), "xyz"), alone(as_spectra(cloth_ks, "cloth_ks"), "cloth_ks")
    return _CurveFit(target, bare, surface, LEAST_KS).solve()


class _CurveFit:
    """The search for one curve u = log K/S. Residuals are CIELAB at the target, weighed about as CIEDE2000 does."""

    def __init__(self, target: Floats, cloth_ks: Floats, surface: float, least_ks: float) -> None:
        self.target, self.cloth_ks, self.surface = target, cloth_ks, surface
        self.low, self.high = np.log(least_ks), np.log(MOST_KS)
        self.lab = xyz_to_lab(target)
        self.weights = ciede2000_weights(self.lab)

    def solve(self) -> tuple[Floats, float]:
        """K/S (31,) and its CIEDE2000 from the target."""
        u = self.initial_guess()
        residual, jacobian = self.linearise(u)
        cost, damping = self.cost(u, residual), 1e-3
        for _ in range(_MOST_STEPS):
            trial = u + self.step(u, residual, jacobian, damping)
            trial_residual, trial_jacobian = self.linearise(trial)
            trial_cost = self.cost(trial, trial_residual)
            if trial_cost > cost:
                damping *= 10
                continue
            converged = cost - trial_cost <= 1e-3 * cost
            u, residual, jacobian, cost = trial, trial_residual, trial_jacobian, trial_cost
            damping = max(damping / 5, 1e-6)
            if converged:
                break
        unit_ks = np.exp(np.clip(u, self.low, self.high))
        return unit_ks, float(delta_e_2000(xyz_to_lab(self.xyz_on_cloth(unit_ks)), self.lab))

    def initial_guess(self) -> Floats:
        """From what the dye must take of blue, green and red light (450, 550 and 620 nm)."""
        colours = [xyz_to_linear_srgb(xyz) for xyz in (self.target, self.xyz_on_cloth(np.zeros(BANDS)))]
        dyed, bare = ks_from_reflectance(np.clip(colours, 0.003, 1.0), surface=self.surface)
        taken = np.clip(dyed - bare, 1e-3, MOST_KS)
        return np.asarray(np.interp(BANDS_NM, [450.0, 550.0, 620.0], np.log(taken[::-1])))

    def xyz_on_cloth(self, unit_ks: Floats) -> Floats:
        """XYZ (3,) of the cloth with load 1 on it."""
        return reflectance_to_xyz(reflectance_from_ks(self.cloth_ks + unit_ks, surface=self.surface))

    def linearise(self, u: Floats) -> tuple[Floats, Floats]:
        """Residual (3,) and its Jacobian by u (3, 31)."""
        unit_ks = np.exp(np.clip(u, self.low - 3.0, self.high + 3.0))
        ks = self.cloth_ks + unit_ks
        root = np.sqrt(ks * (ks + 2.0))
        inner = 1.0 / (1.0 + ks + root)
        xyz = reflectance_to_xyz(self.surface + (1.0 - self.surface) * inner)
        reflectance_by_u = (self.surface - 1.0) * inner / root * unit_ks
        jacobian = self.weights @ lab_jacobian(xyz) @ light_weights().T * reflectance_by_u
        return self.weights @ (xyz_to_lab(xyz) - self.lab), jacobian

    def beyond_limits(self, u: Floats) -> Floats:
        return u - np.clip(u, self.low, self.high)

    def cost(self, u: Floats, residual: Floats) -> float:
        beyond = self.beyond_limits(u)
        return float(residual @ residual + u @ _STIFFNESS @ u + _FENCE * beyond @ beyond)

    def step(self, u: Floats, residual: Floats, jacobian: Floats, damping: float) -> Floats:
        beyond = self.beyond_limits(u)
        gradient = jacobian.T @ residual + _STIFFNESS @ u + _FENCE * beyond
        curvature = jacobian.T @ jacobian + _STIFFNESS
        curvature[np.diag_indices(BANDS)] += damping * SMOOTHNESS + _FENCE * (beyond != 0)
        step = -np.linalg.solve(curvature, gradient)
        return np.asarray(step * min(1.0, _LONGEST_STEP / max(float(np.abs(step).max()), 1e-12)))
