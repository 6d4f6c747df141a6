"""Mask pictures to masks: the rule for what is marked, and clean masks from photos of drawings."""

from __future__ import annotations

import io

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageDraw
from scipy import ndimage

from batiksim.cloth.masks import AS_USUAL, area_mean, marked_sides, mask_warnings, product, to_mask
from batiksim.errors import BatikError
from batiksim.texts.catalogue import say

GREY = np.arange(256, dtype=np.uint8).reshape(16, 16)
FULL = np.full((16, 16), 255, np.uint8)
MOSTLY_DARK = say("cloth.mask.mostly_dark")


def test_dark_marks_are_the_complement():
    reading = to_mask(GREY, None, marks="dark")
    assert np.array_equal(reading.mask, 255 - GREY)
    assert (reading.marks, reading.assumed) == ("dark", None)


def test_light_marks_are_the_grey_itself():
    reading = to_mask(GREY, None, marks="light")
    assert np.array_equal(reading.mask, GREY)
    assert not np.shares_memory(reading.mask, GREY)


def test_alpha_is_read_as_it_is():
    reading = to_mask(FULL, GREY, marks="alpha")
    assert np.array_equal(reading.mask, GREY)
    assert not np.shares_memory(reading.mask, GREY)


def test_left_out_a_varying_alpha_is_read():
    reading = to_mask(FULL, GREY)
    assert np.array_equal(reading.mask, GREY)
    assert reading.marks == "alpha"
    assert reading.assumed == say("cloth.mask.by_transparency")


@pytest.mark.parametrize("alpha", [None, FULL])
def test_left_out_without_alpha_dark_is_marked(alpha):
    sheet = np.full((40, 40), 250, np.uint8)
    sheet[10:20, 10:20] = 5
    reading = to_mask(sheet, None if alpha is None else np.full_like(sheet, 255))
    assert np.array_equal(reading.mask, 255 - sheet)
    assert (reading.marks, reading.assumed) == ("dark", AS_USUAL)


def test_left_out_on_a_dark_ground_the_maker_is_warned():
    sheet = np.full((400, 300), 10, np.uint8)
    sheet[100:200, 100:200] = 240
    reading = to_mask(sheet, None)
    assert np.array_equal(reading.mask, 255 - sheet)
    assert reading.assumed == MOSTLY_DARK


@pytest.mark.parametrize(("marked", "sides"), [(89, []), (90, ["top"])])
def test_a_side_is_marked_from_end_to_end_or_nearly(marked, sides):
    mask = np.zeros((60, 100), np.uint8)
    mask[0, :marked] = 128
    mask[0, marked:] = 127
    assert marked_sides(mask) == sides


@pytest.mark.parametrize(("grey", "warned"), [(95, True), (96, False)])
def test_a_ground_is_dark_below_three_eighths_of_full_grey(grey, warned):
    assert (to_mask(np.full((40, 30), grey, np.uint8), None).assumed == MOSTLY_DARK) == warned


@pytest.mark.parametrize("side", [np.s_[0], np.s_[-1], np.s_[:, 0], np.s_[:, -1]])
def test_a_dark_ground_is_dark_along_its_border_as_well(side):
    """Twenty rows and twenty columns: a side is a quarter of the border, and more than half of it has to be dark."""
    sheet = np.full((20, 20), 10, np.uint8)
    sheet[0], sheet[:, 0], sheet[-1], sheet[:, -1] = 240, 240, 240, 240
    assert to_mask(sheet, None).assumed != MOSTLY_DARK
    dark = np.full((20, 20), 10, np.uint8)
    dark[side] = 240
    assert to_mask(dark, None).assumed == MOSTLY_DARK


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("light", [0, -1])
def test_of_two_light_sides_that_are_opposite_each_counts_once(light, turned):
    """Both of the longer sides light are over half of the border; one of them is not."""
    sheet = np.full((20, 30), 10, np.uint8)
    sheet[light] = 240
    both = sheet.copy()
    both[0] = both[-1] = 240
    for seen, dark in ((sheet, True), (both, False)):
        assert (to_mask(seen.T if turned else seen, None).assumed == MOSTLY_DARK) == dark


def test_a_large_dark_shape_on_light_paper_is_no_dark_ground():
    sheet = np.full((400, 300), 240, np.uint8)
    sheet[20:-20, 20:-20] = 10
    assert to_mask(sheet, None).assumed == AS_USUAL


@given(st.integers(0, 255), st.integers(0, 255))
def test_clear_parts_lie_over_paper(grey, alpha):
    one = np.full((1, 2), grey, np.uint8), np.full((1, 2), alpha, np.uint8)
    dark = 255 - (grey * alpha + 255 * (255 - alpha)) / 255
    assert abs(int(to_mask(*one, marks="dark").mask[0, 0]) - dark) <= 0.5
    assert abs(int(to_mask(*one, marks="light").mask[0, 0]) - grey * alpha / 255) <= 0.5


def test_inputs_stay_as_they_were():
    grey, alpha = GREY.copy(), GREY[::-1].copy()
    for marks in (None, "dark", "light", "alpha"):
        to_mask(grey, alpha, marks=marks)
    assert np.array_equal(grey, GREY)
    assert np.array_equal(alpha, GREY[::-1])


@pytest.mark.parametrize("alpha", [None, FULL])
def test_no_transparency_to_read_by(alpha):
    with pytest.raises(BatikError, match="see-through") as caught:
        to_mask(GREY, alpha, marks="alpha")
    assert caught.value.field == "marks"


def drawing(rows: int, cols: int, seed: int = 1, strokes: int = 14) -> tuple[np.ndarray, np.ndarray]:
    """Brush strokes: where they are (0..1, soft edge) and how much paint lies there (0..1, streaky)."""
    rng = np.random.default_rng(seed)
    grain = max(rows, cols) / 1000
    sheet = Image.new("L", (cols, rows), 0)
    pen = ImageDraw.Draw(sheet)
    for _ in range(strokes):
        for x, y, half in _stroke(rng, rows, cols):
            pen.ellipse((x - half, y - half, x + half, y + half), fill=255)
    for _ in range(3):
        pen.polygon(_blob(rng, rows, cols), fill=255)
    truth = ndimage.gaussian_filter(np.asarray(sheet, dtype=np.float32) / 255, 0.8)
    streaks = ndimage.gaussian_filter(rng.standard_normal((rows, cols)).astype(np.float32), (1.2 * grain, 14 * grain))
    streaks /= streaks.std()
    pools = ndimage.gaussian_filter(rng.standard_normal((rows, cols)).astype(np.float32), 30 * grain)
    pools /= pools.std()
    return truth, truth * np.clip(0.88 + 0.12 * streaks + 0.08 * pools, 0.45, 1)


def _stroke(rng, rows, cols):
    ends = rng.uniform((0.05, 0.05), (0.95, 0.95), (4, 2)) * (cols, rows)
    width = rng.uniform(0.003, 0.02) * cols
    for t in np.linspace(0, 1, 600):
        weights = np.array([(1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3])
        x, y = weights @ ends
        yield x, y, width * (0.45 + 0.55 * np.sin(np.pi * t) ** 0.7) * (1 + 0.08 * np.sin(40 * t))


def _blob(rng, rows, cols):
    angle = np.linspace(0, 2 * np.pi, 120, endpoint=False)
    reach = 0.09 * rows * (1 + 0.25 * np.sin(3 * angle + rng.uniform(0, 6)) + 0.1 * np.sin(7 * angle))
    x, y = rng.uniform(0.15, 0.85, 2) * (cols, rows)
    return list(zip(x + reach * np.cos(angle), y + reach * np.sin(angle), strict=True))


def photo(paint: np.ndarray, *, seed: int = 2, light_marks: bool = False, noise: float = 6, shade: float = 0.45):
    """Photograph the drawing: uneven light, a soft shadow, paper grain, dust, noise, a warm lamp, JPEG. RGB uint8."""
    rng = np.random.default_rng(seed)
    rows, cols = paint.shape
    y, x = np.meshgrid(np.linspace(-1, 1, rows), np.linspace(-1, 1, cols), indexing="ij")
    light = 1 - 0.32 * (x * x + y * y) / 2 - 0.18 * x
    light *= 1 - shade / (1 + np.exp(-(x * 0.8 + y - 0.55) * 9))
    paper, ink = (0.16, 0.86) if light_marks else (0.82, 0.14)
    grain = ndimage.gaussian_filter(rng.standard_normal(paint.shape).astype(np.float32), 1.5)
    sheet = paper * (1 + 0.04 * grain / grain.std())
    seen = sheet * (1 - paint) + ink * paint
    for row, col in rng.uniform((4, 4), (rows - 4, cols - 4), (rows * cols // 12_000, 2)).astype(int):
        seen[row - 1 : row + 1, col - 1 : col + 1] = ink
    seen = (seen * light)[..., None] * (1.0, 0.93, 0.78) * 255
    seen += rng.standard_normal(seen.shape) * noise
    file = io.BytesIO()
    Image.fromarray(np.clip(seen, 0, 255).astype(np.uint8)).save(file, "JPEG", quality=82)
    return np.asarray(Image.open(file))


def cleaned(paint, *, light=False, **lamp):
    grey = np.asarray(Image.fromarray(photo(paint, light_marks=light, **lamp)).convert("L"))
    return to_mask(grey, None, marks="light" if light else "dark", clean=True).mask


def overlap(mask, truth):
    """Intersection over union of the halves above the middle."""
    marked, true = mask > 127, truth > 0.5
    return (marked & true).sum() / (marked | true).sum()


@pytest.fixture(scope="module")
def brushed():
    return drawing(600, 800)


@pytest.mark.some(3)
@pytest.mark.parametrize("light", [False, True])
@pytest.mark.parametrize("lamp", [{}, {"noise": 14}, {"shade": 0.7}, {"noise": 0, "shade": 0}])
def test_a_photo_of_a_drawing_comes_out_clean(brushed, light, lamp):
    truth, paint = brushed
    assert overlap(cleaned(paint, light=light, **lamp), truth) > 0.98


@pytest.mark.full
@pytest.mark.parametrize("light", [False, True])
@pytest.mark.parametrize("cover", ["crowded", "half", "most"])
def test_more_marks_than_paper(light, cover):
    truth, paint = drawing(600, 800, seed=7, strokes=60)
    if cover == "half":
        truth = np.zeros_like(truth)
        truth[:, :500] = 1
        truth[80:160, 40:240] = 0
    if cover == "most":
        truth = np.pad(np.ones((560, 760), np.float32), 20)
        truth[240:380, 240:560] = 0
    assert overlap(cleaned(paint if cover == "crowded" else truth * 0.95, light=light), truth) > 0.97


@pytest.mark.parametrize("light", [False, True])
def test_the_ground_is_empty_and_strokes_are_whole(brushed, light):
    truth, paint = brushed
    mask = cleaned(paint, light=light)
    inside = ndimage.minimum_filter(truth, 9) > 0.99
    outside = ndimage.maximum_filter(truth, 9) < 0.01
    assert (mask[inside] == 255).mean() > 0.995
    assert (mask[outside] == 0).mean() > 0.999


def test_edges_stay_soft(brushed):
    truth, paint = brushed
    mask = cleaned(paint)
    outline = np.diff((mask > 127).astype(int), axis=1) != 0
    between = (mask > 0) & (mask < 255)
    assert 0.7 < between.sum() / outline.sum() < 3


@pytest.mark.some(1)
@pytest.mark.parametrize("light", [False, True])
@pytest.mark.parametrize("seed", [2, 6])
def test_bare_paper_gives_a_blank_mask(light, seed):
    assert not cleaned(np.zeros((750, 1000), np.float32), light=light, seed=seed).any()


@pytest.mark.parametrize("level", [0, 128, 255])
@pytest.mark.parametrize("shape", [(8, 8), (9, 500), (300, 301)])
def test_one_flat_grey_gives_a_blank_mask(level, shape):
    assert not to_mask(np.full(shape, level, np.uint8), None, marks="dark", clean=True).mask.any()


def test_a_clean_picture_stays_as_it_is(brushed):
    truth, _ = brushed
    sheet = np.where(truth > 0.5, 20, 250).astype(np.uint8)
    mask = to_mask(sheet, None, marks="dark", clean=True).mask
    assert overlap(mask, truth) > 0.9995


def test_cleaning_is_the_same_every_time(brushed):
    _, paint = brushed
    paint = paint[:300, :400]
    assert np.array_equal(cleaned(paint), cleaned(paint))


@settings(max_examples=25, deadline=None)
@given(st.integers(8, 60), st.integers(8, 60), st.integers(0, 99))
def test_any_small_picture_can_be_cleaned(rows, cols, seed):
    grey = np.random.default_rng(seed).integers(0, 256, (rows, cols), dtype=np.uint8)
    before = grey.copy()
    assert to_mask(grey, None, marks="light", clean=True).mask.shape == (rows, cols)
    assert np.array_equal(grey, before)


def photographed():
    """A stroke on paper in falling light, with grain."""
    noise = np.random.default_rng(3).normal(0, 4, (200, 300))
    sheet = np.linspace(220, 120, 300)[None, :] + noise
    sheet[80:120, 40:260] *= 0.25
    return np.clip(sheet, 0, 255).astype(np.uint8)


def test_a_photo_that_is_not_to_be_cleaned_is_asked_about():
    mask = to_mask(photographed(), None).mask
    assert mask_warnings(mask, clean=False, wax=True) == (say("cloth.mask.mostly_grey"),)
    assert mask_warnings(mask, clean=False, wax=False) == ()  # a wash to brush dye by may be grey all over


def test_drawings_with_soft_edges_are_not_asked_about():
    rows, cols = np.ogrid[:300, :300]
    disc = 255 - np.clip(8 * (100 - np.hypot(rows - 150, cols - 150)), 0, 255).astype(np.uint8)
    assert mask_warnings(to_mask(disc, None).mask, clean=False, wax=True) == ()


@pytest.mark.parametrize(
    ("cut", "told"),
    [
        (np.s_[:, :9], "left edge"),
        (np.s_[-9:], "bottom edge"),
        (np.s_[20:90, 20:90], None),
        (np.s_[:], None),
        (np.s_[60:, :5], None),
    ],
)
def test_a_mark_along_a_whole_side_of_a_cleaned_photo_may_be_the_table(cut, told):
    mask = np.zeros((100, 100), np.uint8)
    mask[cut] = 255
    found = mask_warnings(mask, clean=True, wax=True)
    assert [told in str(note) for note in found] == ([True] if told else [])


@pytest.mark.parametrize(
    ("one", "other", "both"), [(255, 255, 255), (255, 7, 7), (0, 255, 0), (128, 128, 64), (1, 127, 0), (1, 128, 1)]
)
def test_shares_of_255_are_multiplied_to_the_nearest(one, other, both):
    assert product(np.array([one], np.uint8), np.array([other], np.uint8)).tolist() == [both]


def test_a_mask_is_reduced_by_its_mean():
    mask = np.array([[0, 10, 20], [30, 40, 50], [60, 70, 80]], np.uint8)
    assert area_mean(mask, 1) is mask
    # the last row and column are repeated: means of (0 10 30 40), (20 20 50 50), (60 70 60 70), (80 80 80 80)
    assert area_mean(mask, 2).tolist() == [[20, 35], [65, 80]]
    assert area_mean(mask, 3).tolist() == [[40]]
    assert area_mean(mask[:2], 2).tolist() == [[20, 35]]
    assert area_mean(mask[:, :2], 2).tolist() == [[20], [65]]


@pytest.mark.parametrize("factor", [2, 16, 17])
def test_a_full_mask_stays_full_at_any_size(factor):
    assert np.unique(area_mean(np.full((2 * factor, factor), 255, np.uint8), factor)).tolist() == [255]


def test_what_is_short_of_a_whole_block_is_made_up():
    """Of 4 by 5 pixels in blocks of 3: two rows and one column are repeated."""
    mask = np.repeat(np.array([[30], [30], [30], [90]], np.uint8), 5, axis=1)
    mask[:, 4] = 60
    assert area_mean(mask, 3).tolist() == [[30, 50], [90, 70]]  # (3 * 30 + 6 * 60) / 9 and (3 * 90 + 6 * 60) / 9


def test_a_picture_is_reduced_to_the_nearest():
    rgb = np.array([[[0, 9, 255], [1, 9, 255]], [[0, 9, 255], [1, 9, 255]], [[5, 6, 7], [5, 7, 8]]], np.uint8)
    assert area_mean(rgb, 2, rounded=True).tolist() == [[[1, 9, 255]], [[5, 7, 8]]]
    assert area_mean(rgb, 2).tolist() == [[[0, 9, 255]], [[5, 6, 7]]]
