"""Dyes and pots on a given cloth: what each adds to the cloth's absorption.

Everything is in K/S, which adds up: K = K_cloth + sum(load * k) (Kubelka and Munk 1931, single constant).
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from batiksim.cloth.loads import share_taken
from batiksim.cloth.undyed import BareCloth, bare_cloth
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.kubelka_munk import ks_from_reflectance, reflectance_from_ks
from batiksim.colour.reflectance_recovery import dye_curve, smooth_reflectance
from batiksim.colour.spaces import hex_to_xyz, xyz_to_lab
from batiksim.colour.spectra import reflectance_to_xyz, resample
from batiksim.errors import BatikError
from batiksim.types import Floats
from batiksim.values import BuildUp, Cloth, Design, Dye, Pot
from batiksim.values.frozen import FrozenDict

# A measured reflectance at or below the surface floor counts as this much above it: K/S about 5000, black. Assumption.
LEAST_ABOVE = 1e-4


@dataclass(frozen=True, eq=False, kw_only=True)
class DyeOnCloth:
    """One dye as it takes on one cloth.

    ks : (31,) K/S of one full strength, >= 0
    residual : CIEDE2000 between the stated colour and the one this cloth can show
    build_up : how the load grows with the strength offered
    """

    name: str
    ks: Floats
    residual: float
    build_up: BuildUp = field(default_factory=BuildUp)


@dataclass(frozen=True, eq=False, kw_only=True)
class ClothDyes:
    """Undyed cloth and every dye of a design on it.

    colour : of the undyed cloth, "#rrggbb"; cloth_ks : (31,) its K/S; surface : its Kubelka-Munk surface floor
    """

    colour: str
    cloth_ks: Floats
    surface: float
    dyes: Mapping[str, DyeOnCloth]

    @property
    def bare(self) -> BareCloth:
        """The undyed cloth."""
        return BareCloth(colour=self.colour, surface=self.surface)

    def pot_table(self, pot: Pot) -> Floats:
        """Full strengths (256, dyes) that a pot offers at each level of a paint mask, dyes in the order of `dyes`."""
        table = np.zeros((256, len(self.dyes)))
        for at, dye in enumerate(self.dyes.values()):
            full = pot.loads().get(dye.name, 0.0)
            if full > 0:
                table[:, at] = [dye.build_up.load(full * (row / 255.0)) for row in range(256)]
        return table

    def pot_loads(self, pot: Pot, level: float = 1.0) -> dict[str, float]:
        """Full strengths of each dye that a pot brushed on at a level offers open cloth; 1 = as it is mixed."""
        return {name: self.dyes[name].build_up.load(full * level) for name, full in pot.loads().items()}

    def offered(self, pots: Sequence[Pot], level: float) -> tuple[Floats, Floats]:
        """K/S (n, 31) that each pot brushed on at a level offers open cloth, and the full strengths (n,) of it."""
        loads = [self.pot_loads(pot, level) for pot in pots]
        return np.stack([self.ks_of(one) for one in loads]), np.array([sum(one.values()) for one in loads])

    def ks_of(self, loads: Mapping[str, float]) -> Floats:
        """K/S (31,) that loads of some dyes add to the cloth's."""
        return sum((load * self.dyes[name].ks for name, load in loads.items()), np.zeros_like(self.cloth_ks))

    def taken_ks(self, pots: Iterable[Pot], *, level: float = 1.0, before: float = 0.0) -> Floats:
        """K/S (31,) that pots add to open cloth, each over the whole of it, in order; late baths barely take.

        level : as of `pot_loads`; before : full strengths that the cloth was offered already
        """
        ks = np.zeros_like(self.cloth_ks)
        for pot in pots:
            loads = self.pot_loads(pot, level)
            offered = sum(loads.values())
            ks = ks + share_taken(before, offered) * self.ks_of(loads)
            before += offered
        return ks

    def reflectance(self, ks: ArrayLike = 0.0) -> Floats:
        """Reflectance (..., 31) of the cloth where its dyes add K/S (..., 31); of the bare cloth when left out."""
        return reflectance_from_ks(self.cloth_ks + np.asarray(ks), surface=self.surface)

    def labs(self, ks: ArrayLike = 0.0) -> Floats:
        """CIELAB (..., 3) of the cloth where its dyes add K/S (..., 31); of the bare cloth when left out."""
        return xyz_to_lab(reflectance_to_xyz(self.reflectance(ks)))


def dyes_on_cloth(design: Design) -> ClothDyes:
    """Fit every dye of a design through its cloth and surface floor."""
    return cloth_dyes(design.cloth, design.dyes)


def cloth_dyes(cloth: Cloth, dyes: Sequence[Dye]) -> ClothDyes:
    """Fit dyes of differing names (a design's or a book's) through a cloth and its surface floor.

    What the cloth leaves open (its colour, its floor) is as on the cloth that the dyes were seen on: `bare_cloth`.
    """
    bare = bare_cloth(cloth, dyes)
    cloth_ks = undyed_ks(bare.colour, bare.surface)
    fitted = {dye.name: _dye_on_cloth(dye, cloth_ks, bare.surface) for dye in dyes}
    return ClothDyes(colour=bare.colour, cloth_ks=cloth_ks, surface=bare.surface, dyes=FrozenDict(fitted))


def undyed_ks(colour: str, surface: float) -> Floats:
    """K/S (31,) of undyed cloth of a colour "#rrggbb" and a surface floor."""
    return ks_from_reflectance(smooth_reflectance(hex_to_xyz(colour), surface=surface)[0], surface=surface)


def _dye_on_cloth(dye: Dye, cloth_ks: Floats, surface: float) -> DyeOnCloth:
    """A dye's curve, fitted through the undyed cloth it was seen on; what it adds is the same on every cloth."""
    if dye.seen_on is not None:
        surface = surface if dye.seen_on.surface is None else dye.seen_on.surface
        cloth_ks = undyed_ks(dye.seen_on.colour, surface)
    if dye.samples:
        ks, residual = _measured_curve(dye.samples, cloth_ks, surface)
    elif dye.colour is not None:
        ks, residual = dye_curve(hex_to_xyz(dye.colour), cloth_ks, surface=surface)
    else:
        raise BatikError("cloth.error.dye_without_colour", field=f"dye {dye.name!r}")
    return DyeOnCloth(name=dye.name, ks=ks, residual=residual, build_up=dye.build_up)


def _measured_curve(samples: tuple[tuple[float, float], ...], cloth_ks: Floats, surface: float) -> tuple[Floats, float]:
    """K/S (31,) of a measured dye without its cloth, and how far that misses the measured colour (CIEDE2000)."""
    nm, values = np.array(samples, dtype=np.float64).T
    measured = resample(nm, values)
    ks = ks_from_reflectance(np.maximum(measured, surface + LEAST_ABOVE), surface=surface) - cloth_ks
    ks = np.maximum(ks, 0.0)
    shown = reflectance_from_ks(cloth_ks + ks, surface=surface)
    labs = xyz_to_lab(reflectance_to_xyz(np.stack([shown, measured])))
    return ks, float(delta_e_2000(labs[0], labs[1]))
