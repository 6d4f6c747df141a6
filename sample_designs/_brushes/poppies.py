"""Garden poppies: one outline, leaves and petals kept apart, so that the order of two waxings tells the whole story."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
from scipy.ndimage import gaussian_filter

from _brushes import flowers
from _brushes.cloths import FINER, Grey, Sheet, brush, dry_brush, field, melt, save
from _brushes.paths import Points, bow, curve, polar, profile

SIZE = flowers.SIZE
UP = flowers.UP


def draw(folder: Path) -> None:
    """Draw the masks of both designs into `folder`."""
    rng = np.random.default_rng(5309)
    drawing = flowers.Drawing(rng)
    _ground_wash(drawing)
    _compose(drawing)
    lines = drawing.line.marks()
    green, petal = drawing.green.marks(), drawing.petal.marks()
    save(melt(lines, rng, flow=1.0, grain=0.03), folder / "outlines.png")
    save(_keep_leaves(drawing, rng, green), folder / "keep-leaves.png")
    save(_keep_petals(drawing, rng, green, petal), folder / "keep-petals.png")
    _paints(drawing, rng, green, folder)


def _ground_wash(drawing: flowers.Drawing) -> None:
    rng = drawing.rng
    drawing.tone.fill(np.array([(-9, -9), (SIZE + 9, -9), (SIZE + 9, SIZE + 9), (-9, SIZE + 9)], dtype=float), ink=88)
    for _ in range(120):
        x, y = rng.uniform(-100, SIZE + 100, 2)
        sweep = bow((x, y), polar((x, y), UP + rng.normal(0.45, 0.3), rng.uniform(260, 560)), rng.normal(0, 0.1))
        dry_brush(
            drawing.tone, rng, sweep, rng.uniform(28, 60), wet=0.8, bristle=9, ink=int(rng.choice([50, 70, 120, 165]))
        )


def _compose(drawing: flowers.Drawing) -> None:
    stems = {
        "great": curve([(905, SIZE + 40), (870, 1750), (760, 1300), (800, 900)]),
        "high": curve([(1190, SIZE + 40), (1270, 1600), (1400, 1050), (1420, 560)]),
        "low": curve([(1330, SIZE + 40), (1430, 1850), (1600, 1560), (1690, 1330)]),
        "cup": curve([(620, SIZE + 40), (520, 1750), (330, 1400), (285, 1190)]),
        "bud": curve([(760, SIZE + 40), (640, 1500), (470, 900), (370, 500), (300, 360), (215, 350), (185, 440)]),
        "nod": curve(
            [(1290, SIZE + 40), (1520, 1500), (1840, 1000), (1900, 700), (1960, 590), (2035, 600), (2055, 690)]
        ),
        "pod": curve([(1010, SIZE + 40), (1090, 1700), (1215, 1330), (1225, 1040)]),
        "top": curve([(840, SIZE + 40), (800, 1500), (640, 700), (545, 215)]),
        "dip": curve([(440, SIZE + 40), (250, 1900), (120, 1720), (90, 1660), (40, 1690), (35, 1760)]),
    }
    flowers.leaf(drawing, curve([(900, SIZE + 60), (640, 1850), (360, 1790), (150, 1850)]), 150)
    flowers.leaf(drawing, curve([(1180, SIZE + 60), (1020, 1760), (1010, 1500), (1120, 1290)]), 125)
    flowers.leaf(drawing, curve([(1500, SIZE + 60), (1660, 1880), (1850, 1800), (2060, 1830)]), 150)
    for name in ("top", "bud", "nod", "pod", "dip"):
        flowers.stem(drawing, stems[name], 8.5)
    flowers.pod(drawing, stems["pod"])
    flowers.bud(drawing, stems["bud"], 1.0)
    flowers.bud(drawing, stems["nod"], 0.95)
    flowers.bud(drawing, stems["dip"], 0.85)
    for name in ("high", "cup", "low", "great"):
        flowers.stem(drawing, stems[name], 10.5)
    for rib, wide in (
        ([(792, 1400), (620, 1290), (520, 1180), (500, 1010)], 86),
        ([(845, 1690), (1000, 1560), (1030, 1400), (985, 1230)], 84),
        ([(1385, 1130), (1560, 1060), (1680, 940), (1740, 780)], 88),
        ([(1290, 1540), (1400, 1480), (1480, 1400), (1500, 1260)], 66),
        ([(400, 1540), (250, 1560), (130, 1500), (20, 1400)], 74),
        ([(1480, 1770), (1690, 1720), (1840, 1600), (1990, 1560)], 88),
        ([(440, 1620), (520, 1560), (600, 1540), (680, 1480)], 52),
        ([(880, 1850), (760, 1960), (660, 2010), (560, 2130)], 80),
        ([(1240, 1750), (1190, 1880), (1120, 1960), (1020, 2050)], 64),
    ):
        flowers.leaf(drawing, curve(rib), wide)
    flowers.cup(drawing, (545, 205), 285, lean=0.12)
    flowers.bloom(drawing, (1440, 420), 395, tilt=0.30, squash=0.80, turn=0.5)
    flowers.cup(drawing, (275, 1190), 330, lean=-0.20)
    flowers.bloom(drawing, (1730, 1255), 330, tilt=-0.4, squash=0.86, turn=1.3)
    flowers.bloom(drawing, (770, 790), 445, tilt=-0.18, squash=0.84, turn=0.1)
    _stray_petals(drawing)


def _stray_petals(drawing: flowers.Drawing) -> None:
    for x, y, angle, size in ((1275, 1930, 0.4, 96), (1935, 2005, -0.5, 110), (255, 2030, 2.6, 100)):
        flowers.petal(drawing, np.array([x, y], dtype=float), angle, size, 0.62, np.diag([1.0, 0.86]))


def _keep_leaves(drawing: flowers.Drawing, rng: np.random.Generator, green: Grey) -> Grey:
    kept = green * (1 - 0.9 * drawing.vein.marks())
    return melt(kept, rng, flow=1.1, grain=0.035)


def _keep_petals(drawing: flowers.Drawing, rng: np.random.Generator, green: Grey, petal: Grey) -> Grey:
    kept = petal * (1 - drawing.streak.marks())
    ground = Sheet(SIZE, SIZE)
    bend = field(rng, SIZE, SIZE, every=620)
    for x, y in _scattered(rng, 34.0):
        angle = UP + 0.25 + 0.95 * float(bend[int(y), int(x)])
        reach = rng.uniform(24, 40)
        dab = bow((x, y), polar((x, y), angle, reach), rng.uniform(0.02, 0.14))
        brush(ground, rng, dab, profile(16, [(0, 0.8), (0.62, reach * rng.uniform(0.09, 0.14)), (1, 1.4)]))
    clear = 1 - np.clip(gaussian_filter(np.maximum(green, petal), 9 * FINER / 2) * 6, 0, 1)
    return melt(np.maximum(kept, ground.marks() * (clear > 0.5)), rng, flow=1.0, grain=0.035)


def _scattered(rng: np.random.Generator, apart: float) -> list[Points]:
    """Places all over the cloth, none nearer than `apart` to another."""
    cells: dict[tuple[int, int], Points] = {}
    for place in rng.uniform(0, SIZE - 1, (30_000, 2)):
        col, row = int(place[0] // apart), int(place[1] // apart)
        near = (cells.get((col + dx, row + dy)) for dx in (-1, 0, 1) for dy in (-1, 0, 1))
        if all(other is None or math.dist(place, other) >= apart for other in near):
            cells[col, row] = place
    return list(cells.values())


def _paints(drawing: flowers.Drawing, rng: np.random.Generator, green: Grey, folder: Path) -> None:
    rows, cols = SIZE, SIZE
    area = green.reshape(rows, FINER, cols, FINER).mean(axis=(1, 3))
    load = 0.72 + 0.30 * field(rng, rows, cols, every=80)
    save(np.asarray(area * np.clip(load, 0.35, 1), dtype=np.float32), folder / "paint-leaves.png", levels=32)
    tone = gaussian_filter(drawing.tone.marks(), 6.5 * FINER).reshape(rows, FINER, cols, FINER).mean(axis=(1, 3))
    wash = tone * (1 + 0.10 * field(rng, rows, cols, every=300))
    save(np.asarray(np.clip(wash, 0.1, 1), dtype=np.float32), folder / "paint-everywhere.png", levels=28)
