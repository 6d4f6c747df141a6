"""Reeds: stalks with plumes, and leaves whose outlines close."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from _brushes.cloths import Sheet, brush, canting, dot
from _brushes.paths import Points, at, curve, noise, polar, profile, shift


@dataclass(frozen=True)
class Blade:
    """One reed leaf: its midrib and the shape it covers."""

    rib: Points
    half: NDArray[np.float64]

    @property
    def shape(self) -> Points:
        """Closed outline."""
        return np.vstack([shift(self.rib, self.half), shift(self.rib, -self.half)[::-1]])


def grow(rng: np.random.Generator, *, height: int) -> tuple[list[Blade], list[Points]]:
    """Leaves, back to front, and stalks rooted below a cloth `height` pixels high."""
    stalks = []
    for root, x, y in (
        (2330, 2260, 300),
        (2200, 2085, 470),
        (2420, 2395, 455),
        (2090, 1930, 690),
        (60, 150, 800),
        (-20, 55, 640),
        (170, 300, 960),
    ):
        stalks.append(curve([(root, height + 40), (root * 0.7 + x * 0.3, (height + y) * 0.53), (x, y)]))
    blades = []
    for index, share, side, reach, droop in (
        (0, 0.30, -1, 430, 0.30), (0, 0.48, 1, 330, 0.25), (1, 0.26, 1, 360, 0.30), (1, 0.44, -1, 420, 0.34),
        (2, 0.20, -1, 470, 0.2), (3, 0.16, -1, 380, 0.36), (3, 0.40, -1, 300, 0.30), (3, 0.30, 1, 300, 0.3),
        (4, 0.22, 1, 360, 0.34), (4, 0.5, -1, 260, 0.3), (5, 0.40, 1, 330, 0.30), (6, 0.22, 1, 300, 0.36),
        (6, 0.42, -1, 230, 0.3),
        (0, 0.12, 1, 380, 0.25), (1, 0.06, -1, 460, 0.34), (4, 0.06, 1, 330, 0.32),
    ):  # fmt: skip
        root, heading = at(stalks[index], share)
        knee = polar(root, heading + side * 0.30, reach * 0.55)
        tip = polar(knee, heading + side * (0.75 + droop), reach * 0.5) + (0, reach * droop * 0.55)
        rib = curve([root, knee, tip])
        wide = reach * rng.uniform(0.040, 0.05)
        half = profile(len(rib), [(0, 2.0), (0.1, wide * 0.5), (0.34, wide), (0.65, wide * 0.74), (1, 1.2)])
        blades.append(Blade(rib, half * (1 + 0.08 * noise(rng, len(rib), every=20))))
    return blades, stalks


def plume(sheet: Sheet, rng: np.random.Generator, stalk: Points, *, white: bool) -> None:
    """A stalk with its plume in fine white lines, or the soft filling of the plume alone."""
    if white:
        brush(sheet, rng, stalk, profile(60, [(0, 4.6), (0.7, 3.4), (1, 2.0)]), rough=0.08)
    for share in np.linspace(0.80, 1.0, 26):
        root, heading = at(stalk, share)
        fall = 1.1 if stalk[-1, 0] > 1200 else -1.1
        for _ in range(2):
            reach = rng.uniform(40, 92) * (1.15 - abs(share - 0.88) * 4.0)
            side = rng.choice([-1.0, 1.0])
            bend = polar(root, heading + side * rng.uniform(0.15, 0.55), reach * 0.6)
            tip = polar(bend, heading + side * 0.5 - fall * rng.uniform(0.2, 0.9), reach * 0.55)
            hair = curve([root, bend, tip])
            if white:
                canting(sheet, rng, hair, 2.6, drop=1.5)
                for at_share in (0.55, 0.8, 1.0):
                    dot(sheet, rng, at(hair, at_share)[0] + rng.normal(0, 2, 2), rng.uniform(1.8, 3.2))
            else:
                brush(sheet, rng, hair, profile(20, [(0, 2.0), (0.5, rng.uniform(4, 7)), (1, 1.5)]))
