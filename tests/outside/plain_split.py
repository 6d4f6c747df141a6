"""The yardstick for cloths from pictures: colours split to the nearest, dyes by their looks, whatever lies under.

The picture's colours are gathered into as many heaps as the cloth shows (Lloyd's k-means from the most different
colours), the palest is left bare, each other is given the dye of the book nearest to it, and dyed from pale to dark.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.picture_plan.palette import palette
from tests.picture_plan.known_cloths import lab


def plain_split(
    rgb: NDArray[np.uint8], dyes: ClothDyes, steps: int
) -> tuple[tuple[tuple[tuple[tuple[str, float], ...], ...], ...], NDArray[np.uint8]]:
    """Dyeings, and the wax before each: uint8 (dyeings, rows, cols)."""
    pixels = lab(rgb)
    heaps = _heaps(pixels.reshape(-1, 3), steps + 1)
    heaps = heaps[np.argsort(-heaps[:, 0])]
    stage = ((pixels[..., None, :] - heaps) ** 2).sum(axis=-1).argmin(axis=-1)
    names = list(dyes.dyes)
    shown = np.array([palette(dyes, ((((name, 1.0),),),))[1] for name in names])
    plan = tuple(((((names[int(delta_e_2000(heap, shown).argmin())], 1.0),)),) for heap in heaps[1:])
    return plan, np.stack([np.where(stage <= at, 255, 0) for at in range(steps)]).astype(np.uint8)


def _heaps(pixels: NDArray[np.float64], count: int) -> NDArray[np.float64]:
    middle = [pixels[pixels[:, 0].argmax()]]
    for _ in range(count - 1):
        apart = np.min([((pixels - one) ** 2).sum(axis=1) for one in middle], axis=0)
        middle.append(pixels[apart.argmax()])
    found = np.array(middle)
    for _ in range(12):
        group = ((pixels[:, None] - found) ** 2).sum(axis=-1).argmin(axis=1)
        found = np.array([
            pixels[group == one].mean(axis=0) if (group == one).any() else found[one] for one in range(count)
        ])  # fmt: skip
    return found
