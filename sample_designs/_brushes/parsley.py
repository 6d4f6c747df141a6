"""Hedge parsley by moonlight: one waxing, one bath. Where a plant crosses the moon, wax and cloth change places."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np

from _brushes.cloths import Grey, Sheet, brush, canting, dot, dry_brush, melt, save, spatter
from _brushes.paths import Points, at, bow, curve, part, polar, profile

WIDTH, HEIGHT = 2400, 1600
UP = -math.pi / 2
MOON = (1690.0, 520.0)


def draw(folder: Path) -> None:
    """Draw the one mask of this cloth into `folder`."""
    rng = np.random.default_rng(20417)
    plants = Sheet(WIDTH, HEIGHT)
    _grasses(plants, rng)
    _plants(plants, rng)
    _moth(plants, rng, (1168, 292), 1.1, -0.55)
    _moth(plants, rng, (2105, 470), 0.72, 0.5)
    moon = Sheet(WIDTH, HEIGHT)
    _moon(moon, rng)
    sky = Sheet(WIDTH, HEIGHT)
    _mist(sky, rng)
    for place, count in (((420, 260), 50), ((1150, 200), 46), ((2180, 240), 40), ((1500, 900), 26)):
        spatter(sky, rng, count, where=place, spread=190)
    wax = _counterchange(plants, moon, sky, rng)
    save(wax, folder / "moonlight.png")


def _counterchange(plants: Sheet, moon: Sheet, sky: Sheet, rng: np.random.Generator) -> Grey:
    stems = melt(plants.marks(), rng, flow=0.9, grain=0.03)
    disc = melt(moon.marks(), rng, flow=1.2, grain=0.035)
    clear = melt(sky.marks(), rng, flow=0.9, grain=0.035)
    swapped = stems + disc - 2 * stems * disc
    return np.asarray(np.maximum(swapped, clear * (1 - stems) * (1 - disc)), dtype=np.float32)


def _moon(sheet: Sheet, rng: np.random.Generator) -> None:
    turn = np.linspace(0, 2 * math.pi, 30, endpoint=False)
    reach = 296 + 7 * np.sin(2 * turn + 0.6) + rng.normal(0, 3.0, turn.size)
    ring = np.column_stack([np.cos(turn), 0.985 * np.sin(turn)]) * reach[:, None] + MOON
    sheet.fill(curve(ring, closed=True))
    for distance, start, sweep, wide in (
        (296, 2.2, 4.6, 34),
        (284, 5.2, 3.8, 44),
        (300, 0.4, 2.4, 34),
        (306, 3.6, 2.2, 30),
    ):
        angle = np.linspace(start, start + sweep, 40)
        path = np.column_stack([np.cos(angle), np.sin(angle)]) * distance + MOON
        dry_brush(sheet, rng, curve(path), profile(60, [(0, wide * 0.7), (0.3, wide), (1, wide * 0.6)]), wet=0.75)
    for height, start, end in ((118, -250, 330), (182, -215, 300), (236, -250, 170), (40, 120, 330), (274, -60, 190)):
        path = curve([(start, height + 10), ((start + end) / 2, height - 10), (end, height + 4)]) + MOON
        dry_brush(sheet, rng, path, profile(40, [(0, 3), (0.4, 13), (1, 7)]), wet=0.42, bristle=2.4, ink=0)


def _moth(sheet: Sheet, rng: np.random.Generator, place: tuple[float, float], size: float, turn: float) -> None:
    def put(points: list[tuple[float, float]], side: int) -> Points:
        flat = np.array(points, dtype=float) * (side, 1) + rng.normal(0, 0.8, (len(points), 2))
        spin = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
        return np.asarray(flat @ spin.T * size + place)

    for side in (-1, 1):
        hind = [(6, 6), (34, 8), (62, 26), (66, 52), (48, 66), (30, 58), (18, 66), (8, 40)]
        sheet.fill(curve(put(hind, side), closed=True, step=2))
        front = curve(
            put([(5, -12), (40, -42), (92, -58), (112, -50), (100, -22), (78, 4), (46, 12), (8, 6)], side),
            closed=True,
            step=2,
        )
        sheet.trace(front, 2.6, ink=0)
        sheet.fill(front)
        for start, end in (
            ((14, -10), (96, -44)),
            ((14, -4), (92, -26)),
            ((14, 2), (76, -4)),
            ((12, 16), (52, 52)),
            ((14, 12), (56, 34)),
        ):
            vein = curve(put([start, ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2 - 3), end], side))
            brush(sheet, rng, vein, profile(20, [(0, 0.9), (0.6, 1.9), (1, 0.7)]), rough=0.2, ink=0)
        for spot, reach in (((68, -34), 6.0), ((44, 38), 5.0)):
            dot(sheet, rng, put([spot], side)[0], reach * size, ink=0)
        feeler = curve(put([(2, -24), (12, -44), (30, -58)], side))
        brush(sheet, rng, feeler, profile(20, [(0, 1.3), (0.8, 2.0), (1, 1.0)]))
    body = curve(put([(0, -26), (0, 0), (1, 52)], 1))
    brush(sheet, rng, body, profile(20, [(0, 4), (0.12, 8), (0.4, 9.5), (1, 2)]) * size + 2.5, ink=0)
    brush(sheet, rng, body, profile(20, [(0, 4), (0.12, 8), (0.4, 9.5), (1, 2)]) * size)


def _mist(sheet: Sheet, rng: np.random.Generator) -> None:
    for x, y, span, wide in (
        (-40, 1130, 720, 16), (520, 1190, 900, 20), (1500, 1120, 980, 18), (180, 1262, 560, 12),
        (1250, 1260, 800, 15), (-60, 1350, 900, 18), (1700, 1350, 760, 17), (820, 1330, 620, 11),
    ):  # fmt: skip
        path = curve([(x, y), (x + span * 0.35, y - 12), (x + span * 0.7, y + 9), (x + span, y - 4)])
        dry_brush(
            sheet, rng, path, profile(60, [(0, wide * 0.4), (0.25, wide), (1, wide * 0.5)]), wet=0.34, bristle=2.2
        )


def _grasses(sheet: Sheet, rng: np.random.Generator) -> None:
    for clump in (-30, 110, 330, 520, 800, 930, 1180, 1330, 1600, 1790, 2040, 2180, 2390):
        for lean in np.linspace(-0.42, 0.72, 7) + rng.normal(0, 0.13, 7):
            tall = rng.uniform(150, 470) * (1 - 0.25 * abs(lean))
            x = clump + lean * 26 + rng.normal(0, 14)
            tip = (x + tall * lean * rng.uniform(0.75, 1.25) + 24, HEIGHT + 20 - tall)
            blade = curve([(x, HEIGHT + 30), (x + tall * lean * 0.3, HEIGHT - tall * 0.5), tip])
            wide = rng.uniform(1.8, 4.6)
            brush(sheet, rng, blade, profile(50, [(0, wide), (0.4, wide * 1.15), (0.8, wide * 0.5), (1, 0.7)]))
    for x, tall, lean in ((330, 700, 0.25), (905, 560, -0.12), (1290, 620, 0.2), (2010, 600, 0.3), (2250, 760, 0.05)):
        _seed_grass(sheet, rng, x, tall, lean)


def _seed_grass(sheet: Sheet, rng: np.random.Generator, x: float, tall: float, lean: float) -> None:
    tip = (x + tall * lean * 1.5, HEIGHT - tall * 0.97)
    stalk = curve(
        [(x, HEIGHT + 20), (x + tall * lean * 0.3, HEIGHT - tall * 0.55), (x + tall * lean * 0.9, HEIGHT - tall), tip]
    )
    canting(sheet, rng, stalk, 4.0)
    for share in np.linspace(0.58, 0.99, 24):
        root, heading = at(stalk, share)
        for side in (-1, 1):
            angle = heading + side * rng.uniform(0.25, 0.6)
            ear = bow(root, polar(root, angle, rng.uniform(16, 30)), side * 0.12)
            brush(sheet, rng, ear, profile(20, [(0, 1.0), (0.5, 3.4), (1, 0.7)]))


PLANTS: tuple[tuple[float, float, float, float, float], ...] = (
    # root x, head x, head y, head reach, stem width
    (235, 395, 610, 258, 15.0),
    (690, 760, 330, 205, 12.0),
    (1010, 1130, 760, 178, 10.0),
    (1420, 1560, 470, 285, 16.0),
    (1905, 2075, 800, 205, 11.5),
    (2235, 2330, 300, 225, 13.0),
)  # fmt: skip


def _plants(sheet: Sheet, rng: np.random.Generator) -> None:
    for root, x, y, reach, wide in PLANTS:
        stem = curve([(root, HEIGHT + 40), (root + (x - root) * 0.1, HEIGHT - (HEIGHT - y) * 0.45), (x, y)])
        brush(
            sheet,
            rng,
            stem,
            profile(80, [(0, wide / 2), (0.5, wide * 0.42), (0.95, wide * 0.3), (1, wide * 0.5)]),
            rough=0.07,
        )
        _, heading = at(stem, 1.0)
        _umbel(sheet, rng, (x, y), heading, reach)
        for share, side, size in ((0.62, 1, 0.52), (0.47, -1, 0.43)):
            _side_head(sheet, rng, stem, share, side, reach * size)
        for share, side in ((0.16, -1), (0.30, 1)):
            node, along = at(stem, share)
            _sheath(sheet, rng, stem, share)
            reach_out = reach * rng.uniform(1.25, 1.6)
            end = polar(node, along + side * rng.uniform(0.75, 1.0), reach_out)
            _fern(sheet, rng, bow(node, end + (0, reach_out * 0.12), -side * 0.16), reach_out * 0.42)


def _side_head(sheet: Sheet, rng: np.random.Generator, stem: Points, share: float, side: int, reach: float) -> None:
    node, along = at(stem, share)
    _sheath(sheet, rng, stem, share)
    end = polar(node, along + side * rng.uniform(0.5, 0.66), reach * 2.2)
    branch = bow(node, end, side * 0.13)
    canting(sheet, rng, branch, 6.0)
    _, heading = at(branch, 1.0)
    _umbel(sheet, rng, end, heading * 0.8 + UP * 0.2, reach)


def _sheath(sheet: Sheet, rng: np.random.Generator, stem: Points, share: float) -> None:
    brush(sheet, rng, part(stem, share - 0.02, share + 0.05), profile(20, [(0, 5), (0.3, 12), (1, 4)]))


def _umbel(
    sheet: Sheet, rng: np.random.Generator, hub: tuple[float, float] | Points, heading: float, reach: float
) -> None:
    rays = round(9 + reach / 24)
    across = np.linspace(-1, 1, rays) + rng.normal(0, 0.35 / rays, rays)
    for place in across:
        depth = rng.uniform(-1, 1) * math.sqrt(max(1 - min(place * place, 1), 0.02))
        high = reach * (0.80 - 0.30 * place * place + 0.20 * depth) * rng.uniform(0.94, 1.05)
        tip = polar(polar(hub, heading, high), heading + math.pi / 2, reach * place * 0.97)
        ray = bow(hub, tip, -0.11 * place, step=2.5)
        canting(sheet, rng, ray, max(2.8, reach / 70), drop=1.2)
        _, out = at(ray, 1.0)
        _umbellet(sheet, rng, tip, out * 0.6 + heading * 0.4, reach * rng.uniform(0.115, 0.15))
    for place in np.linspace(-1, 1, 7):
        bract = bow(hub, polar(hub, heading + math.pi + place * 1.25, reach * rng.uniform(0.1, 0.16)), 0.15 * place)
        brush(sheet, rng, bract, profile(16, [(0, 2.5), (0.4, 3.0), (1, 0.8)]))


def _umbellet(sheet: Sheet, rng: np.random.Generator, hub: Points, heading: float, reach: float) -> None:
    count = 9 if reach > 20 else 7
    for place in np.linspace(-1, 1, count) + rng.normal(0, 0.07, count):
        high = reach * (0.95 - 0.45 * place * place) * rng.choice([0.62, 1.0, 1.3]) * rng.uniform(0.9, 1.1)
        tip = polar(polar(hub, heading, high), heading + math.pi / 2, reach * place * 1.15)
        sheet.hair(np.array([hub, (hub + tip) / 2 + rng.normal(0, 1, 2), tip]), 2.0)
        _floret(sheet, rng, tip, max(3.4, reach * 0.165))


def _floret(sheet: Sheet, rng: np.random.Generator, centre: Points, reach: float) -> None:
    petals = 5 if reach > 4.5 else 4
    turn = rng.uniform(0, 2 * math.pi)
    for petal in range(petals):
        spot = polar(centre, turn + petal * 2 * math.pi / petals, reach * 0.95) + rng.normal(0, 0.5, 2)
        dot(sheet, rng, spot, max(1.9, reach * rng.uniform(0.42, 0.6)))


def _fern(sheet: Sheet, rng: np.random.Generator, rib: Points, wide: float) -> None:
    canting(sheet, rng, rib, 4.6)
    pairs = 6
    for index, share in enumerate(np.linspace(0.30, 0.93, pairs)):
        node, along = at(rib, share)
        size = wide * (1 - 0.78 * index / pairs) * rng.uniform(0.88, 1.1)
        for side in (-1, 1):
            end = polar(node, along + side * rng.uniform(0.72, 0.9), size)
            _frond(sheet, rng, bow(node, end, -side * 0.12), size)
    tip, along = at(rib, 1.0)
    _frond(sheet, rng, bow(tip, polar(tip, along, wide * 0.2), 0.1), wide * 0.2)


def _frond(sheet: Sheet, rng: np.random.Generator, rib: Points, size: float) -> None:
    canting(sheet, rng, rib, 3.0, drop=1.1)
    steps = max(int(size / 17), 3)
    for index, share in enumerate(np.linspace(0.24, 1.0, steps)):
        node, along = at(rib, share)
        reach = max(size * 0.21 * (1 - 0.55 * index / steps), 8) * rng.uniform(0.85, 1.15)
        for side in (-1, 1) if index < steps - 1 else (-0.6, 0, 0.6):
            tip = polar(node, along + side * rng.uniform(0.62, 0.85), reach)
            brush(
                sheet,
                rng,
                bow(node, tip, -side * 0.1),
                profile(14, [(0, 0.9), (0.6, max(2.2, reach * 0.15)), (1, 0.7)]),
            )
