"""Geese over an estuary: four waxings, four dyeings, two pots painted side by side at the second dyeing."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
from scipy.ndimage import gaussian_filter

from _brushes.birds import goose
from _brushes.cloths import FINER, Grey, Sheet, brush, canting, dot, dry_brush, field, melt, save, spatter
from _brushes.paths import Points, at, bow, curve, noise, part, polar, profile, shift
from _brushes.reeds import Blade, grow, plume

WIDTH, HEIGHT = 2400, 1500
EDGE = 40

CLOUD = curve([(-EDGE, 352), (260, 300), (560, 352), (900, 318), (1250, 205), (1640, 258), (2020, 330), (2440, 250)])
FAR = curve(
    [
        (-EDGE, 700), (180, 640), (430, 668), (720, 590), (980, 655),
        (1240, 690), (1560, 600), (1900, 528), (2180, 590), (2440, 548),
    ]
)  # fmt: skip
NEAR = curve(
    [
        (-EDGE, 742), (240, 735), (520, 772), (820, 815), (1120, 858),
        (1330, 862), (1600, 800), (1880, 735), (2160, 752), (2440, 690),
    ]
)  # fmt: skip
MARSH = curve([(-EDGE, 905), (400, 888), (900, 893), (1300, 884), (1800, 890), (2440, 872)])
BANK = curve([(-EDGE, 1240), (230, 1262), (470, 1330), (660, 1425), (800, 1545)])
WATER = curve(
    [
        (1235, 892), (1010, 905), (770, 940), (640, 1000), (790, 1062), (1080, 1108), (1180, 1175), (1010, 1262),
        (720, 1330), (520, 1450), (470, 1560), (1500, 1560), (1790, 1400), (1900, 1290), (1760, 1195), (1420, 1120),
        (1150, 1050), (1090, 1005), (1240, 958), (1450, 930), (1500, 905), (1390, 890),
    ],
    closed=True,
)  # fmt: skip
SUN = (545.0, 505.0)
SKEIN = (
    # x, y, size, wing beat -1 down..1 up
    (1720, 214, 1.18, 0.72), (1440, 122, 1.02, -0.55), (1190, 118, 0.86, 0.5), (975, 76, 0.70, -0.3),
    (1455, 384, 1.06, -0.7), (1180, 452, 0.92, 0.8), (930, 492, 0.74, -0.45),
)  # fmt: skip


def draw(folder: Path) -> None:
    """Draw the masks of this cloth into `folder`."""
    rng = np.random.default_rng(77120)
    blades, stalks = grow(rng, height=HEIGHT)
    places = _places(blades)
    save(_lines(rng, blades, stalks), folder / "1-white-lines.png")
    save(_straw(rng, places, stalks), folder / "2-straw.png")
    save(_light(rng, places, blades), folder / "3-apricot-and-green.png")
    save(_deep(rng, places, blades), folder / "4-teal-and-dusk.png")
    _paints(rng, places, folder)


def _below(line: Points) -> Points:
    return np.vstack([line, [(WIDTH + EDGE, HEIGHT + EDGE), (-EDGE, HEIGHT + EDGE)]])


def _area(*shapes: Points) -> Grey:
    sheet = Sheet(WIDTH, HEIGHT)
    for shape in shapes:
        sheet.fill(shape)
    return sheet.marks()


def _places(blades: list[Blade]) -> dict[str, Grey]:
    cloud, far, near, marsh = (_area(_below(line)) for line in (CLOUD, FAR, NEAR, MARSH))
    bank, leaf = _area(_below(BANK)), _area(*(blade.shape for blade in blades))
    water = _area(WATER) * (1 - bank)
    bare = 1 - leaf
    return {
        "upper": (1 - cloud) * bare,
        "lower": cloud * (1 - far) * bare,
        "far": far * (1 - near) * bare,
        "near": near * (1 - marsh) * bare,
        "marsh": marsh * (1 - water) * (1 - bank) * bare,
        "water": water * bare,
        "bank": bank * bare,
        "leaf": leaf,
    }


# --- first waxing: what stays white ---------------------------------------------------------------------------


def _lines(rng: np.random.Generator, blades: list[Blade], stalks: list[Points]) -> Grey:
    sheet = Sheet(WIDTH, HEIGHT)
    for line, wide in ((FAR, 8.0), (NEAR, 8.5), (MARSH, 7.5)):
        canting(sheet, rng, line, wide)
    sheet.fill(WATER, ink=0)
    canting(sheet, rng, np.vstack([WATER, WATER[:3]]), 8.5)
    sheet.fill(_below(BANK), ink=0)
    canting(sheet, rng, BANK, 9)
    _wind(sheet, rng)
    _dots_along(sheet, rng)
    _glints(sheet, rng)
    for x, y, size, beat in SKEIN:
        goose(sheet, rng, (x, y), size, beat)
    canting(sheet, rng, CLOUD, 8.5)
    for blade in blades:
        sheet.fill(blade.shape, ink=0)
        canting(sheet, rng, np.vstack([blade.shape, blade.shape[:2]]), 6.0, drop=1.0)
    for stalk in stalks:
        plume(sheet, rng, stalk, white=True)
    for place, count in (((2050, 1420), 60), ((250, 1390), 50)):
        spatter(sheet, rng, count, where=place, spread=110)
    return melt(sheet.marks(), rng, flow=1.0, grain=0.03)


def _wind(sheet: Sheet, rng: np.random.Generator) -> None:
    for drop, start, end in (
        (-40, 0.02, 0.30),
        (-78, 0.0, 0.20),
        (-42, 0.60, 0.86),
        (-86, 0.66, 0.97),
        (-128, 0.8, 1.0),
    ):
        canting(sheet, rng, shift(part(CLOUD, start, end), -drop + 9 * noise(rng, 2, every=1)[0]), 4.5, drop=2.0)
    for drop, start, end in ((46, 0.30, 0.56), (84, 0.36, 0.5), (40, 0.72, 0.92), (80, 0.78, 0.9)):
        canting(sheet, rng, shift(part(CLOUD, start, end), -drop), 4.5, drop=2.0)


def _dots_along(sheet: Sheet, rng: np.random.Generator) -> None:
    for line, down, start, end, gap, size in (
        (NEAR, 24, 0.02, 0.34, 22, 4.4), (NEAR, 24, 0.66, 0.97, 22, 4.6), (BANK, 26, 0.02, 0.9, 24, 5.4),
        (BANK, 50, 0.05, 0.7, 30, 4.4), (FAR, 20, 0.24, 0.36, 19, 3.6), (FAR, 20, 0.64, 0.82, 19, 3.8),
    ):  # fmt: skip
        path = shift(part(line, start, end), -down)
        for index in range(0, len(path), max(int(gap / 3), 1)):
            dot(sheet, rng, path[index] + rng.normal(0, 1.6, 2), size * rng.uniform(0.7, 1.15))


def _glints(sheet: Sheet, rng: np.random.Generator) -> None:
    for _ in range(64):
        y = 905 + 560 * rng.beta(1.2, 1.5)
        left, right = _banks(y)
        if right - left < 70:
            continue
        x = rng.uniform(left + 24, right - 40)
        span = rng.uniform(24, 78) * (0.5 + (y - 880) / 480)
        path = curve([(x, y), (x + span * 0.5, y - rng.uniform(1, 5)), (x + span, y + rng.uniform(-2, 3))])
        brush(sheet, rng, path[path[:, 0] < right - 14], profile(30, [(0, 0.8), (0.35, 3.4), (1, 0.7)]))


def _banks(y: float) -> tuple[float, float]:
    crossing = WATER[np.abs(WATER[:, 1] - y) < 4][:, 0]
    inner = crossing if crossing.size else np.array([0.0, 0.0])
    low = float(inner.min())
    if y > 1240:
        reach = BANK[np.argmin(np.abs(BANK[:, 1] - y)), 0]
        low = max(low, float(reach))
    return low, float(inner.max())


# --- later waxings -------------------------------------------------------------------------------------------


def _sweeps(
    rng: np.random.Generator,
    top: Points,
    bottom: Points,
    rows: int,
    *,
    half: float,
    wet: float,
    cover: float,
    spans: tuple[float, float] = (420, 980),
) -> Grey:
    """Brush sweeps laid along the flow between two lines; `cover` is the share of places that get a stroke."""
    sheet = Sheet(WIDTH, HEIGHT)
    across = np.arange(-EDGE, WIDTH + EDGE, 6.0)
    high, low = (np.interp(across, line[:, 0], line[:, 1]) for line in (top, bottom))
    for row in (np.arange(rows) + 0.5) / rows:
        start = -EDGE - rng.uniform(0, 300)
        while start < WIDTH:
            span = rng.uniform(*spans)
            inside = (across >= start) & (across <= start + span)
            if rng.uniform() < cover and inside.sum() > 12:
                share = row + rng.normal(0, 0.3 / rows)
                line = np.column_stack([across, high * (1 - share) + low * share])[inside]
                line[:, 1] += rng.uniform(-0.5, 0.5) * half * np.linspace(-1, 1, len(line))
                if rng.uniform() < 0.35:
                    line = line[::-1]
                wide = profile(40, [(0, half * 0.55), (0.15, half), (0.7, half * 0.9), (1, half * 0.4)])
                dry_brush(sheet, rng, curve(line[::6], step=4), wide * rng.uniform(0.75, 1.15), wet=wet, bristle=3.2)
            start += span * rng.uniform(0.75, 1.02)
    return sheet.marks()


def _straw(rng: np.random.Generator, places: dict[str, Grey], stalks: list[Points]) -> Grey:
    sun = Sheet(WIDTH, HEIGHT)
    turn = np.linspace(0, 2 * math.pi, 22, endpoint=False)
    reach = 76 + rng.normal(0, 2.2, turn.size)
    sun.fill(curve(np.column_stack([np.cos(turn), np.sin(turn)]) * reach[:, None] + SUN, closed=True))
    for first, sweep, distance in ((2.4, 3.6, 108), (5.75, 3.0, 111)):
        angle = np.linspace(first, first + sweep, 30)
        ring = np.column_stack([np.cos(angle), 0.97 * np.sin(angle)]) * distance + SUN
        dry_brush(sun, rng, curve(ring), profile(40, [(0, 5), (0.25, 11), (1, 6)]), wet=0.85, bristle=2.8)
    for angle in np.linspace(0, 2 * math.pi, 38, endpoint=False) + rng.normal(0, 0.03, 38):
        root = polar(SUN, angle, rng.uniform(134, 142))
        ray = bow(root, polar(root, angle + 0.08, rng.uniform(34, 92)), 0.06)
        brush(sun, rng, ray, profile(20, [(0, 1.6), (0.3, 7.5), (1, 0.8)]), rough=0.2)
    plumes = Sheet(WIDTH, HEIGHT)
    for stalk in stalks:
        plume(plumes, rng, stalk, white=False)
    strips = _sweeps(rng, CLOUD, FAR, 9, half=8, wet=0.5, cover=0.26, spans=(260, 620)) * places["lower"]
    strips = strips * (1 - _area(polar(SUN, 0, 0) + 236 * np.column_stack([np.cos(turn), np.sin(turn)])))
    fields = _sweeps(rng, FAR, shift(FAR, -190), 6, half=9, wet=0.75, cover=0.35, spans=(160, 380)) * places["far"]
    water = _sweeps(rng, MARSH, shift(MARSH, -640), 26, half=6, wet=0.5, cover=0.30, spans=(140, 380)) * places["water"]
    marsh = _tufts(rng, 34, 0.9) * places["marsh"]
    marks = np.maximum.reduce([sun.marks() * places["lower"], plumes.marks(), strips, fields, water, marsh])
    return melt(marks, rng, flow=0.9, grain=0.035)


def _light(rng: np.random.Generator, places: dict[str, Grey], blades: list[Blade]) -> Grey:
    lower = _sweeps(rng, CLOUD, FAR, 11, half=21, wet=0.85, cover=0.88) * places["lower"]
    upper = _sweeps(rng, shift(CLOUD, 330), CLOUD, 9, half=13, wet=0.5, cover=0.30) * places["upper"]
    far = _sweeps(rng, FAR, shift(FAR, -200), 6, half=15, wet=0.9, cover=0.92, spans=(200, 520)) * places["far"]
    near = _sweeps(rng, NEAR, shift(NEAR, -190), 8, half=8, wet=0.6, cover=0.45, spans=(150, 420)) * places["near"]
    water = (
        _sweeps(rng, MARSH, shift(MARSH, -640), 30, half=10, wet=0.75, cover=0.66, spans=(220, 620)) * places["water"]
    )
    marsh = (
        np.maximum(
            _tufts(rng, 150, 1.0),
            _sweeps(rng, MARSH, shift(MARSH, -640), 22, half=6, wet=0.55, cover=0.3, spans=(120, 320)),
        )
        * places["marsh"]
    )
    bank = _tufts(rng, 60, 1.5) * places["bank"]
    leaf = _half_leaves(rng, blades, 1) * places["leaf"]
    return melt(np.maximum.reduce([lower, upper, far, near, water, marsh, bank, leaf]), rng, flow=0.9, grain=0.035)


def _deep(rng: np.random.Generator, places: dict[str, Grey], blades: list[Blade]) -> Grey:
    lower = _sweeps(rng, CLOUD, FAR, 9, half=24, wet=1.0, cover=0.92) * places["lower"]
    upper = _sweeps(rng, shift(CLOUD, 330), CLOUD, 12, half=20, wet=0.9, cover=0.86) * places["upper"]
    far = _sweeps(rng, FAR, shift(FAR, -200), 6, half=22, wet=1.0, cover=0.95, spans=(200, 520)) * places["far"]
    near = _sweeps(rng, NEAR, shift(NEAR, -190), 9, half=10, wet=0.75, cover=0.75, spans=(150, 420)) * places["near"]
    near = near * (1 - _trees(rng))
    water = (
        _sweeps(rng, MARSH, shift(MARSH, -640), 26, half=11, wet=0.85, cover=0.82, spans=(260, 700)) * places["water"]
    )
    marsh = (
        np.maximum(
            _tufts(rng, 170, 1.1),
            _sweeps(rng, MARSH, shift(MARSH, -640), 26, half=8, wet=0.6, cover=0.5, spans=(120, 360)),
        )
        * places["marsh"]
    )
    bank = _tufts(rng, 130, 1.6) * places["bank"]
    leaf = _half_leaves(rng, blades, -1) * places["leaf"]
    return melt(np.maximum.reduce([lower, upper, far, near, water, marsh, bank, leaf]), rng, flow=0.9, grain=0.035)


def _half_leaves(rng: np.random.Generator, blades: list[Blade], side: int) -> Grey:
    sheet = Sheet(WIDTH, HEIGHT)
    for blade in blades:
        sheet.fill(blade.shape, ink=0)
        path = shift(blade.rib, side * blade.half * 0.55)
        brush(sheet, rng, part(path, 0.03, 0.99), blade.half * 0.40, rough=0.16)
    return sheet.marks()


def _tufts(rng: np.random.Generator, count: int, size: float) -> Grey:
    sheet = Sheet(WIDTH, HEIGHT)
    for x, deep in zip(rng.uniform(-20, WIDTH + 20, count), rng.uniform(0, 1, count), strict=True):
        y = 905 + 640 * deep
        scale = size * (0.35 + 1.0 * deep) * rng.uniform(0.75, 1.3)
        lean = rng.normal(0.12, 0.12)
        for fan in np.linspace(-0.8, 0.8, 6) + rng.normal(0, 0.12, 6):
            tall = 76 * scale * rng.uniform(0.55, 1.15) * (1 - 0.3 * abs(fan))
            foot = (x + fan * 22 * scale, y + rng.uniform(-5, 5) * scale)
            tip = (x + fan * 22 * scale + (fan + lean) * tall * 0.8, y - tall)
            blade = curve([foot, (foot[0] + fan * tall * 0.16, y - tall * 0.6), tip])
            brush(sheet, rng, blade, profile(16, [(0, 0.7), (0.4, 2.5 * scale), (1, 0.6)]))
    return sheet.marks()


def _trees(rng: np.random.Generator) -> Grey:
    sheet = Sheet(WIDTH, HEIGHT)
    for share in np.concatenate([rng.uniform(0.03, 0.34, 24), rng.uniform(0.64, 0.98, 28)]):
        root = at(NEAR, float(share))[0] + (0, rng.uniform(18, 90))
        for _ in range(7):
            dot(sheet, rng, root + rng.normal(0, 1, 2) * (13, 7), rng.uniform(6, 12))
    return sheet.marks()


# --- the two pots --------------------------------------------------------------------------------------------


def _paints(rng: np.random.Generator, places: dict[str, Grey], folder: Path) -> None:
    rows, cols = np.mgrid[0:HEIGHT, 0:WIDTH].astype(np.float32)
    warm = _small(places["lower"] + places["water"])
    streaks = field(rng, HEIGHT, WIDTH // 6, every=26).repeat(6, axis=1)[:, :WIDTH]
    streaks = gaussian_filter(streaks, (2, 14))
    blotch = field(rng, HEIGHT, WIDTH, every=210)
    glow = np.exp(-(((cols - SUN[0]) / 900) ** 2 + ((rows - 560) / 260) ** 2))
    load = 0.60 + 0.34 * glow + 0.12 * streaks + 0.08 * blotch
    save(warm * np.clip(load, 0.3, 1), folder / "paint-apricot.png", levels=32)
    cool = _small(1 - places["lower"] - places["water"])
    fade = np.where(rows < 420, 0.98 - rows / 900, 0.55 + np.clip((rows - 560) / 900, 0, 0.45))
    load = fade + 0.12 * streaks[::-1] + 0.10 * blotch[::-1, ::-1]
    save(cool * np.clip(load, 0.3, 1), folder / "paint-lagoon.png", levels=32)


def _small(area: Grey) -> Grey:
    rows, cols = area.shape
    return np.asarray(area.reshape(rows // FINER, FINER, cols // FINER, FINER).mean(axis=(1, 3)), dtype=np.float32)
