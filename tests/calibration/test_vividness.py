"""Cameras show colours more vivid than they are: that is found from the strip alone, and undone.

The camera of these tests is invented: a contrast curve on each channel, then colours drawn away from grey of the same
luminance. What makers of cameras do is not published.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from batiksim.calibration.calibrate import calibrate
from batiksim.calibration.camera_saturation import calibrate_photo, less_vivid
from batiksim.calibration.samples import samples_of_strip
from batiksim.cli import main
from batiksim.colour import spaces
from batiksim.files.toml.strips import read_strip
from batiksim.photo.strip_reading import measure_strip
from tests.calibration.made_strips import HARD, SHOT, UNSEEN, photo_of, strip_file, unseen_errors

REC709 = np.array([0.2126, 0.7152, 0.0722])  # luminance of linear sRGB: IEC 61966-2-1


def camera(vivid, contrast=0.0):
    """What a camera does to a photo before it saves it: uint8 (rows, cols, 3) to the same."""

    def develop(rgb):
        shown = rgb / 255
        shown = shown + contrast * ((1 + np.sin((shown - 0.5) * np.pi)) / 2 - shown)
        linear = spaces.decode_srgb(shown)
        grey = (linear @ REC709)[..., None]
        return np.rint(255 * spaces.encode_srgb(np.clip(grey + vivid * (linear - grey), 0, 1))).astype(np.uint8)

    return develop


def reading_of(folder, shot, develop, *, card=True):
    file = strip_file(folder, shot, card=card, off_px=2)
    return measure_strip(photo_of(shot, spoil=develop), read_strip(file))


@pytest.mark.full
@pytest.mark.parametrize("shot", [SHOT, HARD], ids=["good light", "hard light"])
@pytest.mark.parametrize("card", [True, False], ids=["card", "no card"])
def test_true_colours_are_left_alone(tmp_path, shot, card):
    _, undone = calibrate_photo(reading_of(tmp_path, shot, camera(1.0), card=card))
    assert undone is None


@pytest.mark.full
@pytest.mark.parametrize(
    ("vivid", "contrast", "card"),
    [(1.15, 0.0, True), (1.3, 0.0, True), (1.3, 0.0, False), (1.15, 0.4, True), (0.85, 0.0, True)],
)
def test_unseen_overlays_are_foretold_in_true_colours(tmp_path, vivid, contrast, card):
    reading = reading_of(tmp_path, SHOT, camera(vivid, contrast), card=card)
    found, undone = calibrate_photo(reading)
    assert undone is not None
    assert ("more vivid" if vivid > 1 else "duller") in str(undone)
    missed = np.median(unseen_errors(found, UNSEEN))
    left_in = calibrate(samples_of_strip(reading), cloth=reading.cloth)
    assert missed <= 2.0
    assert missed < 0.7 * np.median(unseen_errors(left_in, UNSEEN))


def test_less_vivid_keeps_luminance_and_greys(tmp_path):
    reading = reading_of(tmp_path, SHOT, camera(1.0))
    calmer = less_vivid(reading, 1.3)
    for before, after in zip(reading.patches, calmer.patches, strict=True):
        assert after.xyz[1] == pytest.approx(before.xyz[1])
        if before.patch.card is not None:
            assert after.xyz == pytest.approx(before.xyz, abs=0.01)


@pytest.mark.full
def test_a_vividness_that_no_camera_adds_is_no_camera_s(tmp_path):
    """What would have to be undone by more than is looked at has other reasons: nothing is undone."""
    reading = reading_of(tmp_path, SHOT, camera(1.0))
    _, undone = calibrate_photo(less_vivid(reading, 0.5))
    assert undone is None


def test_too_few_patches_tell_nothing(tmp_path):
    """One patch for each dye fits at any vividness."""
    reading = reading_of(tmp_path, SHOT, camera(1.3))
    full = [one for one in reading.patches if len(one.patch.layers) == 1 and one.patch.layers[0][1] == 1.0]
    few = replace(reading, patches=tuple(full))
    _, undone = calibrate_photo(few)
    assert undone is None


@pytest.mark.full
def test_the_maker_is_told(tmp_path):
    photo, file = tmp_path / "vivid.jpg", strip_file(tmp_path, SHOT)
    Image.fromarray(photo_of(SHOT, spoil=camera(1.25))).save(photo, quality=92)
    book = tmp_path / "book.toml"
    done = CliRunner().invoke(main, ["calibrate", str(photo), "--strip", str(file), "--book", str(book)])
    assert done.exit_code == 0, done.output
    assert "more vivid" in done.output
