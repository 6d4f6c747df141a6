"""The colours that a row of dyeings can give, each spot closed with wax when it has had enough.

A dyeing offers one pot to the whole cloth, or a few pots side by side, each brushed on where it belongs. The way of a
spot is the pots it took, in order, until wax closed it: () for bare cloth, (1, 0) for the second pot of the first
dyeing and the first of the next.
"""

from collections.abc import Sequence
from functools import lru_cache
from itertools import product

import numpy as np

from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.cloth.loads import share_taken
from batiksim.colour.kubelka_munk import reflectance_from_ks
from batiksim.colour.spaces import xyz_to_lab
from batiksim.colour.spectra import light_weights
from batiksim.types import Floats
from batiksim.values import Pot

Bath = tuple[tuple[str, float], ...]
"""What one pot offers: (dye, full strengths of it), one dye or more."""
Dyeing = tuple[Bath, ...]
Plan = tuple[Dyeing, ...]


@lru_cache(maxsize=256)
def all_ways(shape: tuple[int, ...]) -> tuple[tuple[int, ...], ...]:
    """Every way through dyeings of so many pots each, those closed first in front."""
    return tuple(way for stage in range(len(shape) + 1) for way in product(*(range(pots) for pots in shape[:stage])))


def palette(dyes: ClothDyes, plan: Plan) -> Floats:
    """CIELAB (ways, 3) that a plan can give, in the order of `all_ways`."""
    ks, loads = offered(dyes, [bath for dyeing in plan for bath in dyeing])
    return np.asarray(xyz_to_lab(plan_xyz(dyes, tuple(map(len, plan)), ks[None], loads[None])[0]))


def offered(dyes: ClothDyes, baths: Sequence[Bath]) -> tuple[Floats, Floats]:
    """K/S (n, 31) and loads (n,) that baths offer open cloth."""
    ks, loads = np.zeros((len(baths), len(dyes.cloth_ks))), np.zeros(len(baths))
    for place, bath in enumerate(baths):
        held = {name: dyes.dyes[name].build_up.load(full) for name, full in bath}
        ks[place], loads[place] = dyes.ks_of(held), sum(held.values())
    return ks, loads


def plan_xyz(dyes: ClothDyes, shape: tuple[int, ...], ks: Floats, loads: Floats) -> Floats:
    """XYZ (plans, ways, 3) of plans of one shape whose pots offer K/S (plans, pots, 31) and loads (plans, pots)."""
    count, bands = len(ks), dyes.cloth_ks.shape[0]
    had = np.broadcast_to(dyes.cloth_ks, (count, 1, bands))
    load_before = np.zeros((count, 1))
    colours, first = [had], 0
    for pots in shape:
        load = loads[:, None, first : first + pots]
        taken = share_taken(load_before[:, :, None], load)
        more = taken[..., None] * ks[:, None, first : first + pots]
        had = (had[:, :, None] + more).reshape(count, -1, bands)
        load_before = (load_before[:, :, None] + load).reshape(count, -1)
        colours.append(had)
        first += pots
    whole = np.concatenate(colours, axis=1)
    return np.asarray(reflectance_from_ks(whole, surface=dyes.surface) @ light_weights())


def pot_bath(pot: Pot) -> Bath:
    """What a pot offers."""
    return tuple((name, full) for name, full in pot.loads().items() if full > 0)


def bath_pot(bath: Bath, name: str) -> Pot:
    """A bath as a pot: parts of full-strength solutions, thinned."""
    whole = sum(full for _, full in bath)
    if len(bath) == 1:
        return Pot(name=name, parts={bath[0][0]: 1.0}, strength=whole)
    return Pot(name=name, parts={dye: round(full / whole * 100, 1) for dye, full in bath}, strength=round(whole, 3))
