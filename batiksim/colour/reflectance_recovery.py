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
from batiksim.types import BANDS, Floats, as_spectra, as_triples

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
    fit = _CurveFit(as_triples(xyz, "xyz"), np.zeros(BANDS), surface, LEAST_CLOTH_KS)
    unit_ks, delta_e = fit.solve()
    return reflectance_from_ks(unit_ks, surface=surface), delta_e


def dye_curve(xyz: ArrayLike, cloth_ks: ArrayLike, *, surface: float) -> tuple[Floats, float]:
    """K/S (31,) of load 1 of the dye that shows a colour on this cloth, and how far it misses (CIEDE2000).

    xyz : (3,), D65, of the dyed cloth
    cloth_ks : (31,; >= 0), K/S of the bare cloth
    surface : 0..1, see `kubelka_munk`
    Of all curves exp(u) that match, this is the smoothest: least in the squared second differences of u and, with
    TENSION, the squared first ones. A colour out of reach (paler than the cloth, darker than the surface, too vivid for
    any smooth dye) gives about the nearest one, and the honest residual.
    """
    return _CurveFit(as_triples(xyz, "xyz"), as_spectra(cloth_ks, "cloth_ks"), surface, LEAST_KS).solve()


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
