"""The steps by which a photographed drawing becomes a clean mask, each on pictures worked by hand."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import ndimage

from batiksim.cloth import clean_drawing
from batiksim.cloth.clean_drawing import clean_mask


@pytest.mark.parametrize(("longest", "block"), [(1, 1), (400, 1), (799, 1), (800, 2), (1199, 2), (1200, 3)])
def test_the_small_picture_is_made_of_blocks(longest, block):
    assert clean_drawing._block(longest) == block


def test_blocks_are_means_and_what_is_left_over_is_not_looked_at():
    pixels = np.zeros((801, 3), np.uint8)
    pixels[0, :2], pixels[1, :2], pixels[800], pixels[:, 2] = 10, 30, 255, 255
    small = clean_drawing._block_means(pixels)
    assert small.shape == (400, 1)
    assert small[:2, 0].tolist() == [20, 0]
    assert clean_drawing._block_means(pixels[:9]).tolist() == pixels[:9].tolist()


def test_between_the_middles_of_blocks():
    """Four pixels in blocks of two: the blocks' middles lie at .5 and 2.5."""
    before, after, share = clean_drawing._between(4, 2, 800)
    assert before.tolist() == [0, 0, 0, 1]
    assert after.tolist() == [1, 1, 1, 1]
    assert share.tolist() == [0, 0.25, 0.75, 0]


def test_bands_are_together_the_small_picture_at_full_size():
    rows, cols = np.mgrid[0:400, 0:10].astype(np.float32)
    bands = list(clean_drawing._bands(3 * rows + cols, (800, 20)))
    assert [(band.start, band.stop) for band, _ in bands] == [(0, 256), (256, 512), (512, 768), (768, 800)]
    full = np.concatenate([part for _, part in bands])
    down, along = np.clip((np.arange(800) - 0.5) / 2, 0, 399), np.clip((np.arange(20) - 0.5) / 2, 0, 9)
    assert full == pytest.approx(3 * down[:, None] + along, abs=1e-3)


def test_how_well_two_heaps_are_parted():
    """0, 2 and 14, 16: the middles are 14 apart, so 49 of a variance of 50 lie between them."""
    heaps = np.tile(np.array([0, 2, 14, 16], np.float32), (4, 5))
    assert clean_drawing._otsu_separability(heaps) == pytest.approx(49 / 50, rel=1e-5)
    assert clean_drawing._otsu_separability(np.where(heaps > 5, 1, 0).astype(np.float32)) == pytest.approx(1)
    assert clean_drawing._otsu_separability(np.ones((4, 5), np.float32)) == 0


def test_the_ground_is_followed_under_what_is_drawn_on_it():
    y, x = np.meshgrid(np.linspace(-1, 1, 60), np.linspace(-1, 1, 90), indexing="ij")
    ground = (1 + 0.3 * x - 0.2 * y + 0.1 * x * y).astype(np.float32)
    clear = np.ones(ground.shape, np.bool_)
    clear[20:30, 30:50] = False
    drawn = np.where(clear, ground, -2).astype(np.float32)
    assert clean_drawing._fit_background(drawn, clear, 2) == pytest.approx(ground, abs=2e-3)
    level = clean_drawing._fit_background(ground, np.zeros_like(clear), 1)  # none is clear: all of it is looked at
    assert level == pytest.approx(1 + 0.3 * x - 0.2 * y, abs=0.06)


def test_depth_runs_from_the_ground_to_a_full_mark():
    """A ground of 96 + 4; a full mark is half as bright: 46 + 4."""
    levels = np.array([[255, 96, 71, 46, 0]], np.uint8)
    depth = clean_drawing._depth(levels, np.full((1, 5), 100, np.float32), 0.5)
    assert depth.tolist() == [[0, 0, 127, 255, 255]]
    light = clean_drawing._depth(np.array([[0, 96, 146, 196, 255]], np.uint8), np.full((1, 5), 100, np.float32), 2.0)
    assert light.tolist() == [[0, 0, 127, 255, 255]]


def test_the_ramp_is_a_third_wide_about_half_the_depth():
    depth = np.array([[0, 84, 85, 102, 127, 128, 153, 170, 171, 255]], np.uint8)
    soft = clean_drawing._ramp(depth, np.full(depth.shape, 0.5, np.float32))
    wanted = np.clip(255 * ((depth / 255 - 0.5) / 0.34 + 0.5), 0, 255)
    assert np.abs(soft - wanted).max() <= 1
    assert (soft[0, 1], soft[0, -2]) == (0, 255)


@pytest.mark.parametrize(("strength", "half"), [(1.0, 0.4990), (0.7, 0.3520), (0.5, 0.3), (0.3, 0.45)])
def test_faint_strokes_are_cut_lower(strength, half):
    """(strength + .02 * .9) / 1.02 / 2, never under .3; where nothing is drawn, .45."""
    small = np.full((30, 40), strength, np.float32)
    assert clean_drawing._half_depth(small) == pytest.approx(np.full((30, 40), half), abs=2e-4)


@pytest.mark.parametrize("wide", [140, 500, 749])
def test_specks_and_pinholes_of_two_by_two_go_and_larger_ones_stay(wide):
    """Narrower than two pixels is a speck in small pictures, and up to three times 250 pixels."""
    soft = np.zeros((60, wide), np.uint8)
    soft[5:7, 5:7] = soft[5:7, 15:18] = 255
    soft[20:50, 20:60] = 255
    soft[30:32, 30:32] = soft[30:32, 40:43] = 0
    soft[10:14, 100:110], soft[10:14, 120:130] = 155, 156  # a smudge; a stroke
    soft[19, 20:60] = 40  # the soft edge of a stroke
    made = clean_drawing._despeckle(soft.copy())
    assert made[5:7, 5:7].tolist() == [[0, 0], [0, 0]]
    assert (made[5:7, 15:18] == 255).all()
    assert (made[30:32, 30:32] == 255).all()
    assert (made[30:32, 40:43] == 0).all()
    assert not made[10:14, 100:110].any()
    assert (made[10:14, 120:130] == 156).all()
    assert (made[19, 20:60] == 40).all()


def test_only_grain_is_smoothed():
    clean = np.zeros((60, 90), np.uint8)
    clean[:, 40:] = 255
    assert clean_drawing._denoise(clean) is clean
    grain = np.random.default_rng(2).integers(0, 40, clean.shape, dtype=np.uint8)
    assert clean_drawing._denoise(grain).std() < grain.std() / 2


def test_a_drawing_is_large_and_stands_out():
    small, ground = np.full((100, 100), 96, np.float32), np.full((100, 100), 100, np.float32)
    marked = np.zeros((100, 100), np.bool_)
    marked[40:50, 40:50] = True
    for level, full in ((46, 0.5), (82, 0.86), (86, None)):  # .14 and .10 of the ground's level
        small[marked] = level
        found = clean_drawing._full_mark_ratio(small, ground, marked)
        assert found == (None if full is None else pytest.approx(full))
    speck = np.zeros((100, 100), np.bool_)
    speck[10:12, 10:14] = True
    small[speck] = 46
    assert clean_drawing._full_mark_ratio(small, ground, speck) is None


@pytest.mark.parametrize("light_marks", [False, True])
def test_strokes_on_a_sheet_lit_from_one_side(light_marks):
    light = np.linspace(1, 0.6, 300)[None, :] * np.ones((200, 1))
    drawn = np.zeros((200, 300), np.bool_)
    drawn[60:140, 50:90] = drawn[90:100, 50:260] = True
    levels = (light * (np.where(drawn, 230, 110) if light_marks else np.where(drawn, 70, 220))).astype(np.uint8)
    mask = clean_mask(levels if light_marks else np.invert(levels), light_marks=light_marks)
    assert ((mask > 127) == drawn).mean() > 0.998
    assert not clean_mask(np.full((200, 300), 30, np.uint8), light_marks=light_marks).any()


def test_the_grain_of_the_paper_is_no_part_of_the_ground():
    """What is taken for the ground turns with the light, which is smooth, and doesn't follow single pixels."""
    random = np.random.default_rng(5)
    light = np.linspace(0, 0.3, 120, dtype=np.float32)[:, None]
    levels = (light + 0.03 * random.standard_normal((120, 160))).astype(np.float32)
    levels[40:60, 50:90] -= 2.0
    ground, marks = clean_drawing._estimate_background(levels)
    assert np.abs(np.diff(ground, axis=1)).max() < 0.01
    assert np.abs(ground - light)[~marks].max() < 0.03
    assert marks[42:58, 52:88].all()
    assert marks.mean() < 0.06


@pytest.mark.parametrize(("step", "sigma"), [(0, 0), (2, 0.5 + 10 * 1.05 * 2 / 255), (40, 1.2)])
def test_grain_is_smoothed_by_as_much_as_there_is_and_by_little_more_than_a_pixel(step, sigma):
    """Neighbours along a row that lie `step` levels apart, and a line too dark to be grain."""
    depth = np.zeros((30, 40), np.uint8)
    depth[:, ::2] = step
    depth[10:12] = 200
    assert np.array_equal(clean_drawing._denoise(depth), ndimage.gaussian_filter(depth, sigma) if sigma else depth)


def test_the_first_guess_of_the_ground_is_what_lies_little_below_the_highest_level_around():
    """By an eighth, in logarithms of brightness: less is the paper's own, more is a mark."""
    levels = np.full((96, 144), 1.0, np.float32)
    levels[:, 72:] = 0.5  # a sheet in the shade
    levels[20:24, 20:24], levels[60:64, 20:24] = 0.9, 0.85
    levels[20:24, 120:124], levels[60:64, 120:124] = 0.4, 0.35
    clear = clean_drawing._initial_background(levels)
    assert clear[:, :56].sum() == 96 * 56 - 16
    assert not clear[60:64, 20:24].any()
    assert clear[:, 88:].sum() == 96 * 56 - 16
    assert not clear[60:64, 120:124].any()
