"""The compiled loops of what tools leave, each against the same formula written out with numpy."""

from __future__ import annotations

import math

import numpy as np
import pytest

from batiksim.cloth.effects import tool_edges, tool_textures
from batiksim.cloth.effects.crackle_drawing import draw_cracks
from tests.cloth.noise_twin import corner, noise_over

PX, KEY = 2.0, 5
ROWS, COLS = 12, 16
Y, X = np.mgrid[0:ROWS, 0:COLS] / PX


def blend(low, high, value):
    """Smooth from 0 at low to 1 at high: 3 t^2 - 2 t^3."""
    t = np.clip((value - low) / (high - low), 0, 1)
    return 3 * t**2 - 2 * t**3


def noise(x, y, more=0):
    return noise_over(x, y, KEY + more)


def within_one(made, wanted):
    """Bytes alike but for a digit lost in rounding."""
    return int(np.abs(made.astype(int) - np.rint(wanted).astype(int)).max()) <= 1


@pytest.fixture
def levels():
    levels = np.random.default_rng(4).integers(1, 256, (ROWS, COLS), dtype=np.uint8)
    levels[0, :4] = 0
    levels[5:] = 255
    return levels


def test_share_runs_smoothly_from_one_to_the_other():
    assert [tool_textures._share(1.0, 3.0, v) for v in (0.0, 1.0, 2.0, 3.0, 9.0)] == [0, 0, 0.5, 1, 1]
    assert tool_textures._share(1.0, 3.0, 1.5) == pytest.approx(0.15625)  # 3/16 - 2/64


def test_cool_wax_by_its_formula(levels):
    for cool in (0.3, 1.0):
        u, v, s, t = 0.8 * X - 0.6 * Y, 0.6 * X + 0.8 * Y, 0.4 * X - 0.9 * Y, 0.9 * X + 0.4 * Y
        patch = 0.55 * noise(u / 17, v / 17, 31) + 0.35 * noise(s / 7, t / 7, 32)
        patch += 0.25 * noise(X / 2.6, Y / 2.6, 33) + 0.15 * noise(u / 1.1, v / 1.1, 34)
        lost = np.clip(cool * (0.8 + (3 - 2.8 * cool) * patch), 0, 1)
        made = tool_edges.cool_wax(levels, cool, px_per_mm=PX, seed=1_000_003 + KEY)
        assert within_one(made, levels * (1 - lost))
        assert np.unique(made).size > 20


def test_a_stamp_by_its_formula(levels):
    for edges in (0.4, 1.0):
        light = 0.5 * noise(X / 45, Y / 45, 21) + 0.3 * noise(X / 11, Y / 11, 22)
        u, v = 0.8 * X - 0.6 * Y, 0.6 * X + 0.8 * Y
        bubble = 0.7 * noise(u / 1.2, v / 1.2, 23) + 0.45 * noise(v / 0.7, u / 0.7, 24)
        opened = blend(0.85, 1.15, bubble + 0.75 * edges * (0.5 + light))
        made = levels.copy()
        tool_textures.patchy_stamp(made, edges, PX, KEY)
        assert within_one(made, levels * (1 - 0.9 * opened))
        assert (made != levels).any()


def test_in_a_coarse_picture_bubbles_only_lighten(levels):
    """At one pixel to the millimetre their edge is twice as soft."""
    y, x = np.mgrid[0:ROWS, 0:COLS].astype(float)
    light = 0.5 * noise(x / 45, y / 45, 21) + 0.3 * noise(x / 11, y / 11, 22)
    u, v = 0.8 * x - 0.6 * y, 0.6 * x + 0.8 * y
    bubble = 0.7 * noise(u / 1.2, v / 1.2, 23) + 0.45 * noise(v / 0.7, u / 0.7, 24)
    made = levels.copy()
    tool_textures.patchy_stamp(made, 1.0, 1.0, KEY)
    assert within_one(made, levels * (1 - 0.9 * blend(0.7, 1.3, bubble + 0.75 * (0.5 + light))))


@pytest.mark.parametrize(("edges", "px"), [(1.0, 3.0), (0.6, 2.0)])
def test_a_dry_brush_by_its_formula(levels, edges, px):
    y, x = np.mgrid[0:ROWS, 0:COLS] / px
    soft = np.tile(np.linspace(0, 255, COLS).astype(np.uint8), (ROWS, 1))
    blur = min(1.0, 0.35 * px)
    edge = np.minimum(1, 2 * (1 - soft / 255))
    patch = noise(x / 24, y / 24, 11) + 0.5 * noise(x / 9, y / 9, 12)
    dry = edges * (0.85 * edge * (0.7 + 0.5 * patch) + 0.55 * np.maximum(0, patch - 0.25))
    angle = math.pi * (noise(0.5, 0.5, 13) + 0.45 * noise(x / 60, y / 60, 14))
    along, across = x * np.cos(angle) + y * np.sin(angle), y * np.cos(angle) - x * np.sin(angle)
    streaks = 0.62 * noise(along / 5, across / 0.55, 15) + 0.5 * noise(x / 0.42, y / 0.42, 16) + 1.45 * dry
    wanted = np.where(dry <= 0.01, levels, levels * (1 - blend(1 - 0.28 / blur, 1 + 0.28 / blur, streaks)))
    made = levels.copy()
    tool_textures.dry_brush(soft, made, edges, px, KEY)
    assert within_one(made, wanted)
    assert (made != levels).sum() > 20


def test_creeping_wax_by_its_formula():
    """A blurred straight edge is a normal curve: z sigmas out it has the level 1 - Phi(z) and the slope phi(z)."""
    from scipy.special import ndtr

    sigma, creep = 1.5, 0.9
    soft = np.tile((255 * ndtr((7.5 - np.arange(COLS)) / sigma)).astype(np.uint8), (ROWS, 1))
    start = np.where(np.arange(COLS) < 8, 255, 0).astype(np.uint8) * np.ones((ROWS, 1), np.uint8)
    uneven = 0.6 * noise(X / 2.6, Y / 2.6) + 0.25 * noise(X / 0.9, Y / 0.9, 3)
    z = np.maximum(creep * (0.75 + uneven), 0)
    value = np.clip(0.5 + (soft / 255 - ndtr(-z)) / (np.exp(-z * z / 2) / math.sqrt(2 * math.pi) / sigma), 0, 1) * 255
    wanted = np.where((soft < 6) | (start == 255), start, np.maximum(start, value))
    made = start.copy()
    tool_textures.creep_edges(soft, made, sigma, creep, PX, KEY)
    assert int(np.abs(made - np.rint(wanted)).max()) <= 2  # the normal curve is taken to four places
    assert (made > start).any()


def test_a_drop_is_round_and_soft_over_one_pixel():
    """Radius 2 about 6, 5: a pixel whose middle is 2 away is half covered."""
    plane = np.zeros((10, 12), np.uint8)
    tool_textures.draw_drop(plane, 6.5, 5.5, 2.0)
    assert plane[5, 3:11].tolist() == [0, 128, 255, 255, 255, 128, 0, 0]
    assert plane[2:9, 6].tolist() == [0, 128, 255, 255, 255, 128, 0]
    assert plane[4, 5] == 255
    assert plane[3, 4] == 0
    before = np.full((10, 12), 200, np.uint8)
    tool_textures.draw_drop(before, 6.5, 5.5, 2.0)
    assert (before.min(), before[5, 6]) == (200, 255)
    rim = np.zeros((10, 12), np.uint8)
    tool_textures.draw_drop(rim, 0.5, 0.5, 2.0)
    assert rim[0, :4].tolist() == rim[:4, 0].tolist() == [255, 255, 128, 0]
    tool_textures.draw_drop(rim, 11.5, 9.5, 2.0)
    assert rim[9, 8:].tolist() == [0, 128, 255, 255]


def test_chances_hold_all_over_a_patch():
    x, y = np.array([0.0, 2.9, 3.0, -0.1]), np.array([0.0, 2.9, 0.0, 0.0])
    wanted = [0.5 + 0.5 * corner(*at, KEY) for at in ((0, 0), (0, 0), (1, 0), (-1, 0))]
    assert tool_textures.chances(x, y, 3.0, KEY).tolist() == pytest.approx(wanted)


# The same over a few centimetres and over a whole cloth, where every grain of the noise shows, to the byte


def cloth_at(px, seed=9):
    """Places in mm of a plane of 20 by 24 pixels, and random levels on it with a corner of none and a row of one."""
    y, x = np.mgrid[0:20, 0:24] / px
    levels = np.random.default_rng(seed).integers(1, 256, x.shape, dtype=np.uint8)
    levels[:3, :3] = 0
    levels[5:7] = 1
    return x, y, levels


def whole(values):
    return np.floor(values + 0.5)


@pytest.mark.parametrize("px", [0.1, 0.7, 5.0])
@pytest.mark.parametrize("cool", [0.2, 0.7])
def test_cool_wax_over_a_cloth(cool, px):
    x, y, levels = cloth_at(px)
    u, v, s, t = 0.8 * x - 0.6 * y, 0.6 * x + 0.8 * y, 0.4 * x - 0.9 * y, 0.9 * x + 0.4 * y
    patch = 0.55 * noise(u / 17, v / 17, 31) + 0.35 * noise(s / 7, t / 7, 32)
    patch += 0.25 * noise(x / 2.6, y / 2.6, 33) + 0.15 * noise(u / 1.1, v / 1.1, 34)
    made = levels.copy()
    tool_textures.cool_patches(made, cool, px, KEY)
    assert (made == whole(levels * (1 - np.clip(cool * (0.8 + (3 - 2.8 * cool) * patch), 0, 1)))).all()


@pytest.mark.parametrize("px", [0.1, 0.7, 2.0, 5.0])
@pytest.mark.parametrize("edges", [0.3, 1.0])
def test_a_stamp_over_a_cloth(edges, px):
    x, y, levels = cloth_at(px)
    light = 0.5 * noise(x / 45, y / 45, 21) + 0.3 * noise(x / 11, y / 11, 22)
    u, v = 0.8 * x - 0.6 * y, 0.6 * x + 0.8 * y
    bubble = 0.7 * noise(u / 1.2, v / 1.2, 23) + 0.45 * noise(v / 0.7, u / 0.7, 24)
    soft = 0.15 / min(1.0, 0.5 * px)
    made = levels.copy()
    tool_textures.patchy_stamp(made, edges, px, KEY)
    assert (made == whole(levels * (1 - 0.9 * blend(1 - soft, 1 + soft, bubble + 0.75 * edges * (0.5 + light))))).all()


@pytest.mark.parametrize("px", [0.1, 0.7, 3.0, 5.0])
@pytest.mark.parametrize("edges", [0.02, 0.5, 1.0])
def test_a_dry_brush_over_a_cloth(edges, px):
    x, y, levels = cloth_at(px)
    inside = np.random.default_rng(2).integers(100, 256, x.shape, dtype=np.uint8)
    edge = np.minimum(1, 2 * (1 - inside / 255))
    patch = noise(x / 24, y / 24, 11) + 0.5 * noise(x / 9, y / 9, 12)
    dry = edges * (0.85 * edge * (0.7 + 0.5 * patch) + 0.55 * np.maximum(0, patch - 0.25))
    angle = math.pi * (noise(0.5, 0.5, 13) + 0.45 * noise(x / 60, y / 60, 14))
    along, across = x * np.cos(angle) + y * np.sin(angle), y * np.cos(angle) - x * np.sin(angle)
    streaks = 0.62 * noise(along / 5, across / 0.55, 15) + 0.5 * noise(x / 0.42, y / 0.42, 16) + 1.45 * dry
    soft = 0.28 / min(1.0, 0.35 * px)
    made = levels.copy()
    tool_textures.dry_brush(inside, made, edges, px, KEY)
    streaked = whole(levels * (1 - blend(1 - soft, 1 + soft, streaks)))
    assert (made == np.where(dry <= 0.01, levels, streaked)).all()


@pytest.mark.parametrize("px", [0.3, 2.0, 5.0])
@pytest.mark.parametrize(("sigma", "creep"), [(1.5, 0.9), (0.6, 2.4)])
def test_wax_creeps_over_a_cloth(sigma, creep, px):
    """The tail of the normal curve by the published approximation, its slope as it is; less than 6 of 255 is none."""
    x, y, start = cloth_at(px)
    start[:, ::2], start[:, 1::6] = 0, 255
    soft = np.random.default_rng(3).integers(0, 256, x.shape, dtype=np.uint8)
    soft[8:] //= 8
    uneven = 0.6 * noise(x / 2.6, y / 2.6) + 0.25 * noise(x / 0.9, y / 0.9, 3)
    z = np.maximum(creep * (0.75 + uneven), 0)
    tail = 1 / (2 * (1 + 0.196854 * z + 0.115194 * z**2 + 0.000344 * z**3 + 0.019527 * z**4) ** 4)
    slope = np.exp(-(z**2) / 2) / math.sqrt(2 * math.pi) / sigma
    value = whole(255 * np.clip(0.5 + (soft / 255 - tail) / slope, 0, 1))
    made = start.copy()
    tool_textures.creep_edges(soft, made, sigma, creep, px, KEY)
    assert (made == np.where(soft < 6, start, np.maximum(start, value))).all()


@pytest.mark.parametrize("shape", [(9, 12), (1, 12), (12, 1)])
def test_drops_anywhere_are_discs(shape):
    """At every border and across it: a pixel's cover falls from all to none as its middle crosses the rim."""
    y, x = np.mgrid[: shape[0], : shape[1]] + 0.5
    for at_x, at_y, radius in np.random.default_rng(6).uniform((-2, -2, 0.1), (14, 14, 4), (60, 3)).tolist():
        plane = np.zeros(shape, np.uint8)
        tool_textures.draw_drop(plane, at_x, at_y, radius)
        cover = np.clip(radius + 0.5 - np.hypot(x - at_x, y - at_y), 0, 1)
        assert (plane == whole(255 * cover)).all()


def test_patches_lie_on_a_grid_of_their_size():
    x, y = np.array([0.0, 1.9, 2.0, 5.0, -0.1, 7.0]), np.array([1.9, 2.0, 4.5, 0.0, -2.1, 6.0])
    wanted = [0.5 + 0.5 * corner(*at, 8) for at in ((0, 0), (0, 1), (1, 2), (2, 0), (-1, -2), (3, 3))]
    assert tool_textures.chances(x, y, 2.0, 8).tolist() == pytest.approx(wanted)


# Cracks drawn


def drawn(width_mm, *, px=10.0, shown=1.0, wide=(1.0, 1.0), bleed_mm=0.0, size=(41, 60)):
    """A level crack from 1 to 5 mm, 2.05 mm down: row 20 is its middle."""
    plane = np.zeros(size, np.uint8)
    x, y = np.array([1.05, 5.05]), np.array([20.5, 20.5]) / px
    width = np.array([width_mm, width_mm])
    draw_cracks(x, y, width, np.array([0, 2]), np.array([shown]), np.array(wide, np.float32), px, bleed_mm, KEY, plane)
    return plane


def weave(rows, cols, px=10.0):
    """How much less dye threads let through: up to .22, by noise with the grain of threads of .42 mm."""
    at = 0.42 * px
    return 1 - 0.22 * min(1.0, px * 0.21) * (0.5 + 0.5 * noise(cols / at, rows / at))


def test_a_crack_of_full_width_opens_all():
    """0.6 mm wide at ten pixels to the mm: rows 17.5 to 23.5, less what the threads catch."""
    plane = drawn(0.6)
    rows, cols = np.mgrid[0:41, 20:40].astype(float)
    cover = np.clip(3.0 + 0.5 - np.abs(rows - 20), 0, 1)
    wanted = np.rint(255 * cover * weave(rows, cols))
    assert np.abs(plane[:, 20:40] - wanted).max() <= 1
    assert not plane[:, :5].any()
    assert not plane[:, 58:].any()
    assert plane[20, 8] > 0  # its end is round


def test_a_hair_crack_lets_little_through():
    """0.13 mm wide: .1 + .9 * .13/.45 of a full one, spread over .26 mm."""
    plane = drawn(0.13)
    through = (0.1 + 0.9 * 0.13 / 0.45) * 0.5
    rows, cols = np.mgrid[20:21, 20:40].astype(float)
    assert np.abs(plane[20:21, 20:40] - 255 * through * weave(rows, cols)).max() <= 1


def test_dye_bleeds_beside_a_crack():
    """.11 of what runs through, falling to a third in each .3 mm."""
    plane = drawn(0.6, bleed_mm=0.3)
    rows, cols = np.mgrid[26:30, 20:40].astype(float)
    halo = 0.11 * np.exp(-(rows - 20 - 3.0) / 3.0)
    assert np.abs(plane[26:30, 20:40] - 255 * halo * weave(rows, cols)).max() <= 1
    assert not drawn(0.6)[26:30, 20:40].any()
    assert not plane[33:].any()  # three lengths on, nothing is left


def test_where_wax_is_narrow_a_crack_is_finer():
    """Half allowed: .4 + .6 * .5 of the width."""
    plane = drawn(1.0, wide=(0.5, 0.5))
    rows, cols = np.mgrid[0:41, 20:40].astype(float)
    cover = np.clip(3.5 + 0.5 - np.abs(rows - 20), 0, 1)
    assert np.abs(plane[:, 20:40] - 255 * cover * weave(rows, cols)).max() <= 1
    assert not drawn(0.6, shown=0.0).any()
    assert not drawn(0.6, wide=(0.02, 0.02)).any()
    weak = drawn(1.0, wide=(0.1, 0.1))[20, 20:40].astype(float)
    assert np.abs(weak - 255 * 0.3 * weave(np.full(20, 20.0), np.arange(20, 40.0))).max() <= 2  # thrice .1


def test_a_weaker_crack_changes_no_stronger_one():
    plane = drawn(0.6)
    again = plane.copy()
    x, y, width = np.array([1.05, 5.05]), np.array([2.05, 2.05]), np.array([0.13, 0.13])
    allowed = np.array([1, 1], np.float32)
    draw_cracks(x, y, width, np.array([0, 2]), np.array([1.0]), allowed, 10.0, 0.0, KEY, again)
    assert (again == plane).all()
