"""Poppies part by part: each lays a closed shape over what was drawn before it."""

from __future__ import annotations

import math

import numpy as np
from scipy.ndimage import gaussian_filter

from _brushes.cloths import Sheet, brush, canting, dot
from _brushes.paths import Points, at, bow, curve, noise, part, polar, profile, shift

SIZE = 2100
UP = -math.pi / 2
FULL = 200
"""Ink of the wash sheet where the pink is brushed on as usual."""


class Drawing:
    """White lines, and the areas they close: `green` for leaf and stem, `petal` for flowers."""

    def __init__(self, rng: np.random.Generator) -> None:
        self.rng = rng
        self.line, self.green, self.petal, self.streak, self.vein, self.tone = (Sheet(SIZE, SIZE) for _ in range(6))

    def shape(self, outline: Points, *, petal: bool, width: float = 7.5) -> None:
        """Lay a closed shape over everything before it and outline it."""
        for sheet in (self.line, self.streak, self.vein):
            sheet.fill(outline, ink=0)
        self.petal.fill(outline, ink=255 if petal else 0)
        self.tone.fill(outline, ink=FULL)
        self.green.fill(outline, ink=0 if petal else 255)
        canting(self.line, self.rng, np.vstack([outline, outline[:3]]), width, drop=1.25)


def stem(drawing: Drawing, path: Points, half: float) -> None:
    """A hairy stem, outlined on both sides."""
    rng = drawing.rng
    wide = half * (1 + 0.1 * noise(rng, len(path), every=40))
    drawing.shape(np.vstack([shift(path, wide), shift(path, -wide)[::-1]]), petal=False, width=5.5)
    for share in np.arange(0.1, 0.99, 0.011):
        root, heading = at(path, share)
        side = rng.choice([-1, 1])
        start = polar(root, heading + side * math.pi / 2, half)
        tip = polar(start, heading + side * rng.uniform(0.9, 1.3), rng.uniform(10, 19))
        drawing.line.hair(np.array([start, tip]), 2.6)


def leaf(drawing: Drawing, rib: Points, wide: float) -> None:
    """A toothed leaf along its midrib, `wide` at its widest to each side."""
    rng, count = drawing.rng, 240
    share = np.linspace(0, 1, count)
    body = np.sin(np.pi * np.clip(share, 0, 1) ** 0.72) ** 0.75
    edges, teeth = [], 8
    for side in (-1, 1):
        phase = share * teeth + (0.35 if side > 0 else 0.0) + 0.12 * noise(rng, count, every=40)
        saw = (phase % 1.0) ** 0.8
        reach = wide * body * (0.36 + 0.64 * saw * (1 - 0.35 * (saw > 0.97))) + 3
        dense = np.column_stack([np.interp(share, np.linspace(0, 1, len(rib)), rib[:, axis]) for axis in (0, 1)])
        along = np.gradient(dense, axis=0)
        along /= np.hypot(along[:, 0], along[:, 1])[:, None]
        edges.append(shift(dense, side * reach) + along * (saw * wide * 0.42 * body)[:, None])
    outline = np.vstack([edges[0], edges[1][::-1]])
    smooth = np.column_stack([gaussian_filter(outline[:, axis], 1.6, mode="wrap") for axis in (0, 1)])
    drawing.shape(smooth, petal=False, width=6.5)
    canting(drawing.line, rng, part(rib, 0.0, 0.93), max(4.0, wide * 0.045), drop=1.2)
    for tooth in range(1, teeth):
        for side, lag in ((-1, 0.0), (1, 0.35)):
            root, heading = at(rib, max((tooth - 0.62 - lag * 0.9) / teeth, 0.02))
            reach = wide * 0.80 * math.sin(math.pi * min(((tooth - lag) / teeth), 0.99) ** 0.72) ** 0.75
            vein = bow(root, polar(root, heading - side * 0.86, reach), 0.12 * side)
            canting(drawing.line, rng, vein, 3.0, drop=1.3)
            canting(drawing.vein, rng, shift(vein, 7 * side), 5.0, drop=1.1)
    brush(drawing.vein, rng, shift(part(rib, 0.02, 0.9), 9), profile(40, [(0, 4), (0.5, 5.0), (1, 1.5)]), rough=0.3)


def petal(drawing: Drawing, centre: Points, angle: float, reach: float, spread: float, warp: np.ndarray) -> None:
    """One petal from `centre` outwards; `warp` (2, 2) tilts the whole flower."""
    rng = drawing.rng
    turn = np.linspace(-1, 1, 90)
    shoulder = np.clip(1 - np.abs(turn) ** 5.0, 0, 1) ** 0.5
    frill = 0.030 * noise(rng, 90, every=7) + 0.055 * noise(rng, 90, every=16)
    rim = reach * (0.40 + 0.60 * shoulder) * (1 + frill * shoulder) * (1 - 0.07 * turn * turn)
    ring = np.column_stack([np.cos(turn * spread), np.sin(turn * spread)]) * rim[:, None]
    ring = np.vstack([[(6.0, -reach * 0.05)], ring, [(6.0, reach * 0.05)]])
    rotate = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    outline = curve((ring @ rotate.T) @ warp.T + centre, closed=True)
    drawing.shape(outline, petal=True, width=8.0)
    drawing.tone.fill(outline, ink=62)
    for place in np.linspace(-0.95, 0.95, 17) + rng.normal(0, 0.03, 17):
        far = np.interp(place, turn, rim) * rng.uniform(0.55, 0.94)
        swing = place * spread * np.array([0.6, 0.85, 1.0])
        line = np.array([0.02 * reach, 0.5 * far, far])
        wash = curve(np.column_stack([line * np.cos(swing), line * np.sin(swing)]) @ rotate.T @ warp.T + centre)
        wide = profile(30, [(0, 0.045), (0.5, 0.06), (1, 0.012)]) * reach
        brush(drawing.tone, rng, wash, wide, rough=0.3, ink=int(rng.integers(125, 180)))
        brush(
            drawing.tone, rng, part(wash, 0, rng.uniform(0.4, 0.62)), wide, rough=0.3, ink=int(rng.integers(205, 255))
        )
    for place in np.linspace(-0.78, 0.78, 9) + rng.normal(0, 0.03, 9):
        far = np.interp(place, turn, rim) * rng.uniform(0.62, 0.93)
        line = np.array([(d, 0.0) for d in (0.30 * reach, 0.6 * far + 0.1 * reach, far)])
        swing = place * spread * np.array([0.72, 0.92, 1.0]) + rng.normal(0, 0.012, 3)
        line = np.column_stack([line[:, 0] * np.cos(swing), line[:, 0] * np.sin(swing)])
        path = curve((line @ rotate.T) @ warp.T + centre)
        if rng.uniform() < 0.55:
            brush(drawing.line, rng, path[::-1], profile(30, [(0, 0.9), (0.4, 2.3), (1, 0.8)]))
        else:
            brush(drawing.streak, rng, path, profile(30, [(0, 5.0), (0.3, 4.2), (1, 0.8)]), rough=0.3)
    _blotch(drawing, centre, angle, reach, spread, warp)


def _blotch(drawing: Drawing, centre: Points, angle: float, reach: float, spread: float, warp: np.ndarray) -> None:
    rng = drawing.rng
    for place in np.linspace(-0.8, 0.8, 13):
        end = reach * (0.40 - 0.10 * abs(place)) * rng.uniform(0.8, 1.25)
        line = np.array([polar((0, 0), angle + place * spread, d) for d in (reach * 0.04, end * 0.5, end)])
        brush(
            drawing.streak,
            rng,
            curve(line @ warp.T + centre),
            profile(20, [(0, 8), (0.4, reach * 0.032), (1, 1.2)]),
            rough=0.25,
        )


def bloom(
    drawing: Drawing, centre: tuple[float, float], reach: float, *, tilt: float, squash: float, turn: float
) -> None:
    """An open flower seen from above."""
    rng = drawing.rng
    spin = np.array([[math.cos(tilt), -math.sin(tilt)], [math.sin(tilt), math.cos(tilt)]])
    warp = spin @ np.diag([1.0, squash]) @ spin.T
    middle = np.array(centre)
    for index, angle in enumerate(turn + np.array([0.0, 3.3, 1.7, 4.85, 0.75, 3.95])):
        back = index < 4
        petal(
            drawing, middle, angle + rng.normal(0, 0.06), reach * (1.0 if back else 0.74), 0.82 if back else 0.66, warp
        )
    _heart(drawing, middle, reach, warp)


def _heart(drawing: Drawing, middle: Points, reach: float, warp: np.ndarray) -> None:
    rng = drawing.rng
    for ring, count in ((0.20, 26), (0.255, 30), (0.30, 24)):
        for angle in np.linspace(0, 2 * math.pi, count, endpoint=False) + rng.normal(0, 0.05, count):
            far = ring * reach * rng.uniform(0.9, 1.12)
            tip = middle + warp @ polar((0, 0), angle, far)
            root = middle + warp @ polar((0, 0), angle, far * 0.62)
            drawing.line.hair(np.array([root, tip]), 2.2)
            dot(drawing.line, rng, tip, reach * rng.uniform(0.010, 0.0165))
    around = np.linspace(0, 2 * math.pi, 16, endpoint=False)
    lobes = reach * 0.125 * (1 + 0.10 * np.cos(8 * around + 0.4) + 0.05 * rng.normal(0, 1, 16))
    ring_path = curve(np.column_stack([np.cos(around), np.sin(around)]) * lobes[:, None] @ warp.T + middle, closed=True)
    drawing.shape(ring_path, petal=False, width=6.5)
    for angle in np.linspace(0, 2 * math.pi, 9, endpoint=False) + rng.normal(0, 0.05, 9):
        spoke = np.array([middle + warp @ polar((0, 0), angle, d * reach) for d in (0.015, 0.06, 0.098)])
        canting(drawing.line, rng, curve(spoke), 4.0, drop=1.5)


def cup(drawing: Drawing, base: tuple[float, float], reach: float, *, lean: float) -> None:
    """A flower seen from the side."""
    rng = drawing.rng
    warp = np.diag([0.92, 1.0])
    middle = np.array(base)
    for angle, size, spread in (
        (UP + lean, 1.0, 0.72),
        (UP + lean - 0.72, 0.93, 0.62),
        (UP + lean + 0.74, 0.93, 0.62),
        (UP + lean + 0.06, 0.70, 0.70),
    ):
        petal(drawing, middle, angle + rng.normal(0, 0.03), reach * size, spread, warp)
    around = np.linspace(0, 2 * math.pi, 12, endpoint=False)
    ring = (
        np.column_stack([np.cos(around) * 26, np.sin(around) * 17]) * (1 + 0.1 * rng.normal(0, 1, 12))[:, None]
        + middle
        + (0, 6)
    )
    drawing.shape(curve(ring, closed=True), petal=False, width=5.5)


def bud(drawing: Drawing, stem: Points, size: float) -> None:
    """A nodding bud with a slit of petal showing."""
    rng = drawing.rng
    root, heading = at(stem, 1.0)
    rib = bow(root, polar(root, heading, 165 * size), 0.05)
    half = profile(len(rib), [(0, 14), (0.28, 50), (0.62, 54), (0.9, 26), (1, 6)]) * size
    drawing.shape(np.vstack([shift(rib, half), shift(rib, -half)[::-1]]), petal=False, width=7)
    seam = shift(rib, half * profile(len(rib), [(0, 0.1), (0.5, 0.36), (1, 0.1)]))
    slit = part(seam, 0.30, 1.0)
    gape = profile(len(slit), [(0, 0.5), (0.5, 15), (0.85, 12), (1, 3)]) * size
    drawing.shape(np.vstack([shift(slit, gape), shift(slit, -gape * 0.6)[::-1]]), petal=True, width=5)
    for share in np.linspace(0.08, 0.95, 26):
        for side in (-1, 1):
            here, along = at(rib, share)
            start = polar(here, along - side * math.pi / 2, np.interp(share, np.linspace(0, 1, len(half)), half))
            tip = polar(start, along - side * rng.uniform(0.9, 1.4), rng.uniform(11, 20))
            drawing.line.hair(np.array([start, tip]), 2.6)
    for offset in (-0.6, -0.25):
        canting(drawing.line, rng, part(shift(rib, half * offset), 0.12, 0.8), 3.0, drop=1.3)


def pod(drawing: Drawing, stem: Points) -> None:
    """A seed pod with its crown."""
    rng = drawing.rng
    root, heading = at(stem, 1.0)
    rib = bow(root, polar(root, heading, 150), 0.02)
    half = profile(len(rib), [(0, 13), (0.12, 24), (0.45, 62), (0.75, 58), (0.95, 34), (1, 36)])
    drawing.shape(np.vstack([shift(rib, half), shift(rib, -half)[::-1]]), petal=False, width=7)
    for offset in (-0.62, -0.22, 0.2, 0.6):
        canting(drawing.line, rng, part(shift(rib, half * offset), 0.14, 0.92), 3.4, drop=1.3)
    top, _ = at(rib, 1.0)
    crown = []
    for place in np.linspace(-1, 1, 9):
        rim = top + (place * 70, -10 + 16 * place * place)
        crown += [rim + (0, -12), rim + (8.5, 4)]
    lower = [top + (place * 66, 24 - 10 * place * place) for place in np.linspace(1, -1, 7)]
    drawing.shape(curve(np.array(crown + lower), closed=True), petal=False, width=6)
