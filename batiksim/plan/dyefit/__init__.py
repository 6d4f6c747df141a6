"""Dyes fitted to measured cloth: every dye's curve, build-up and the surface floor together.

The model is the one that predicts (`cloth`): K = K_cloth + sum(load * k), k = exp(u) with u smooth. All measured
pieces of cloth are matched at once; a smooth u is worth a little misfit, as far as noise would make one anyway.
"""

from batiksim.plan.dyefit.fitting import fit_dyes, floor_spread, with_law
from batiksim.plan.dyefit.problem import FLOOR_SPREAD, ODD
from batiksim.plan.dyefit.values import DyeFit, Fit, Sample, predict

__all__ = ["FLOOR_SPREAD", "ODD", "DyeFit", "Fit", "Sample", "fit_dyes", "floor_spread", "predict", "with_law"]
