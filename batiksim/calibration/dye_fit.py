"""Fits of dyes by least squares: from the pieces' colours alone, or from a fit near to the answer."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache

import numpy as np

from batiksim.calibration.calibration_values import FittedDye, FittedDyes, Sample
from batiksim.cloth.loads import load_held
from batiksim.colour import kubelka_munk, spaces
from batiksim.colour.ciede2000 import ciede2000_weights, delta_e_2000
from batiksim.colour.reflectance_recovery import LEAST_KS, MOST_KS, dye_curve
from batiksim.colour.spaces import lab_jacobian
from batiksim.colour.viewing import DAY, seen_weights
from batiksim.types import Bools, Floats
from batiksim.values import FLOOR, BuildUp, BuildUpLaw

# Assumptions behind the balance of match and smoothness. A patch measures to about CIEDE2000 0.7 in a good photo; the
# log of a dye's K/S bends by about .12 from band to band; the floor is .015, give or take a factor of e ** .6.
NOISE = 0.7
BEND = 0.12
FLOOR_SPREAD, MOST_FLOOR = 0.6, 0.08
BEND_SPREAD = 0.7  # of log(bend) of a build-up law
_LOW, _HIGH = np.log(LEAST_KS), np.log(MOST_KS)
_FENCE = 0.3
ODD = 3.0  # CIEDE2000 from which a patch loses weight, so that one wrong patch can't bend all dyes (Huber)
_SPECTRUM_WEIGHT = 0.35
STEPS = 40  # evaluations at most
KNOTS = 16  # of each curve: every second band


@cache
def _spline() -> tuple[Floats, Floats]:
    """(31, 16) from every second band to all, as smooth as can be, and (29, 16), its second differences."""
    bend = np.diff(np.eye(31), 2, axis=0)
    even, odd = bend[:, ::2], bend[:, 1::2]
    spline = np.zeros((31, 16))
    spline[::2] = np.eye(16)
    spline[1::2] = -np.linalg.lstsq(odd, even, rcond=None)[0]
    return spline, bend @ spline


def fit_dyes(samples: Sequence[Sample], cloth: Floats, *, light: str = DAY) -> FittedDyes:
    """Dyes of linear build-up that show the samples' colours best.

    samples : dyed pieces; each dye needs one where it lies alone
    cloth : (31,) reflectance of the undyed cloth
    light : the one the samples were seen in, by an eye used to it
    """
    cloth_ks = kubelka_munk.ks_from_reflectance(cloth, surface=FLOOR)
    dyes = tuple(
        FittedDye(name=name, ks=curve_from_colour(samples, name, cloth_ks, FLOOR), build_up=BuildUp())
        for name in dict.fromkeys(dye for sample in samples for dye, _ in sample.layers)
    )
    problem = _Problem(samples, FittedDyes(dyes=dyes, cloth=cloth, surface=FLOOR, light=light))
    x = problem.start()
    for _ in range(3):
        x = problem.solve(x)
        problem.weigh(x)
    return problem.result(problem.solve(x))


def refit(
    samples: Sequence[Sample],
    near: FittedDyes,
    *,
    laws: Mapping[str, BuildUpLaw] | None = None,
    surface: float | None = None,
    steps: int = STEPS,
) -> FittedDyes:
    """Dyes that show the samples' colours best, from a fit near to the answer.

    laws : of dyes whose build-up is to follow another law; its bend is fitted
    surface : keep the floor at this
    """
    changed = {name: BuildUp(law=law) for name, law in (laws or {}).items()}
    dyes = tuple(replace(dye, build_up=changed.get(dye.name, dye.build_up)) for dye in near.dyes)
    problem = _Problem(samples, replace(near, dyes=dyes, surface=surface or near.surface), fixed_surface=surface)
    problem.weigh(problem.start())
    return problem.result(problem.solve(problem.start(), steps=steps))


def floor_spread(samples: Sequence[Sample], fit: FittedDyes) -> float:
    """How unsure the floor of a fit to these samples is: standard deviation of its natural logarithm, 0 = certain.

    `FLOOR_SPREAD` = they tell nothing of it.
    """
    problem = _Problem(samples, fit)
    problem.weigh(problem.start())
    jacobian = problem.jacobian(problem.start())
    return float(np.sqrt(np.linalg.inv(jacobian.T @ jacobian)[-1, -1]))


def curve_from_colour(samples: Sequence[Sample], name: str, cloth_ks: Floats, surface: float) -> Floats:
    """K/S (31,) of load 1 of a dye, from the colour alone of its own piece that is nearest to full strength."""
    alone = [sample for sample in samples if sample.alone == name]
    nearest = min(alone, key=lambda sample: abs(np.log(sample.layers[0][1])))
    curve, _ = dye_curve(nearest.xyz, cloth_ks, surface=surface)
    return curve / nearest.layers[0][1]


class _Problem:
    """What is to be small, and how that changes with the unknowns.

    Those stand in a row: 16 knots for each dye, log(bend) for each curved build-up, log(floor).
    near : what to begin from; its laws stay. fixed_surface : where the floor is to stay
    """

    def __init__(self, samples: Sequence[Sample], near: FittedDyes, *, fixed_surface: float | None = None) -> None:
        self.samples, self.near, self.fixed_surface = samples, near, fixed_surface
        self.laws = {dye.name: dye.build_up for dye in near.dyes}
        self.names, self.seen = list(self.laws), seen_weights(near.light)
        self.knots = KNOTS * len(self.names)  # how many come first among the unknowns
        self.curved = [name for name in self.names if self.laws[name].law != "linear"]
        self.layers = [
            (row, self.names.index(dye), strength)
            for row, sample in enumerate(samples)
            for dye, strength in sample.layers
        ]
        self.labs = np.array([sample.lab for sample in samples]).reshape(-1, 3)
        self.lab_weights = ciede2000_weights(self.labs)
        deepest = spaces.xyz_to_linear_srgb(np.array([sample.xyz for sample in samples]))
        self.deepest = np.where(np.array([sample.cut for sample in samples]), deepest, -np.inf)
        self.measured = [row for row, sample in enumerate(samples) if sample.reflectance is not None]
        self.spectra = np.array([samples[row].reflectance for row in self.measured]).reshape(-1, 31)
        self.weight = np.ones(len(samples))

    def unpack(self, x: Floats) -> tuple[Floats, dict[str, BuildUp], float]:
        """The dyes' u (dyes, 31), their build-ups and the floor."""
        u = x[: self.knots].reshape(-1, KNOTS) @ _spline()[0].T
        ups = dict(self.laws)
        for place, name in enumerate(self.curved):
            bend = float(np.clip(np.exp(x[self.knots + place]), 0.05, 9.5))
            ups[name] = BuildUp(law=self.laws[name].law, bend=bend)
        return u, ups, float(min(np.exp(x[-1]), MOST_FLOOR))

    def start(self) -> Floats:
        """The unknowns to begin from."""
        u = np.log(np.clip([dye.ks for dye in self.near.dyes], LEAST_KS, MOST_KS))
        bends = [np.log(self.laws[name].bend) for name in self.curved]
        return np.concatenate([u[:, ::2].ravel(), bends, [np.log(self.near.surface)]])

    def weigh(self, x: Floats) -> None:
        """Let samples that the unknowns miss by far count less."""
        self.weight = np.sqrt(np.minimum(1.0, ODD / np.maximum(self.differences(x), 1e-9)))

    def loads(self, ups: dict[str, BuildUp]) -> Floats:
        """Load of each dye in each sample: (samples, dyes)."""
        loads, totals = np.zeros((len(self.samples), len(self.names))), np.zeros(len(self.samples))
        for row, dye, strength in self.layers:
            load = ups[self.names[dye]].load(strength)
            total = totals[row]
            taken = load
            if total + load > 2.0:
                before, after = load_held(np.array([total, total + load]))
                taken = float(after - before)
            loads[row, dye] += taken
            totals[row] += load
        return loads

    def colours(self, u: Floats, loads: Floats, surface: float) -> tuple[Floats, Floats]:
        """Reflectance (samples, 31) and its slope by K/S."""
        ks = kubelka_munk.ks_from_reflectance(self.near.cloth, surface=surface)
        ks = ks + loads @ np.exp(np.clip(u, _LOW - 3, _HIGH + 2))
        root = np.sqrt(ks * (ks + 2.0)) + 1e-12
        inner = 1.0 / (1.0 + ks + root)
        return surface + (1.0 - surface) * inner, (surface - 1.0) * inner / root

    def residuals(self, x: Floats) -> Floats:
        """Everything that least squares make small, in units of the noise."""
        u, ups, surface = self.unpack(x)
        reflectance, _ = self.colours(u, self.loads(ups), surface)
        lab = spaces.xyz_to_lab(self.shown(reflectance)[0])
        off = np.einsum("nij,nj->ni", self.lab_weights, lab - self.labs) * (self.weight / NOISE)[:, None]
        return np.concatenate([off.ravel(), self.spectral(reflectance), self.prior(x, u)])

    def shown(self, reflectance: Floats) -> tuple[Floats, Bools]:
        """XYZ as the photo can show it, and the channels where it shows no further change."""
        xyz = reflectance @ self.seen
        linear = spaces.xyz_to_linear_srgb(xyz)
        lost = linear < self.deepest
        if not lost.any():
            return xyz, lost
        return spaces.linear_srgb_to_xyz(np.where(lost, self.deepest, linear)), lost

    def spectral(self, reflectance: Floats) -> Floats:
        """What measured reflectances miss, in units of the noise; none where none was measured."""
        off = 100 * (np.cbrt(reflectance[self.measured]) - np.cbrt(np.maximum(self.spectra, 1e-4)))
        return np.asarray((off * _SPECTRUM_WEIGHT * self.weight[self.measured][:, None] / NOISE).ravel())

    def prior(self, x: Floats, u: Floats) -> Floats:
        """What makes curves smooth and keeps everything within sensible limits."""
        knots = x[: self.knots].reshape(-1, KNOTS)
        bend = knots @ _spline()[1].T / BEND
        out = (knots - np.clip(knots, _LOW, _HIGH)) * _FENCE
        laws = x[self.knots : -1] / BEND_SPREAD
        floor = (x[-1:] - np.log(FLOOR)) / FLOOR_SPREAD
        if self.fixed_surface is not None:
            floor = 1e3 * (x[-1:] - np.log(self.fixed_surface))
        return np.concatenate([bend.ravel(), out.ravel(), laws, floor])

    def jacobian(self, x: Floats) -> Floats:
        """The slope of `residuals`: exact for the curves, by small steps for the few others."""
        u, ups, surface = self.unpack(x)
        loads = self.loads(ups)
        reflectance, by_ks = self.colours(u, loads, surface)
        xyz, lost = self.shown(reflectance)
        weights = np.broadcast_to(self.seen, (len(loads), 31, 3))
        if lost.any():
            linear = spaces.xyz_to_linear_srgb(self.seen) * ~lost[:, None, :]
            weights = spaces.linear_srgb_to_xyz(linear)
        to_lab = np.einsum("nij,njk,nbk->nib", self.lab_weights, lab_jacobian(xyz), weights)
        to_lab *= (self.weight / NOISE)[:, None, None]
        limited = np.clip(u, _LOW - 3, _HIGH + 2)
        by_u = np.einsum("nb,nd,db->ndb", by_ks, loads, np.exp(limited) * (limited == u))
        spline, bend = _spline()
        lab_part = np.einsum("nib,ndb,bk->nidk", to_lab, by_u, spline).reshape(3 * len(loads), -1)
        rows = by_u[self.measured] * _SPECTRUM_WEIGHT / NOISE * self.weight[self.measured][:, None, None]
        rows = rows * (100 / 3 / np.cbrt(reflectance[self.measured]) ** 2)[:, None, :]
        spectral = np.einsum("ndb,bk->nbdk", rows, spline).reshape(-1, self.knots)
        knots = x[: self.knots].reshape(-1, KNOTS)
        outside = np.diag(((knots < _LOW) | (knots > _HIGH)).ravel() * _FENCE)
        curves = np.concatenate([lab_part, spectral, np.kron(np.eye(len(self.names)), bend / BEND), outside])
        others = len(self.curved) + 1
        jacobian = np.zeros((len(curves) + others, self.knots + others))
        jacobian[: len(curves), : self.knots] = curves
        base = self.residuals(x)
        for column in range(self.knots, self.knots + others):
            step = x.copy()
            step[column] += 1e-4
            jacobian[:, column] = (self.residuals(step) - base) / 1e-4
        return jacobian

    def differences(self, x: Floats) -> Floats:
        """CIEDE2000 of each sample."""
        u, ups, surface = self.unpack(x)
        xyz, _ = self.shown(self.colours(u, self.loads(ups), surface)[0])
        return delta_e_2000(spaces.xyz_to_lab(xyz), self.labs)

    def solve(self, x: Floats, *, steps: int = STEPS) -> Floats:
        """The unknowns that make the residuals least, from a start."""
        from scipy.optimize import least_squares

        solution = least_squares(
            self.residuals, x, jac=self.jacobian, method="lm", max_nfev=steps, ftol=1e-4, xtol=1e-5
        )
        return np.asarray(solution.x)

    def result(self, x: Floats) -> FittedDyes:
        """The fit of some unknowns."""
        u, ups, surface = self.unpack(x)
        ks = np.exp(np.clip(u, _LOW, _HIGH))
        dyes = tuple(FittedDye(name=name, ks=ks[at], build_up=ups[name]) for at, name in enumerate(self.names))
        return replace(self.near, dyes=dyes, surface=surface)
