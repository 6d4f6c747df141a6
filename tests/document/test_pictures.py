"""Dropped pictures: kept, read as masks, shown, brought to size."""

from __future__ import annotations

import numpy as np
import pytest

from batiksim.cloth.masks import to_mask
from batiksim.document.uploads import pictures
from batiksim.document.uploads.pictures import ReadMask, fit_to_cloth, picture_data, picture_preview
from batiksim.errors import BatikError
from tests.document.conftest import grey_box


def test_the_last_twelve_are_kept(dropped, drop):
    keys = [drop(grey_box()) for _ in range(13)]
    assert len(set(keys)) == 13
    assert dropped.get(keys[1]).name == "my lines.png"
    with pytest.raises(BatikError, match="picture: is no longer here; drop the picture again"):
        dropped.get(keys[0])


def test_a_file_that_is_no_picture_is_called_by_its_own_name(dropped, tmp_path):
    (tmp_path / "sent").write_text("nonsense")
    with pytest.raises(BatikError, match=r"^lines\.png: is not a picture"):
        dropped.take(tmp_path / "sent", "lines.png")


def test_what_the_page_hears_of_it(dropped, drop):
    told = picture_data(dropped.get(drop(grey_box(), "C:/photos/my lines.v2.png")))
    assert (told["rows"], told["cols"], told["marks"], told["clean"], told["surround"]) == (
        60,
        80,
        "dark",
        False,
        False,
    )
    assert told["name"] == "my lines-v2"  # of letters that any disk takes
    assert told["key"] in dropped._kept
    assert told["assumed"] == str(to_mask(grey_box(), None).assumed)
    assert told["notes"] == []
    assert not told["whole_paper"]


@pytest.mark.parametrize(
    ("grey", "scanned"),
    [
        (grey_box(), False),
        (grey_box(ground=250), True),  # a ground of 5 is paper
        (grey_box(ground=253), True),  # and so is one of 2
        (grey_box(ground=254), False),  # one of 1 is white
        (grey_box(ground=229), True),  # 26
        (grey_box(ground=228), False),  # 27: a tint that is meant
        (np.tile(np.linspace(255, 0, 80).astype(np.uint8), (60, 1)), True),
    ],
)
def test_paper_is_cleaned_and_what_was_drawn_is_not(grey, scanned):
    assert pictures._looks_scanned(255 - grey) is scanned


def test_grain_tells_a_photo_from_a_drawing():
    random = np.random.default_rng(2)
    grain = np.where(random.random((60, 80)) < 0.5, 60, random.integers(30, 250, (60, 80))).astype(np.uint8)
    assert pictures._looks_scanned(grain)
    washes = np.repeat(random.integers(30, 250, (60, 20)), 4, axis=1).astype(np.uint8)
    assert not pictures._looks_scanned(washes)  # three of four neighbours are equal
    blown = np.where(random.random((60, 80)) < 0.45, 0, random.integers(30, 250, (60, 80))).astype(np.uint8)
    assert pictures._looks_scanned(blown)  # white where the light was too much, grain elsewhere
    two = np.where(random.random((60, 80)) < 0.5, 100, 200).astype(np.uint8)
    assert not pictures._looks_scanned(two)  # two plain levels


def test_previews_of_a_dropped_picture(dropped, drop):
    key = drop(np.kron(grey_box(), np.ones((10, 10), np.uint8)))
    shown = picture_preview(dropped.get(key), "picture", None)
    assert shown.shape == (360, 480, 4)
    assert (shown[180, 150].tolist(), shown[5, 5].tolist()) == ([0, 0, 0, 255], [255, 255, 255, 255])
    turned = picture_preview(dropped.get(key), "mask", "light")
    assert (turned[180, 150, 0], turned[5, 5, 0]) == (255, 0)


@pytest.mark.parametrize(
    ("shape", "paper", "fits"),
    [
        ((60, 80), False, True),
        ((120, 160), False, True),
        ((30, 40), False, True),
        ((100, 102), False, False),
        ((100, 135), False, True),  # 1.35 is 1.25% wider than 4:3
        ((100, 137), False, False),  # 2.75%
        ((100, 131), False, True),
        ((100, 130), False, False),
        ((100, 150), True, True),  # 12.5%
        ((100, 155), True, False),
        ((100, 115), True, True),
        ((100, 113), True, False),
    ],
)
def test_a_mask_fits_a_cloth_of_its_shape(shape, paper, fits):
    read = ReadMask(mask=np.full(shape, 200, np.uint8), paper=paper)
    if fits:
        mask = fit_to_cloth("a.png", read, (60, 80))
        assert mask.shape == (60, 80)
        assert np.unique(mask).tolist() == [200]
    else:
        said = rf"a\.png: is {shape[1]} × {shape[0]} pixels, a different shape from the cloth's 80 × 60"
        with pytest.raises(BatikError, match=said):
            fit_to_cloth("a.png", read, (60, 80))


def test_what_lies_round_the_paper_stays_unless_it_is_said_to_go(dropped, drop):
    """A dark table along the left side of a white sheet, and a line over the whole picture."""
    grey = np.full((400, 600), 255, np.uint8)
    grey[:, :50] = grey[180:200] = 0
    picture = dropped.get(drop(grey))
    kept = pictures.read_dropped(picture, marks="dark", clean=False)
    assert (kept.mask == 255 - grey).all()
    assert not kept.paper
    gone = pictures.read_dropped(picture, marks="dark", clean=False, off_table=True)
    assert not gone.mask[:, :40].any()
    assert (gone.mask[185:195, 100:] == 255).all()
    with_table, without = (picture_preview(picture, "mask", "dark", off_table=off)[20, 20, 0] for off in (False, True))
    assert (with_table, without) == (0, 255)
    assert picture_preview(picture, "mask", "dark")[20, 20, 0] == 0


def test_the_first_mask_sets_the_size():
    mask = np.zeros((10, 99), np.uint8)
    assert fit_to_cloth("a.png", ReadMask(mask=mask), None) is mask
    assert fit_to_cloth("a.png", ReadMask(mask=mask), (10, 99)) is mask


def row(levels):
    """A mask of one row of these levels, laid three times below one another."""
    return np.tile(np.array(levels, np.uint8), (3, 1))


def runs(equal):
    """101 pixels in runs, of as even lengths as can be, with so many equal neighbours; eight levels in turn."""
    count = 101 - equal
    lengths = [101 // count + (place < 101 % count) for place in range(count)]
    return [30 + 30 * (place % 8) for place, length in enumerate(lengths) for _ in range(length)]


@pytest.mark.parametrize(("equal", "scanned"), [(64, True), (65, False), (66, False)])
def test_in_a_drawing_two_of_three_neighbours_are_equal(equal, scanned):
    """Of a hundred neighbours so many are equal; no two of eight levels are most of the picture."""
    assert np.count_nonzero(np.diff(runs(equal)) == 0) == equal
    assert pictures._looks_scanned(row(runs(equal))) is scanned


@pytest.mark.parametrize(("ground", "scanned"), [(40, False), (39, True)])
def test_a_drawing_of_two_levels_fills_four_fifths_with_them(ground, scanned):
    """Forty and forty of a hundred; the others are of levels of their own, no two neighbours alike."""
    others = [10 * place % 90 + 120 + place // 9 for place in range(20)]
    assert pictures._looks_scanned(row([100, 220] * ground + [220, 10] * (40 - ground) + others)) is scanned


@pytest.mark.parametrize(("low", "scanned"), [(96, False), (95, True)])
def test_levels_within_four_of_one_another_count_as_one(low, scanned):
    """A half of 200, a quarter each of `low` and 104: with 100 between them, all is of two levels."""
    assert pictures._looks_scanned(row([low, 200, 104, 200] * 25)) is scanned


@pytest.mark.parametrize(("cols", "scanned"), [(1599, True), (1600, False)])
def test_a_wide_picture_is_judged_at_eight_hundred_pixels_a_row_or_more(cols, scanned):
    """Every second column is plain, the others are grain: at every second pixel nothing of that is seen."""
    grain = np.random.default_rng(3).integers(30, 250, (6, cols)).astype(np.uint8)
    grain[::2, ::2] = 100
    assert pictures._looks_scanned(grain) is scanned
