"""Garden poppies: one outline, leaves and petals kept apart, so that the order of two waxings tells the whole story."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
from scipy.ndimage import gaussian_filter

from _brushes.cloths import FINER, Grey, Sheet, brush, canting, dot, dry_brush, field, melt, save
from _brushes.paths import Points, at, bow, curve, noise, part, polar, profile, shift

SIZE = 2100
UP = -math.pi / 2


class Drawing:
    """White lines, and the areas they close: `green` for leaf and stem, `petal` for flowers."""

    def __init__(self, rng: np.random.Generator) -> None:
        self.rng = rng
        self.line, self.green, self.petal, self.streak, self.vein = (Sheet(SIZE, SIZE) for _ in range(5))

    def shape(self, outline: Points, *, petal: bool, width: float = 7.5) -> None:
        """Lay a closed shape over everything before it and outline it."""
        for sheet in (self.line, self.streak, self.vein):
            sheet.fill(outline, ink=0)
        self.petal.fill(outline, ink=255 if petal else 0)
        self.green.fill(outline, ink=0 if petal else 255)
        canting(self.line, self.rng, np.vstack([outline, outline[:3]]), width, drop=1.25)


def draw(folder: Path) -> None:
    """Draw the masks of both designs into `folder`."""
    rng = np.random.default_rng(5309)
    drawing = Drawing(rng)
    _compose(drawing)
    lines = drawing.line.marks()
    green, petal = drawing.green.marks(), drawing.petal.marks()
    save(melt(lines, rng, flow=1.0, grain=0.03), folder / "outlines.png")
    save(_keep_leaves(drawing, rng, green), folder / "keep-leaves.png")
    save(_keep_petals(drawing, rng, green, petal), folder / "keep-petals.png")
    _paints(drawing, rng, green, folder)


def _compose(drawing: Drawing) -> None:
    rng = drawing.rng
    stems = {
        "great": curve([(905, SIZE + 40), (870, 1750), (760, 1300), (800, 900)]),
        "high": curve([(1190, SIZE + 40), (1270, 1600), (1400, 1050), (1420, 560)]),
        "low": curve([(1330, SIZE + 40), (1430, 1850), (1600, 1560), (1690, 1330)]),
        "cup": curve([(620, SIZE + 40), (520, 1750), (330, 1400), (285, 1190)]),
        "bud": curve([(760, SIZE + 40), (640, 1500), (470, 900), (370, 500), (300, 360), (215, 350), (185, 440)]),
        "nod": curve([(1290, SIZE + 40), (1520, 1500), (1840, 1000), (1900, 700), (1960, 590), (2035, 600), (2055, 690)]),
        "pod": curve([(1010, SIZE + 40), (1060, 1500), (1100, 1050), (1065, 640)]),
        "dip": curve([(440, SIZE + 40), (250, 1900), (120, 1720), (90, 1660), (40, 1690), (35, 1760)]),
    }
    _leaf(drawing, curve([(900, SIZE + 60), (640, 1850), (360, 1790), (150, 1850)]), 150)
    _leaf(drawing, curve([(1180, SIZE + 60), (1020, 1760), (1010, 1500), (1120, 1290)]), 125)
    _leaf(drawing, curve([(1500, SIZE + 60), (1660, 1880), (1850, 1800), (2060, 1830)]), 150)
    for name in ("bud", "nod", "pod", "dip"):
        _stem(drawing, stems[name], 8.5)
    _pod(drawing, stems["pod"])
    _bud(drawing, stems["bud"], 1.0)
    _bud(drawing, stems["nod"], 0.95)
    _bud(drawing, stems["dip"], 0.85)
    for name in ("high", "cup", "low", "great"):
        _stem(drawing, stems[name], 10.5)
    for rib, wide in (
        ([(792, 1400), (620, 1290), (520, 1180), (500, 1010)], 86), ([(845, 1690), (1000, 1560), (1030, 1400), (985, 1230)], 84),
        ([(1385, 1130), (1560, 1060), (1680, 940), (1740, 780)], 88), ([(1290, 1540), (1170, 1400), (1150, 1230), (1210, 1050)], 74),
        ([(400, 1540), (250, 1560), (130, 1500), (20, 1400)], 74), ([(1480, 1770), (1690, 1720), (1840, 1600), (1990, 1560)], 88),
        ([(440, 1620), (520, 1560), (600, 1540), (680, 1480)], 52), ([(880, 1850), (760, 1960), (660, 2010), (560, 2130)], 80),
        ([(1240, 1750), (1190, 1880), (1120, 1960), (1020, 2050)], 64),
    ):  # fmt: skip
        _leaf(drawing, curve(rib), wide)
    _bloom(drawing, (1440, 420), 395, tilt=0.30, squash=0.80, turn=0.5)
    _cup(drawing, (275, 1190), 330, lean=-0.20)
    _bloom(drawing, (1730, 1255), 330, tilt=-0.4, squash=0.86, turn=1.3)
    _bloom(drawing, (770, 790), 445, tilt=-0.18, squash=0.84, turn=0.1)
    _cup(drawing, (690, 120), 240, lean=0.25)
    _stray_petals(drawing, rng)


def _stem(drawing: Drawing, path: Points, half: float) -> None:
    rng = drawing.rng
    wide = half * (1 + 0.1 * noise(rng, len(path), every=40))
    drawing.shape(np.vstack([shift(path, wide), shift(path, -wide)[::-1]]), petal=False, width=5.5)
    for share in np.arange(0.1, 0.99, 0.011):
        root, heading = at(path, share)
        side = rng.choice([-1, 1])
        start = polar(root, heading + side * math.pi / 2, half)
        tip = polar(start, heading + side * rng.uniform(0.9, 1.3), rng.uniform(10, 19))
        drawing.line.hair(np.array([start, tip]), 2.6)


def _leaf(drawing: Drawing, rib: Points, wide: float) -> None:
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


def _petal(drawing: Drawing, centre: Points, angle: float, reach: float, spread: float, warp: np.ndarray) -> None:
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
        brush(drawing.streak, rng, curve(line @ warp.T + centre), profile(20, [(0, 8), (0.4, reach * 0.032), (1, 1.2)]), rough=0.25)


def _bloom(drawing: Drawing, centre: tuple[float, float], reach: float, *, tilt: float, squash: float, turn: float) -> None:
    rng = drawing.rng
    spin = np.array([[math.cos(tilt), -math.sin(tilt)], [math.sin(tilt), math.cos(tilt)]])
    warp = spin @ np.diag([1.0, squash]) @ spin.T
    middle = np.array(centre)
    for index, angle in enumerate(turn + np.array([0.0, 3.3, 1.7, 4.85, 0.75, 3.95])):
        back = index < 4
        _petal(drawing, middle, angle + rng.normal(0, 0.06), reach * (1.0 if back else 0.74), 0.82 if back else 0.66, warp)
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


def _cup(drawing: Drawing, base: tuple[float, float], reach: float, *, lean: float) -> None:
    rng = drawing.rng
    warp = np.diag([0.92, 1.0])
    middle = np.array(base)
    for angle, size, spread in ((UP + lean, 1.0, 0.72), (UP + lean - 0.72, 0.93, 0.62), (UP + lean + 0.74, 0.93, 0.62), (UP + lean + 0.06, 0.70, 0.70)):
        _petal(drawing, middle, angle + rng.normal(0, 0.03), reach * size, spread, warp)
    around = np.linspace(0, 2 * math.pi, 12, endpoint=False)
    ring = np.column_stack([np.cos(around) * 26, np.sin(around) * 17]) * (1 + 0.1 * rng.normal(0, 1, 12))[:, None] + middle + (0, 6)
    drawing.shape(curve(ring, closed=True), petal=False, width=5.5)


def _bud(drawing: Drawing, stem: Points, size: float) -> None:
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


def _pod(drawing: Drawing, stem: Points) -> None:
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


def _stray_petals(drawing: Drawing, rng: np.random.Generator) -> None:
    for x, y, angle, size in ((1270, 1905, 0.4, 92), (1950, 1985, -0.5, 104), (250, 2010, 2.6, 96), (1060, 1130, 1.0, 0)):
        if size:
            _petal(drawing, np.array([x, y], dtype=float), angle, size, 0.62, np.diag([1.0, 0.86]))
    for _ in range(0):
        dot(drawing.line, rng, (0, 0), 1)


def _keep_leaves(drawing: Drawing, rng: np.random.Generator, green: Grey) -> Grey:
    kept = green * (1 - 0.9 * drawing.vein.marks())
    return melt(kept, rng, flow=1.1, grain=0.05)


def _keep_petals(drawing: Drawing, rng: np.random.Generator, green: Grey, petal: Grey) -> Grey:
    kept = petal * (1 - drawing.streak.marks())
    ground = Sheet(SIZE, SIZE)
    bend = field(rng, SIZE, SIZE, every=520)
    for _ in range(1500):
        x, y = rng.uniform(0, SIZE - 1, 2)
        angle = UP + 0.35 + 1.1 * float(bend[int(y), int(x)])
        reach = rng.uniform(20, 46)
        dab = bow((x, y), polar((x, y), angle, reach), rng.uniform(-0.12, 0.12))
        brush(ground, rng, dab, profile(16, [(0, 0.9), (0.6, reach * 0.105), (1, 1.4)]))
    clear = 1 - np.clip(gaussian_filter(np.maximum(green, petal), 9 * FINER / 2) * 6, 0, 1)
    return melt(np.maximum(kept, ground.marks() * (clear > 0.5)), rng, flow=1.0, grain=0.05)


def _paints(drawing: Drawing, rng: np.random.Generator, green: Grey, folder: Path) -> None:
    rows, cols = SIZE, SIZE
    area = green.reshape(rows, FINER, cols, FINER).mean(axis=(1, 3))
    load = 0.80 + 0.20 * field(rng, rows, cols, every=70) + 0.06 * field(rng, rows, cols, every=18)
    save(np.asarray(area * np.clip(load, 0.35, 1), dtype=np.float32), folder / "paint-leaves.png", levels=32)
    wash = 0.82 + 0.16 * field(rng, rows, cols, every=120) + 0.05 * field(rng, rows, cols, every=26)
    save(np.asarray(np.clip(wash, 0.45, 1), dtype=np.float32), folder / "paint-everywhere.png", levels=32)
