"""Birds brushed in a few strokes."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from _brushes.cloths import Sheet, brush, canting
from _brushes.paths import Points, at, curve, polar, profile


def goose(sheet: Sheet, rng: np.random.Generator, place: tuple[float, float], size: float, beat: float) -> None:
    """A goose in flight to the right; `size` 1 spans about 250 pixels, `beat` -1..1 is wings down..up."""

    def put(points: list[tuple[float, float]]) -> Points:
        tilt = -0.10
        turn = np.array([[np.cos(tilt), -np.sin(tilt)], [np.sin(tilt), np.cos(tilt)]])
        return curve(np.array(points) @ turn.T * size + place, step=2)

    def wide(*pairs: tuple[float, float]) -> NDArray[np.float64]:
        return profile(60, pairs) * size

    _wing(sheet, rng, put([(14, -6), (4, -52 * beat - 4), (-26, -104 * beat - 4), (-44, -128 * beat)]), size, beat, far=True)
    body = put([(-78, 8), (-30, 9), (20, 1), (62, -4), (98, -10), (122, -13)])
    brush(sheet, rng, body, wide((0, 3), (0.22, 15), (0.42, 19), (0.58, 10), (0.72, 5.2), (0.9, 5.0), (1, 6.5)), rough=0.04)
    brush(sheet, rng, put([(118, -14), (128, -14), (142, -10)]), wide((0, 7), (0.45, 6.4), (1, 1.2)), rough=0.04)
    brush(sheet, rng, put([(-70, 8), (-90, 4), (-106, 2)]), wide((0, 8), (0.7, 7), (1, 4)), rough=0.1)
    _wing(sheet, rng, put([(16, 0), (-2, -60 * beat), (-44, -122 * beat), (-78, -146 * beat)]), size, beat, far=False)


def _wing(sheet: Sheet, rng: np.random.Generator, arm: Points, size: float, beat: float, *, far: bool) -> None:
    thick = (0.8 if far else 1.0) * size
    trail = -1.0 if beat >= 0 else 1.0
    feathers = 9
    if not far:
        brush(sheet, rng, arm, profile(40, [(0, 22), (0.4, 20), (0.8, 13), (1, 5)]) * thick, rough=0.02, ink=0)
    for index, share in enumerate(np.linspace(0.12, 1.0, feathers)):
        root, heading = at(arm, share)
        reach = (58 - 10 * abs(index - 5)) * thick if index < 7 else (46 - 3 * index) * thick
        away = heading + trail * (1.75 - 1.35 * share)
        tip = polar(root, away, max(reach, 22 * thick))
        feather = curve([root, (root + tip) / 2 + (2, 0), tip], step=2)
        if not far:
            brush(sheet, rng, feather, profile(20, [(0, 9), (0.6, 8.5), (1, 4)]) * thick, rough=0.02, ink=0)
        brush(sheet, rng, feather, profile(20, [(0, 7), (0.6, 6.6), (1, 1.6)]) * thick, rough=0.06)
    brush(sheet, rng, arm, profile(40, [(0, 13), (0.35, 12), (0.8, 7), (1, 2.5)]) * thick, rough=0.05)
    if not far:
        canting(sheet, rng, arm[int(len(arm) * 0.12) : int(len(arm) * 0.8)], 2.4 * size, ink=0, drop=1.0)
