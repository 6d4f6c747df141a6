"""The moving picture of a cloth, read back frame by frame."""

import io

import numpy as np
import pytest
from PIL import Image, ImageSequence

from batiksim.cloth.program import Emit
from batiksim.errors import BatikError
from batiksim.sheets.plates.animation import BARE_MS, BRUSH, BRUSH_MS, FINISHED_MS, HOLD_MS, animation
from batiksim.sheets.plates.stages import StagePicture, StagesSheet

BARE, SUN, NIGHT = (244, 239, 226), (240, 217, 46), (31, 42, 82)


def plate(colour, *, kept=False):
    picture = np.full((60, 90, 3), colour, np.uint8)
    if kept:
        picture[20:40, 30:60] = BARE
    return picture


def stage(picture, title, *, kind="bare", pots=()):
    return StagePicture(picture=picture, emit=Emit(step=0), kind=kind, title=title, detail="", pots=pots, colours=())


@pytest.fixture(scope="module")
def sheet():
    return StagesSheet(
        title="Window",
        stages=(
            stage(plate(BARE), "Bare cloth"),
            stage(plate(BARE), "Wax with the brush", kind="wax"),
            stage(plate(SUN, kept=True), "Sun", kind="dye", pots=(("sun", "#f0d92e"),)),
            stage(plate(NIGHT, kept=True), "Night", kind="dye", pots=(("night", "#1f2a52"),)),
        ),
        finished=stage(plate(NIGHT, kept=True), "Finished cloth", kind="remove_wax"),
    )


def read(data):
    picture = Image.open(io.BytesIO(data))
    frames, times = [], []
    for frame in ImageSequence.Iterator(picture):
        frame.load()
        frames.append(np.asarray(frame.convert("RGB")).astype(int))
        times.append(frame.info["duration"])
    return picture, frames, times


@pytest.fixture(scope="module", params=[".gif", ".webp"])
def moving(request, sheet):
    return read(animation(sheet, width_px=300, ending=request.param))


def test_it_loops_for_ever(moving):
    assert moving[0].info["loop"] == 0


def test_it_lasts_as_long_as_its_stages(moving):
    _, _, times = moving
    assert sum(times) == BARE_MS + 3 * HOLD_MS + FINISHED_MS + 4 * (BRUSH - 1) * BRUSH_MS
    assert times[0] == BARE_MS
    assert times[-1] >= FINISHED_MS


def test_each_stage_is_held_in_its_colours(moving):
    _, frames, times = moving
    held = [frame for frame, time in zip(frames, times, strict=True) if time >= BARE_MS]
    assert len(held) == 5
    middle, side = (120, 150), (120, 40)
    for frame, colour in zip(held, (BARE, BARE, SUN, NIGHT, NIGHT), strict=True):
        assert np.abs(frame[side] - colour).max() <= 4
        assert np.abs(frame[middle] - BARE).max() <= 6


def test_dye_comes_from_the_left(moving):
    _, frames, times = moving
    start = [place for place, time in enumerate(times) if time >= BARE_MS][1]
    far = [np.abs(frames[start + BRUSH // 2][120, x] - SUN).max() for x in (30, 270)]
    assert far[0] < 30 < far[1]


def test_what_stands_still_does_not_flicker(moving):
    _, frames, _ = moving
    corners = np.array([frame[:8, :8] for frame in frames])
    assert np.ptp(corners, axis=0).max() <= 2


def test_the_same_bytes_again_and_small(sheet):
    for ending in (".gif", ".webp"):
        one = animation(sheet, width_px=300, ending=ending)
        assert one == animation(sheet, width_px=300, ending=ending)
        assert len(one) < 300_000


@pytest.mark.parametrize("aspect", [(20, 300), (300, 20)])
def test_very_long_cloths_fit(aspect):
    picture = np.full((*aspect, 3), SUN, np.uint8)
    sheet = StagesSheet(title="Scarf", stages=(stage(picture, "Bare cloth"),))
    _, frames, _ = read(animation(sheet, width_px=240, ending=".gif"))
    assert frames[0].shape[1] == 240
    assert frames[0].shape[0] < 240 * 1.5


@pytest.mark.parametrize("width", [20, 9000])
def test_bad_asks(sheet, width):
    with pytest.raises(BatikError):
        animation(sheet, width_px=width, ending=".gif")
