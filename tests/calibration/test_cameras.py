"""Dyes learnt through a camera that isn't an eye, in several lights (see `cameras`), and what tells of the light.

Median CIEDE2000 of unseen overlays for two sets of dyes is told beside each.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from batiksim.calibration.camera_saturation import calibrate_photo
from batiksim.calibration.undyed_reading import undyed_cloth
from batiksim.colour import spaces, spectra
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.reflectance_recovery import smooth_reflectance
from batiksim.colour.viewing import seen_xyz
from batiksim.errors import BatikError
from batiksim.files.toml.strips import read_strip
from batiksim.photo.strip_reading import measure_strip
from tests.calibration.cameras import Camera, reading_of
from tests.calibration.made_strips import SHOT, UNSEEN, made, photo_of, strip_file, unseen_errors

OTHERS = {
    "primrose": ((445.0, 45.0, 7.0), (390.0, 40.0, 3.0)),
    "bottle blue": ((660.0, 40.0, 8.0), (610.0, 30.0, 6.0), (400.0, 60.0, 1.5)),
    "strong pink": ((500.0, 45.0, 9.0), (545.0, 25.0, 4.0)),
    "blackcurrant": ((540.0, 50.0, 6.0), (620.0, 45.0, 5.0), (420.0, 40.0, 3.0)),
}


def missed(folder, shot, dyes, light="D65"):
    found, _ = calibrate_photo(reading_of(folder, shot, dyes, light=light))
    return np.median(unseen_errors(found, UNSEEN, lambda layers: made.true_xyz(layers, dyes=dyes)))


@pytest.mark.some(1)
@pytest.mark.parametrize("vivid", [1.0, 1.2])
@pytest.mark.parametrize("dyes", [made.DYES, OTHERS], ids=["sample", "others"])
def test_by_day_a_camera_teaches_dyes_nearly_as_an_eye_would(tmp_path, dyes, vivid):
    """True to life .8 and 1.0, made a fifth more vivid .7 and .7; seen by an eye .4 and .4."""
    assert missed(tmp_path, Camera(vivid=vivid), dyes) <= 1.5


@pytest.mark.full
@pytest.mark.parametrize("dyes", [made.DYES, OTHERS], ids=["sample", "others"])
def test_dyes_photographed_under_a_lamp_are_learnt_as_by_day_once_the_lamp_is_told(tmp_path, dyes):
    shot = Camera(lamp="A", meant="A")
    told, untold = missed(tmp_path, shot, dyes, "A"), missed(tmp_path, shot, dyes)
    assert told <= 2.0
    assert told < 0.6 * untold


def test_cloth_seen_under_a_lamp_is_told_by_day():
    """An ecru, taken for what it looks like under the lamp, would be .9 off."""
    real = smooth_reflectance(spaces.hex_to_xyz("#d8c8a6"), surface=0.0)[0]
    under_the_lamp = seen_xyz(real, light="A")
    _, found = undyed_cloth([], under_the_lamp, "A")
    off = [
        delta_e_2000(spaces.xyz_to_lab(seen), spaces.hex_to_lab("#d8c8a6"))
        for seen in (spectra.reflectance_to_xyz(found), under_the_lamp)
    ]
    assert off[0] < 0.1
    assert off[1] > 0.7


def test_lamplight_that_the_camera_left_in_is_told(tmp_path):
    warm, even = Camera(lamp="A", meant="A", cast=0.6), Camera()
    asked = [
        any('light = "A"' in str(note) for note in reading_of(tmp_path, shot, OTHERS).notes) for shot in (warm, even)
    ]
    assert asked == [True, False]
    notes = reading_of(tmp_path, warm, OTHERS, light="A").notes
    assert not any('light = "A"' in str(note) for note in notes)
    assert any("under a filament lamp" in str(note) for note in notes)


def test_a_light_that_is_none_is_named(tmp_path):
    file = strip_file(tmp_path, SHOT)
    file.write_text(file.read_text(encoding="utf-8").replace("[photo]", '[photo]\nlight = "candle"'), encoding="utf-8")
    with pytest.raises(BatikError, match="candle") as told:
        measure_strip(photo_of(SHOT), read_strip(file))
    assert told.value.field == "photo: light"


def test_ground_that_the_patches_hide_tells_nothing(tmp_path):
    """Patches that nearly touch leave no spot of ground wide enough to look at."""
    strip = read_strip(strip_file(tmp_path, SHOT))
    close = [replace(one, at=_wider(one.at)) for one in strip.patches if one.card is None]
    cards = [one for one in strip.patches if one.card is not None]
    reading = measure_strip(photo_of(SHOT), replace(strip, patches=(*close, *cards)))
    assert len(reading.patches) == len(strip.patches)


def _wider(at):
    left, top, width, height = at
    wide, high = 0.99 / made.COLUMNS, 0.99 / made.ROWS
    return left - (wide - width) / 2, top - (high - height) / 2, wide, high
