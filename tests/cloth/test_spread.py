"""Creeping dye against lengths known by geometry, against a reference library, and against what dye does on cloth."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays
from skimage.graph import MCP_Geometric

from batiksim.cloth.effects import spread as spreading
from batiksim.cloth.effects.spread import distance_through, fade, spread


def grid(rows: int, cols: int) -> tuple[np.ndarray, np.ndarray]:
    y, x = np.mgrid[:rows, :cols].astype(float)
    return y, x


def inked(signed: np.ndarray) -> np.ndarray:
    """A mask with soft edges from a signed distance in pixels, above 0 inside."""
    return np.clip((signed + 0.5) * 255, 0, 255).round().astype(np.uint8)


def off(found: np.ndarray, known: np.ndarray, where: np.ndarray) -> float:
    """The largest relative error there."""
    assert where.sum() > 50
    return float((np.abs(found - known)[where] / known[where]).max())


@pytest.mark.parametrize("angle", [0, 17, 30, 45, 71])
def test_straight_channel(angle):
    """Within 2 % of the straight way, whichever way the channel runs."""
    y, x = grid(160, 160)
    turn = np.radians(angle)
    along = (x - 80) * np.cos(turn) + (y - 80) * np.sin(turn)
    across = (y - 80) * np.cos(turn) - (x - 80) * np.sin(turn)
    found = distance_through(inked(-50.0 - along), np.abs(across) < 6, 100.0)
    known = along + 50.0
    assert off(found, known, (np.abs(across) < 4) & (known > 10) & (known < 95) & (np.abs(along) < 70)) < 0.02


@pytest.mark.parametrize("radius", [3.0, 9.3, 25.0])
def test_around_a_disc(radius):
    """Within 2 % from 8 pixels on; nearer, to the fifth of a pixel that the pixels of a small disc tell."""
    y, x = grid(161, 161)
    centre = np.hypot(x - 80.2, y - 79.7)
    found = distance_through(inked(radius - centre), np.ones(x.shape, np.bool_), 50.0)
    known = centre - radius
    assert off(found, known, (known > 8) & (known < 49)) < 0.02
    assert np.abs(found - known)[(known > 1) & (known < 49)].max() < 0.2
    assert np.isinf(found[known > 51.5]).all()
    assert not found[known < -1].any()


def test_around_a_corner():
    """Behind a long wall dye comes from the wall's end: two straight ways, one after the other."""
    y, x = grid(200, 200)
    wall = (x <= 100) & (y == 100)
    found = distance_through(inked(np.minimum(60 - x, y - 130)), ~wall, 120.0)
    known = np.hypot(100.5 - 60, 130 - 100) + np.hypot(x - 100.5, y - 99.5)
    assert off(found, known, (y < 90) & (x < 95) & (known < 118)) < 0.02


@pytest.mark.parametrize("wide", [2, 5])
def test_through_a_gap(wide):
    """Behind a gap in a wax line dye fans out from the gap."""
    y, x = grid(160, 160)
    low, high = 80 - wide / 2, 80 + wide / 2
    wall = (np.abs(y - 80) < 2) & ~((x > low) & (x < high))
    found = distance_through(inked(y - 110), ~wall, 90.0)
    ends = [np.hypot(x - end, y - 78) for end in (low + 0.5, high - 0.5)]
    past = np.where((x > low) & (x < high), 78 - y, np.minimum(*ends))
    known = 110 - 78 + past
    assert off(found, known, (y < 70) & (known < 88)) < 0.02


def test_a_thin_slanting_line_holds():
    """A line of pixels that touch by their corners alone lets nothing through."""
    wall = np.eye(60, dtype=np.bool_)
    paint = np.zeros((60, 60), np.uint8)
    paint[-10:, :10] = 255
    found = distance_through(paint, ~wall, 200.0)
    assert np.isinf(found[np.triu_indices(60, 1)]).all()
    assert np.isfinite(found[np.tril_indices(60, -1)]).all()


def without_touching_corners(opened: np.ndarray) -> None:
    """Close, in place, one of the open places where two wax pixels touch by their corners alone."""
    while True:
        falling = ~opened[:-1, :-1] & ~opened[1:, 1:] & opened[:-1, 1:] & opened[1:, :-1]
        rising = opened[:-1, :-1] & opened[1:, 1:] & ~opened[:-1, 1:] & ~opened[1:, :-1]
        if not (falling | rising).any():
            return
        opened[:-1, 1:][falling] = False
        opened[1:, 1:][rising] = False


def test_against_a_reference_library():
    """Agreed on what is reached and how far, but for wax touching by corners, where only the library slips through.

    scikit-image goes along rows, columns and diagonals: never shorter than the true way, at most 8.3 % longer.
    """
    random = np.random.default_rng(4)
    y, x = grid(120, 150)
    opened = np.ones(x.shape, np.bool_)
    for row, col, size in zip(
        random.uniform(0, 120, 40), random.uniform(0, 150, 40), random.uniform(3, 9, 40), strict=True
    ):
        opened[np.hypot(x - col, y - row) < size] = False
    without_touching_corners(opened)
    paint = np.where(x < 12, 255, 0).astype(np.uint8)
    found = distance_through(paint, opened, 500.0)
    costs = np.where(opened, 1.0, np.inf)
    library, _ = MCP_Geometric(costs).find_costs(list(zip(*np.nonzero((paint > 0) & opened), strict=True)))
    reached = np.isfinite(library) & (library > 10)
    assert (np.isfinite(library) == np.isfinite(found)).all()
    ratio = library[reached] / (found[reached] + 0.5)
    assert ratio.min() > 0.995
    assert ratio.max() < 1.083
    assert ratio.mean() > 1.01


def channel() -> tuple[np.ndarray, np.ndarray]:
    """Paint on the left 20 mm of a strip of 100 x 30 mm at 4 pixels to a mm, wax from 26 mm on."""
    paint, wax = np.zeros((2, 120, 400), np.uint8)
    paint[:, :80], wax[:, 104:] = 255, 255
    return paint, wax


def test_weaker_towards_the_end_and_no_further():
    paint, _ = channel()
    levels = spread([paint], None, reach_mm=[5.0], px_per_mm=4.0)[0][60].astype(int)
    assert (levels[:80] == 255).all()
    assert (np.diff(levels[80:101]) < 0).all()
    assert not levels[101:].any()
    assert levels[89] == pytest.approx(255 * fade(np.float32(9.5 / 20)), abs=1)


def test_wax_stops_it():
    paint, wax = channel()
    levels = spread([paint], wax, reach_mm=[12.0], px_per_mm=4.0)[0]
    assert levels[:, 103].min() > 150
    assert not levels[:, 104:].any()


def test_soft_brushwork_goes_on_as_it_began():
    """A wash that fades more gently than creeping dye stays as drawn; so does dye drawn on wax."""
    wash = np.tile(np.linspace(255, 0, 400).round().astype(np.uint8), (40, 1))
    shown = spread([wash], None, reach_mm=[2.0], px_per_mm=4.0)[0]
    assert np.abs(shown[:, :380].astype(int) - wash[:, :380]).max() <= 3
    waxed = np.full_like(wash, 255)
    assert (spread([wash], waxed, reach_mm=[2.0], px_per_mm=4.0)[0] == wash).all()


def two_pots(gap_px: int = 0) -> list[np.ndarray]:
    paints = np.zeros((2, 60, 240), np.uint8)
    paints[0, :, : 120 - gap_px // 2] = 255
    paints[1, :, 120 + (gap_px + 1) // 2 :] = 255
    return list(paints)


def test_pots_mingle_along_a_soft_front():
    """Brushed side by side: half of each at the line, all of its own 3 mm away, and dye neither lost nor made."""
    one, two = (shown[30].astype(int) for shown in spread(two_pots(), None, reach_mm=[3, 3], px_per_mm=8.0))
    assert np.abs(one + two - 255).max() <= 1
    assert (np.diff(one) <= 0).all()
    assert one[119] > 127 > one[120]
    width = np.flatnonzero(one < 26)[0] - np.flatnonzero(one < 230)[0]
    assert 1.2 < width / 8 < 2.6  # from 90 % to 10 %, mm; 2.56 standard deviations of 0.25 x 3 mm
    assert one[96] == 255
    assert two[96] == 0


def test_pots_meet_halfway():
    """With bare cloth between, each creeps up to where the other is as near."""
    one, two = (shown[30].astype(int) for shown in spread(two_pots(24), None, reach_mm=[3, 3], px_per_mm=8.0))
    assert np.abs(one[::-1] - two).max() <= 6  # one pixel belongs to the first alone
    assert one[113] > two[113] + 40
    assert (one + two).min() > 150


def test_a_wax_line_keeps_pots_apart():
    wax = np.zeros((60, 240), np.uint8)
    wax[:, 118:123] = 255
    paints = [np.where(wax > 0, 0, paint).astype(np.uint8) for paint in two_pots()]
    one, two = spread(paints, wax, reach_mm=[3, 3], px_per_mm=8.0)
    assert (one == paints[0]).all()
    assert (two == paints[1]).all()


def test_pots_brushed_over_each_other_both_stay():
    paints = [np.full((50, 200), 255, np.uint8), two_pots()[1][:50, :200]]
    over, part = spread(paints, None, reach_mm=[3, 3], px_per_mm=8.0)
    assert (over == 255).all()
    assert part[25, 199] == 255
    assert 100 < part[25, 120] < 155


def test_the_tiles_do_not_show(monkeypatch):
    random = np.random.default_rng(7)
    y, x = grid(300, 260)
    fields = [sum(np.sin(a * x / 30 + b * y / 30 + c) for a, b, c in random.uniform(-3, 3, (5, 3))) for _ in range(3)]
    paints = [inked(8 * (fields[0] - 0.7)), inked(8 * (-fields[0] - 0.7))]
    wax = inked(2.0 - 12 * np.abs(fields[1]))
    whole = spread(paints, wax, reach_mm=[3, 2], px_per_mm=5.0)
    monkeypatch.setattr(spreading, "TILE_PX", 64)
    monkeypatch.setattr(spreading, "TILE_HALOS", 0)
    tiled = spread(paints, wax, reach_mm=[3, 2], px_per_mm=5.0, threads=2)
    for one, other in zip(whole, tiled, strict=True):
        differs = np.abs(one.astype(int) - other)
        assert differs.max() <= 6
        assert (differs > 2).mean() < 0.001


def test_a_smaller_picture_shows_the_same():
    y, x = grid(400, 600)
    full = inked(90 - np.hypot(x - 250, y - 200))
    wax = inked(3 - np.abs(np.hypot(x - 330, y - 150) - 80))
    half = [one.reshape(200, 2, 300, 2).mean(axis=(1, 3)).round().astype(np.uint8) for one in (full, wax)]
    large = spread([full], wax, reach_mm=[3], px_per_mm=10.0)[0].reshape(200, 2, 300, 2).mean(axis=(1, 3))
    small = spread([half[0]], half[1], reach_mm=[3], px_per_mm=5.0)[0]
    assert np.abs(large - small).mean() < 1.0
    assert (np.abs(large - small) > 25).mean() < 0.01


@settings(max_examples=40, deadline=None)
@given(
    arrays.arrays(np.uint8, (2, 12, 14)),
    arrays.arrays(np.uint8, (12, 14), elements=st.sampled_from([0, 0, 100, 200, 255])),
    st.floats(0.2, 6),
)
def test_dye_never_vanishes_and_never_enters_wax(paints, wax, reach):
    shown = spread([paints[0]], wax, reach_mm=[reach], px_per_mm=1.5)[0]
    assert (shown >= paints[0]).all()
    assert (shown[wax >= 128] == paints[0][wax >= 128]).all()
    both = spread(list(paints), wax, reach_mm=[reach, reach], px_per_mm=1.5)
    for levels, paint in zip(both, paints, strict=True):
        assert (levels[wax >= 128] == paint[wax >= 128]).all()


# The parts, by hand


@pytest.mark.parametrize("shape", [(4, 5), (1, 5), (5, 1)])
def test_largest_and_smallest_around_each_pixel(shape):
    y, x = grid(*shape)
    for row, col in np.ndindex(*shape):
        near = (abs(y - row) <= 1) & (abs(x - col) <= 1)
        levels = np.full(shape, 50, np.uint8)
        levels[row, col] = 200
        assert (spreading._around(levels, np.maximum) == np.where(near, 200, 50)).all()
        levels[row, col] = 9
        assert (spreading._around(levels, np.minimum) == np.where(near, 9, 50)).all()
        assert (levels == 50).sum() == levels.size - 1  # as it was


def test_strength_falls_with_the_square_of_the_way():
    left = fade(np.array([0, 0.5, 0.8, 1, 3], np.float32))
    assert left.dtype == np.float32
    assert left.tolist() == pytest.approx([1, 0.75, 0.36, 0, 0])


def test_paler_paint_begins_as_far_along_as_it_is_pale():
    """A level of 204 is four fifths: what has crept sqrt(1/5) of the reach, counted from half a pixel."""
    wide = np.array([[255, 255, 204, 204, 6, 6, 5, 0]], np.uint8)
    wanted = [0, 0, 0.5 + 10 * np.sqrt(0.2), 0.5 + 10 * np.sqrt(0.2), *[0.5 + 10 * np.sqrt(1 - 6 / 255)] * 2]
    begin = spreading._begin(wide, 10.0)[0]
    assert begin[:6].tolist() == pytest.approx(wanted)
    assert (begin[6:] == np.float32(spreading.geodesic.FAR)).all()


@pytest.mark.parametrize("turned", [False, True])
def test_paint_ends_within_the_soft_pixel_of_its_edge(turned):
    """Between a full pixel and an empty one a level of 204 is the edge, a fifth of a pixel short of the next."""

    def begins(*levels: int) -> list[float]:
        row = np.array([levels], np.uint8)
        return spreading._begin(row.T if turned else row, 10.0).ravel().tolist()

    assert begins(255, 204, 0)[1] == pytest.approx(0.2)
    assert begins(0, 204, 255)[1] == pytest.approx(0.2)
    assert begins(255, 204, 5)[1] == pytest.approx(0.2)  # less than 6 is no paint
    assert begins(255, 6, 0)[1] == pytest.approx(1 - 6 / 255)
    assert begins(255, 254, 0)[1] == pytest.approx(1 / 255)
    inner = pytest.approx(0.5 + 10 * np.sqrt(0.2))
    assert begins(255, 204, 6)[1] == inner
    assert begins(254, 204, 0)[1] == inner
    assert begins(255, 255, 0)[1] == 0


def test_lengths_count_from_the_edge_of_the_paint():
    """From the middle of the last painted pixel to its edge is half a pixel; on wax and beyond reach it is nowhere."""
    paint = np.array([[255, 0, 0, 0, 0, 0]], np.uint8)
    opened = np.ones((1, 6), np.bool_)
    assert distance_through(paint, opened, 3.5)[0].tolist() == [0, 0.5, 1.5, 2.5, 3.5, np.inf]
    assert distance_through(paint, opened, 3.4)[0].tolist() == [0, 0.5, 1.5, 2.5, np.inf, np.inf]
    opened[0, 2] = False
    assert distance_through(paint, opened, 3.5)[0].tolist() == [0, 0.5, *[np.inf] * 4]


@pytest.mark.parametrize(("halo", "side"), [(1, 4), (2, 6), (3, 8)])
def test_tiles_part_the_cloth_and_see_a_halo_around(monkeypatch, halo, side):
    """Thrice as long as their halo is wide, but between 4 and 8."""
    monkeypatch.setattr(spreading, "TILE_PX", 4)
    monkeypatch.setattr(spreading, "MOST_TILE_PX", 8)
    monkeypatch.setattr(spreading, "TILE_HALOS", 3)
    cells = np.arange(11 * 19).reshape(11, 19)
    times = np.zeros(cells.shape, int)
    starts = set()
    for tile in spreading._tiles(cells.shape, halo):
        here, around, inner = zip(*tile, strict=True)
        times[here] += 1
        starts.add((here[0].start, here[1].start))
        assert (cells[around][inner] == cells[here]).all()
        for seen, own, most in zip(around, here, cells.shape, strict=True):
            assert (seen.start, seen.stop) == (max(0, own.start - halo), min(most, own.stop + halo))
    assert (times == 1).all()
    assert starts == {(row, col) for row in range(0, 11, side) for col in range(0, 19, side)}


def test_a_pixel_that_wax_half_covers_is_shut():
    """Up to 127 of 255 the larger part is open."""
    paint = np.zeros((3, 40), np.uint8)
    paint[:, :10] = 255
    for level, passes in ((127, True), (128, False)):
        wax = np.zeros_like(paint)
        wax[:, 12] = level
        shown = spread([paint], wax, reach_mm=[4], px_per_mm=4.0)[0]
        assert shown[:, 13:20].all() == passes
        assert shown[:, 12:20].any() == passes


def test_what_no_dye_reaches_is_left_alone():
    faint = np.full((4, 6), 5, np.uint8)  # the off-white of a picture
    assert (spread([faint], None, reach_mm=[3], px_per_mm=4.0)[0] == faint).all()
    faint[0, 0] = 6
    shown = spread([faint], None, reach_mm=[3], px_per_mm=4.0)[0]
    assert (shown == faint).all()  # so pale that it comes to lie as drawn
    assert spread([faint[:0]], None, reach_mm=[3], px_per_mm=4.0, threads=0)[0].shape == (0, 6)


def test_a_place_belongs_to_the_pot_that_comes_first():
    """Five pixels lie between two pots; the one in the middle is as far from both and goes to the first of them."""
    paints = np.zeros((2, 1, 9), np.uint8)
    paints[0, 0, :2], paints[1, 0, 7:] = 255, 255
    opened = np.ones((1, 9), np.bool_)
    ways = np.array([0, 0, 0.5, 1.5, 2.5, 1.5, 0.5, 0, 0])
    left = np.float32(1 - (ways / 5) ** 2)
    first, second = spreading._crept(list(paints), opened, [5.0, 5.0])[:, 0]
    assert first == pytest.approx([*left[:5], 0, 0, 0, 0])
    assert second == pytest.approx([0, 0, 0, 0, 0, *left[5:]])
    second, first = spreading._crept(list(paints[::-1]), opened, [5.0, 5.0])[:, 0]
    assert first == pytest.approx([*left[:4], 0, 0, 0, 0, 0])
    assert second == pytest.approx([0, 0, 0, 0, *left[4:]])
    # a reach of two pixels ends before the middle, and each pot fades by its own reach
    first, second = spreading._crept(list(paints), opened, [2.0, 5.0])[:, 0]
    assert first == pytest.approx([1, 1, 1 - 1 / 16, 1 - 9 / 16, 0, 0, 0, 0, 0])
    assert second == pytest.approx([0, 0, 0, 0, *left[4:]])


def test_where_pots_creep_their_own_paint_stays():
    paints = np.zeros((2, 1, 4), np.uint8)
    paints[0, 0, :2], paints[1, 0, :] = 255, 51
    first, second = spreading._crept(list(paints), np.ones((1, 4), np.bool_), [3.0, 3.0])[:, 0]
    assert second == pytest.approx([0.2] * 4)
    assert first[:2] == pytest.approx([1, 1])


@pytest.mark.parametrize(("reach_mm", "soft"), [(0.4, True), (0.39, False)])
def test_a_front_finer_than_half_a_pixel_is_sharp(reach_mm, soft):
    """A quarter of the smaller reach, at five pixels to the millimetre."""
    paints = [paint[:1, 110:130].copy() for paint in two_pots()]
    first, second = spread(paints, None, reach_mm=[reach_mm, 3], px_per_mm=5.0)
    assert first[0].tolist() == [255] * 9 + ([204, 51] if soft else [255, 0]) + [0] * 9
    assert (first + second == 255).all()


@pytest.mark.parametrize("reaches", [(1, 6), (6, 1)])
def test_tiles_see_as_far_as_the_longest_reach(monkeypatch, reaches):
    paints = [paint[:2].copy() for paint in two_pots(40)]
    whole = spread(paints, None, reach_mm=reaches, px_per_mm=4.0)
    monkeypatch.setattr(spreading, "TILE_PX", 5)
    monkeypatch.setattr(spreading, "TILE_HALOS", 0)
    for plane, tiled in zip(whole, spread(paints, None, reach_mm=reaches, px_per_mm=4.0), strict=True):
        assert (plane == tiled).all()
