"""Shapes that the maker's own order tells apart and another order lets vanish."""

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

import numpy as np

from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.ordering.areas import Partition
from batiksim.types import Bools, Floats

# CIEDE2000, assumptions: from `TOLD` on, two areas of the design as it stands are meant to differ; below `LOST` they
# become hard to tell apart, the nearer the more
TOLD, LOST = 12.0, 6.0
LEAST_PART = 0.05  # of the smaller area's outline, below which two areas only touch
WHOLE_SHARE = 0.01  # of the cloth, from which a shape counts in full
STEEPEST_LIGHT = 1.75  # CIEDE2000 is at least the difference in L* over this: S_L at L* 0 or 100 (Sharma et al. 2005)


class Border(NamedTuple):
    """Two areas that touch and are to be told apart. weight : how much it matters, 0..1."""

    one: int
    other: int
    weight: float


def told_apart(areas: Partition, labs: Floats, wanted: Floats, muddy: Bools) -> tuple[Border, ...]:
    """Every border that the design as it stands shows, by the part of the smaller area's outline; less of small areas.

    labs : (areas, 3) of the design as it stands; wanted : the same of what is wanted, nan where nothing is: areas that
        are to be of one colour have no border to lose; muddy : (areas,) whose colour is a mishap, not a shape
    """
    outline = areas.edges.sum(axis=1)
    same = delta_e_2000(wanted[:, None], wanted[None]) < TOLD  # nan compares as False
    found = []
    for one, other in np.argwhere(np.triu(areas.edges) > 0).tolist():
        part = areas.edges[one, other] / min(outline[one], outline[other])
        if part < LEAST_PART or same[one, other] or muddy[one] or muddy[other]:
            continue
        if delta_e_2000(labs[one], labs[other]) < TOLD:
            continue
        size = min(1.0, min(areas.shares[one], areas.shares[other]) / WHOLE_SHARE)
        found.append(Border(one=one, other=other, weight=float(part * size)))
    return tuple(found)


def blurred(borders: Iterable[Border], labs: Floats, *, apart: float) -> Floats:
    """How far areas look alike across borders, (orders,): by their weight where they are of one colour.

    labs : (orders, areas, 3); apart : CIEDE2000 from which on they don't
    """
    left = np.zeros(len(labs))
    for one, other, weight in borders:
        light = np.abs(labs[:, one, 0] - labs[:, other, 0])
        near = np.flatnonzero(light < STEEPEST_LIGHT * apart)
        off = delta_e_2000(labs[near, one], labs[near, other])
        left[near] += weight * np.maximum(0.0, 1.0 - off / apart)
    return left


def gone(borders: Sequence[Border], labs: Floats) -> Iterator[tuple[Border, float]]:
    """Borders of one order (areas, 3) that don't show any more, the largest loss first, with their CIEDE2000."""
    off = {border: float(delta_e_2000(labs[border.one], labs[border.other])) for border in borders}
    lost = [border for border in borders if off[border] < LOST and border.weight * (1 - off[border] / LOST) >= 0.1]
    for border in sorted(lost, key=lambda one: -one.weight * (1 - off[one] / LOST)):
        yield border, off[border]
