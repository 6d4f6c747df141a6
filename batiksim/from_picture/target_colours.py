"""A picture's colours as the search for dyes takes them: which there are, how much each counts, what lies by what."""

from dataclasses import dataclass, field

import numpy as np

from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.types import Floats, Ints

LEAST_SHARE = 2e-3  # of the picture; smaller colours don't steer the search
LEAST_PART = 1e-3  # of the colours alike; smaller parts of them don't either
ALIKE_COLOURS = 8.0  # CIEDE2000 up to which colours count as one
EVEN = 0.6  # power of a colour's area: a small bright spot matters more than its area (set by eye)


@dataclass(frozen=True, kw_only=True, eq=False)
class TargetColours:
    """A picture's colours.

    lab : (n, 3), D65; share : (n,) of the cloth, in all 1
    beside : (m, 2), numbers of colours that lie side by side; parting : (m,) share of the cloth that a line of wax
        between them would cover
    """

    lab: Floats
    share: Floats
    beside: Ints = field(default_factory=lambda: np.zeros((0, 2), np.int64))
    parting: Floats = field(default_factory=lambda: np.zeros(0))


def main_colours(colours: TargetColours) -> TargetColours:
    """The colours that steer the search: less those that next to nothing has, small ones counting above their area."""
    order = np.argsort(-colours.share, kind="stable")
    lead = np.arange(len(order))
    for place, colour in enumerate(order):
        heavier = order[:place][lead[order[:place]] == order[:place]]
        if len(heavier):
            apart = delta_e_2000(colours.lab[colour], colours.lab[heavier])
            lead[colour] = heavier[apart.argmin()] if apart.min() < ALIKE_COLOURS else colour
    area = np.bincount(lead, colours.share, len(order))[lead]
    kept = area >= min(LEAST_SHARE, float(area.max()))
    kept &= colours.share >= LEAST_PART * area
    weight = (colours.share * area ** (EVEN - 1))[kept]
    number = np.cumsum(kept) - 1
    pairs = kept[colours.beside].all(axis=1)
    beside = number[colours.beside[pairs]]
    return TargetColours(
        lab=colours.lab[kept], share=weight / weight.sum(), beside=beside, parting=colours.parting[pairs]
    )
