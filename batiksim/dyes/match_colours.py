"""The colours of pots in the thousands at once, for the search of `match`."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.cloth.loads import STRONGEST_POT, WEAKEST_POT, share_taken
from batiksim.colour.ciede2000 import ciede2000_weights
from batiksim.colour.kubelka_munk import reflectance_from_ks
from batiksim.colour.spaces import lab_jacobian, xyz_to_lab
from batiksim.colour.viewing import DAY, seen_weights
from batiksim.types import Floats, Ints

# Strengths that are easily measured out, each about a quarter stronger than the one before; assumption.
STRENGTHS = (
    *(WEAKEST_POT, 0.012, 0.015, 0.02, 0.025, 0.03, 0.04, 0.05, 0.06, 0.08, 0.1, 0.12, 0.15),
    *(0.2, 0.25, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0, 1.25, 1.5, 2.0, STRONGEST_POT),
)


@dataclass(frozen=True, eq=False, kw_only=True)
class Ground:
    """What already lies on the cloth: K/S (31,) of the dyes it holds, and their load in full strengths."""

    ks: Floats
    load: float = 0.0


class PotColours:
    """One wanted colour on one cloth or ground under one light: all that colours of pots need, worked out once."""

    def __init__(self, dyes: ClothDyes, lab: ArrayLike, *, ground: Ground | None = None, light: str = DAY) -> None:
        self.names = list(dyes.dyes)
        self.unit_ks = np.stack([dyes.dyes[name].ks for name in self.names])
        self.build_ups = [dyes.dyes[name].build_up for name in self.names]
        self.bends = np.array([one.bend for one in self.build_ups])
        self.laws = np.array([("linear", "power", "saturating").index(one.law) for one in self.build_ups])
        self.base = dyes.cloth_ks + (0.0 if ground is None else ground.ks)
        self.before = 0.0 if ground is None else ground.load
        self.surface = dyes.surface
        self.lab = np.asarray(lab, dtype=np.float64)
        self.eye = ciede2000_weights(self.lab).T
        self.weights = seen_weights(light)

    def loads(self, strengths: Floats, sets: Ints) -> tuple[Floats, Floats]:
        """Loads of dyes offered at strengths (..., k), and their slopes by the logarithm of strength."""
        law, bend = self.laws[sets], self.bends[sets]
        power = np.where(law == 1, bend, 1.0)
        loads = strengths**power
        slopes = loads * power
        if np.any(law == 2):
            limit = -np.expm1(-np.where(law == 2, bend, 1.0))
            left = np.exp(-bend * strengths)
            loads = np.where(law == 2, (1.0 - left) / limit, loads)
            slopes = np.where(law == 2, strengths * bend * left / limit, slopes)
        return loads, slopes

    def taken(self, offered: Floats) -> Floats:
        """The share of all loads offered (n,) that the fibre still takes."""
        return share_taken(self.before, offered)

    def labs(self, sets: Ints, parts: Ints, strength: Ints) -> Floats:
        """CIELAB (n, 3) of pots, exactly."""
        shares = parts / parts.sum(axis=1, keepdims=True)
        loads, _ = self.loads(np.array(STRENGTHS)[strength][:, None] * shares, sets)
        loads = np.where(sets >= 0, loads, 0.0) * self.taken(np.where(sets >= 0, loads, 0.0).sum(axis=1))[:, None]
        amounts = np.zeros((len(sets), len(self.names) + 1))
        np.put_along_axis(amounts, sets, loads, axis=1)  # place -1, the last, gathers what is no dye
        ks = self.base + amounts[:, :-1] @ self.unit_ks
        return xyz_to_lab(reflectance_from_ks(ks, surface=self.surface) @ self.weights)

    def look(self, u: Floats, sets: Ints) -> tuple[Floats, Floats]:
        """What is missed (n, 3) and its slopes by ln strength (n, k, 3), in CIELAB as the eye weighs it there."""
        loads, rises = self.loads(np.exp(u), sets)
        taken = self.taken(loads.sum(axis=1))[:, None]
        units = self.unit_ks[sets]
        ks = self.base + np.einsum("ni,nib->nb", loads * taken, units)
        root = np.sqrt(ks * (ks + 2.0))
        inner = (1.0 - self.surface) / (1.0 + ks + root)
        xyz = (self.surface + inner) @ self.weights
        by_ks = np.einsum("nb,nib->nib", -inner / np.maximum(root, 1e-9), units) @ self.weights
        slope = by_ks * (rises * taken)[..., None]
        return (xyz_to_lab(xyz) - self.lab) @ self.eye, np.einsum("nic,ndc->nid", slope, lab_jacobian(xyz)) @ self.eye
