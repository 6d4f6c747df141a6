"""How much fibre holds of all the dye that it was offered, and between which strengths a pot is of use.

Common practice, no source: beyond about three full strengths cotton barely takes more dye. Loads count in full up to
the knee, then near the ceiling without reaching it. Both figures are assumptions.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from batiksim.types import Floats

__all__ = ["LOAD_CEILING", "LOAD_KNEE", "STRONGEST_POT", "WEAKEST_POT", "held_load", "taken_share"]


LOAD_KNEE = 2.5
LOAD_CEILING = 3.5

# Full strengths of a pot that is of use. A hundredth of every demo dye still changes bare cloth by 8 CIEDE2000 and more
# (magenta by 27), from which a colour plainly shows (assumption); at half of that the palest no longer do. Dye beyond
# the knee mostly washes off.
WEAKEST_POT, STRONGEST_POT = 0.01, LOAD_KNEE


def held_load(offered: ArrayLike) -> Floats:
    """What fibre holds of all the full strengths it was offered. offered : any shape, >= 0; returns the same shape."""
    offered = np.asarray(offered, dtype=np.float64)
    room = LOAD_CEILING - LOAD_KNEE
    over = np.maximum(offered - LOAD_KNEE, 0.0)
    return np.where(offered <= LOAD_KNEE, offered, LOAD_KNEE + room * (1.0 - np.exp(-over / room)))


def taken_share(before: ArrayLike, offered: ArrayLike) -> Floats:
    """The share of a bath that fibre takes, 0..1; 1 of a bath without dye.

    before : full strengths that the fibre was offered until then, >= 0; offered : those of the bath, >= 0; broadcast
    """
    before, offered = np.asarray(before, dtype=np.float64), np.asarray(offered, dtype=np.float64)
    taken = held_load(before + offered) - held_load(before)
    share: Floats = np.divide(taken, offered, out=np.ones_like(taken), where=offered > 0)
    return share
