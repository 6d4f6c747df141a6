"""Fits of dyes: from the pieces' colours alone, or from a fit near to the answer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from batiksim.calibration.calibration_values import FittedDyes, Sample
from batiksim.calibration.least_squares import ODD, Problem
from batiksim.colour import kubelka_munk
from batiksim.colour.reflectance_recovery import LEAST_KS, MOST_KS, dye_curve
from batiksim.colour.viewing import DAY
from batiksim.types import Floats
from batiksim.values import FLOOR, BuildUp, BuildUpLaw

__all__ = ["fit_dyes", "floor_spread", "with_law"]


def fit_dyes(
    samples: Sequence[Sample],
    cloth: Floats,
    *,
    laws: Mapping[str, BuildUpLaw] | None = None,
    start: FittedDyes | None = None,
    surface: float | None = None,
    steps: int = 40,
    light: str = DAY,
) -> FittedDyes:
    """Dyes that show the samples' colours best.

    samples : dyed pieces; each dye needs one where it lies alone, unless `start` has it
    cloth : (31,) reflectance of the undyed cloth
    laws : build-up laws other than linear; their bends are fitted
    start : a fit near to the answer
    surface : keep the floor at this
    light : the one the samples were seen in, by an eye used to it; that of `start` where there is one
    """
    names = list(dict.fromkeys(dye for sample in samples for dye, _ in sample.layers))
    if start is not None:
        names = [dye.name for dye in start.dyes]
    wanted = {name: BuildUp(law=(laws or {}).get(name, "linear")) for name in names}
    if start is not None:
        known = {dye.name: dye.build_up for dye in start.dyes}
        wanted = {name: known[name] if known[name].law == up.law else up for name, up in wanted.items()}
    problem = Problem(samples, names, cloth, wanted, light if start is None else start.light)
    problem.fixed_surface = surface
    first = surface or (FLOOR if start is None else start.surface)
    curves = _first_curves(samples, names, cloth, first) if start is None else [dye.ks for dye in start.dyes]
    x = problem.start(np.log(np.clip(curves, LEAST_KS, MOST_KS)), first)
    if start is not None:
        problem.weight = _weights(problem.differences(x))
        return problem.result(problem.solve(x, steps=steps))
    for _ in range(3):
        x = problem.solve(x, steps=steps)
        problem.weight = _weights(problem.differences(x))
    return problem.result(problem.solve(x, steps=steps))


def floor_spread(samples: Sequence[Sample], fit: FittedDyes) -> float:
    """How unsure the floor of a fit to these samples is: standard deviation of its natural logarithm, 0 = certain."""
    laws = {dye.name: dye.build_up for dye in fit.dyes}
    problem = Problem(samples, list(laws), fit.cloth, laws, fit.light)
    curves = np.clip([dye.ks for dye in fit.dyes], LEAST_KS, MOST_KS)
    x = problem.start(np.log(curves), fit.surface)
    problem.weight = _weights(problem.differences(x))
    return problem.floor_spread(x)


def _weights(off: Floats) -> Floats:
    return np.sqrt(np.minimum(1.0, ODD / np.maximum(off, 1e-9)))


def _first_curves(samples: Sequence[Sample], names: Sequence[str], cloth: Floats, surface: float) -> list[Floats]:
    """Each dye from the colour of its patch nearest to full strength."""
    cloth_ks = kubelka_munk.ks_from_reflectance(cloth, surface=surface)
    curves = []
    for name in names:
        alone = [sample for sample in samples if len(sample.layers) == 1 and sample.layers[0][0] == name]
        best = min(alone, key=lambda sample: abs(np.log(sample.layers[0][1])))
        curve, _ = dye_curve(best.xyz, cloth_ks, surface=surface)
        curves.append(curve / best.layers[0][1])
    return curves


def with_law(fit: FittedDyes, name: str, law: BuildUpLaw) -> FittedDyes:
    """The same fit with one dye's build-up law changed, as a start."""
    changed = tuple(replace(dye, build_up=BuildUp(law=law)) if dye.name == name else dye for dye in fit.dyes)
    return replace(fit, dyes=changed)
