"""Measured cloth and fitted dyes."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from batiksim.cloth.loads import held_load
from batiksim.colour import kubelka_munk, spaces
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.viewing import DAY, seen_xyz
from batiksim.types import Bools, Floats
from batiksim.values import BuildUp, Layers

__all__ = ["DyeFit", "Fit", "Sample", "predict"]


@dataclass(frozen=True, kw_only=True, eq=False)
class Sample:
    """One measured piece of cloth.

    xyz : (3,), D65, as an eye used to the light sees it; reflectance : (31,) where it was measured
    cut : red, green, blue that a photo can't show deeper
    """

    name: str
    layers: Layers
    xyz: Floats
    reflectance: Floats | None = None
    cut: Bools = field(default_factory=lambda: np.zeros(3, np.bool_))

    @property
    def lab(self) -> Floats:
        """CIELAB (3,), D65."""
        return spaces.xyz_to_lab(self.xyz)

    def miss(self, xyz: Floats) -> float:
        """CIEDE2000 between a predicted colour and this one; what the photo can't show doesn't count."""
        linear, mine = spaces.xyz_to_linear_srgb(xyz), spaces.xyz_to_linear_srgb(self.xyz)
        shown = np.where(self.cut, np.maximum(linear, mine), linear)
        return float(delta_e_2000(spaces.xyz_to_lab(spaces.linear_srgb_to_xyz(shown)), self.lab))


@dataclass(frozen=True, kw_only=True)
class DyeFit:
    """One fitted dye: K/S (31,) of load 1, and its build-up."""

    name: str
    ks: Floats
    build_up: BuildUp


@dataclass(frozen=True, kw_only=True)
class Fit:
    """Fitted dyes with the cloth's reflectance (31,), the surface floor and the light they were fitted with."""

    dyes: tuple[DyeFit, ...]
    cloth: Floats
    surface: float
    light: str = DAY

    def dye(self, name: str) -> DyeFit:
        """The dye of that name."""
        return next(dye for dye in self.dyes if dye.name == name)


def predict(fit: Fit, layers: Layers) -> Floats:
    """XYZ (3,) of this cloth dyed with some layers, in the light of the fit."""
    ks, total = kubelka_munk.ks_from_reflectance(fit.cloth, surface=fit.surface), 0.0
    for name, strength in layers:
        dye = fit.dye(name)
        load = dye.build_up.load(strength)
        before, after = held_load(np.array([total, total + load]))
        ks = ks + (after - before) * dye.ks
        total += load
    return seen_xyz(kubelka_munk.reflectance_from_ks(ks, surface=fit.surface), light=fit.light)
