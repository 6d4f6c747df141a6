"""Colours that the design asks for: what is wanted so is no trouble."""

from __future__ import annotations

import numpy as np

from batiksim.checks.scene.scene import Scene
from batiksim.cloth.outcome import History
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.dyes.mud import DEFAULT_RULE
from batiksim.dyes.target_colour import wanted_colour
from batiksim.errors import BatikError
from batiksim.types import Bools
from batiksim.values import Want

__all__ = ["asked_for"]

NEAR_PX = 2  # rough pixels around a wanted spot: it may lie on an edge


def asked_for(scene: Scene, history: History) -> bool:
    """Whether the design wants the colour that a region has at the end, there.

    A want whose area is a picture that no step uses can't be placed here: its colour alone decides.
    """
    return any(_is_wanted(scene, history, want) for want in scene.design.wants)


def _is_wanted(scene: Scene, history: History, want: Want) -> bool:
    try:
        lab = np.array(wanted_colour(want.colour).lab)
    except BatikError:  # told where wants are read
        return False
    if delta_e_2000(lab, scene.lab(history)) > DEFAULT_RULE.pardon:
        return False
    where = scene.rough_reached(history)
    if want.at_mm is not None:
        return _is_at(scene, where, want.at_mm)
    if want.where not in scene.uses:
        return True
    inside = scene.rough[scene.uses.index(want.where)] >= 128
    return bool(np.count_nonzero(where & inside) >= 0.5 * np.count_nonzero(where))


def _is_at(scene: Scene, where: Bools, at_mm: tuple[float, float]) -> bool:
    col, row = (int(mm * scene.px_per_mm / scene.rough_factor) for mm in at_mm)
    rows, cols = (slice(max(0, at - NEAR_PX), at + NEAR_PX + 1) for at in (row, col))
    return bool(where[rows, cols].any())
