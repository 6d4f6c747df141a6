"""How wax cracks when a cloth is crumpled: a network of lines, in mm, that knows nothing of pixels or masks.

Cracks come one after another, the long ones first. Each grows both ways from a spot with room around it: along the
folds of the cloth where it stands alone, across the gap between older cracks where there are some. A crack that nears
an older one turns to meet it squarely and stops there, for the wax beside an open crack is only pulled along it. Finer
cracks follow until the wanted spacing is reached: the harder cloth is crumpled, the more of them.
"""

from dataclasses import dataclass

import numpy as np

from batiksim.cloth.effects import crackle_growth
from batiksim.types import Floats, Ints

# All lengths in mm. Common practice, no source: main folds of crumpled cloth lie some cm apart.
LONGEST_MM = 70.0
FINER = 0.8  # each round of cracks has this share of the room that the round before needed
CELL_MM = 0.3
MOST_CELLS = 8_000_000  # larger cloths are looked at in coarser cells: bounds the memory
BLOCK_MM = 50.0  # the network covers whole blocks, so that a pixel more or less at the border changes nothing


@dataclass(frozen=True, eq=False)
class Cracks:
    """A network of cracks, in the order in which they came.

    x, y : float64 (points,) in mm from the top left corner, crack after crack
    width : float64 (points,) in mm, 0 at an end that runs out
    starts : int64 (cracks + 1,): crack c has the points starts[c] .. starts[c + 1] - 1
    room : float64 (cracks,): how far apart cracks of its round stand, in mm
    ends : int64 (cracks, 2), of `crackle_growth`: `FREE` ran out, `MET` an older crack, `OUT` left the cloth
    met : int64 (cracks, 2): the point of the crack that was met, or -1
    """

    x: Floats
    y: Floats
    width: Floats
    starts: Ints
    room: Floats
    ends: Ints
    met: Ints

    def __len__(self) -> int:
        return len(self.room)


def crack_network(width_mm: float, height_mm: float, *, spacing_mm: float, seed: int) -> Cracks:
    """The cracks of a cloth.

    width_mm, height_mm : of the cloth
    spacing_mm : about how far apart the finest cracks stand, 1 or more
    seed : the same seed gives the same cracks; with a smaller spacing the long ones stay about where they were
    """
    wide, high = (BLOCK_MM * np.ceil((side + 0.37 * BLOCK_MM) / BLOCK_MM) for side in (width_mm, height_mm))
    cell = max(CELL_MM, float(np.sqrt(wide * high / MOST_CELLS)))
    rounds = [LONGEST_MM]
    while rounds[-1] * FINER > 0.6 * spacing_mm:
        rounds.append(rounds[-1] * FINER)
    step = 1.1 * cell
    most = int(6 * wide * high / (spacing_mm * step)) + 100_000
    rows, cols = int(high / cell) + 1, int(wide / cell) + 1
    grown = crackle_growth.grow(rows, cols, cell, step, np.array(rounds), float(spacing_mm), most, seed % 2**63)
    return Cracks(*grown)
