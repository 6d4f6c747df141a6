"""The maps behind a handout's plates: what each step works on, where each colour lies, room for letters."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image, ImageColor

from batiksim.cloth.dyes_on_cloth import dyes_on_cloth
from batiksim.cloth.outcome import outcome_of
from batiksim.cloth.program import compile_design
from batiksim.cloth.render import render
from batiksim.cloth.stages import stages
from batiksim.sheets.handout.maps import label_spots, step_maps
from batiksim.sheets.handout.pictures import PATTERNS, blank_png, chip_png, map_png, pattern, plate_jpegs
from batiksim.values import RemoveWax

LEFT, TOP = np.zeros((40, 60), np.uint8), np.zeros((40, 60), np.uint8)
LEFT[:, :20] = 255
TOP[:10] = 255


@pytest.fixture(scope="module")
def made(build):
    """Wax at the left, pink at the top, night over all, wax out, sea over all."""
    design = build.design(
        build.wax("left"), build.dye(("pink", "top")), build.dye("night"), RemoveWax(), build.dye("sea")
    )
    planes = np.stack([LEFT, TOP])
    outcome = outcome_of(design, dyes_on_cloth(design), planes)
    told = stages(outcome)
    return told, step_maps(outcome, told, planes)


def test_each_step_works_on_open_cloth_within_its_mask(made):
    _, maps = made
    left, top = LEFT > 0, TOP > 0
    wanted = [((), False), ((left,), False), ((top & ~left,), True), ((~left,), True), ((left,), True)]
    for one, (worked, waxed) in zip(maps, wanted, strict=False):
        assert len(one.worked) == len(worked)
        assert all(np.array_equal(a, b) for a, b in zip(one.worked, worked, strict=True))
        assert np.array_equal(one.closed, left) if waxed else not one.closed.any()
    assert np.array_equal(maps[5].worked[0], np.ones_like(left))
    assert not maps[5].closed.any()


def test_dye_reaches_what_thin_wax_lets_through(build):
    """Wax at 60 % over the left third lets dye in, and is no wax to dye up to; it comes out at the end."""
    design = build.design(build.wax("left", grey="thin"), build.dye("pink"), RemoveWax())
    planes = (LEFT * 0.6).astype(np.uint8)[None]
    outcome = outcome_of(design, dyes_on_cloth(design), planes)
    told = stages(outcome)
    maps = step_maps(outcome, told, planes)
    assert np.array_equal(maps[1].worked[0], LEFT > 0)
    assert maps[2].worked[0].all()
    assert not maps[2].closed.any()
    assert np.array_equal(maps[3].worked[0], LEFT > 0)
    thin, full = (told[2].colours[maps[2].labels[20, x]][1] for x in (10, 40))
    plate = render(compile_design(design, dyes_on_cloth(design), wax_shown=False), planes)[2]
    for x, hexed in ((10, thin), (40, full)):
        assert np.abs(plate[20, x] - np.array(ImageColor.getrgb(hexed))).max() <= 2
    assert len({thin, full, told[0].colours[0][1]}) == 3


def test_labels_name_the_colour_that_lies_there(made):
    told, maps = made
    label = maps[2].labels
    assert len(np.unique(label[:10, 20:])) == 1
    assert told[2].colours[label[5, 40]][1] == dict(told[2].pots)["pink"]
    assert label[5, 40] != label[30, 40] == label[30, 5] == label[5, 5]


def test_turns_tell_what_becomes_of_what(made):
    told, maps = made
    before, after, share = maps[2].turns[0]
    assert share == 1
    assert told[1].colours[before][1] == told[0].colours[0][1]
    assert told[2].colours[after][1] == told[2].colours[maps[2].labels[5, 40]][1]
    shares = [share for _, _, share in maps[3].turns]
    assert shares == sorted(shares, reverse=True)
    assert sum(shares) == pytest.approx(1)
    assert shares[0] == pytest.approx(30 / 40)


def test_letters_stand_in_their_colour_with_room_around():
    labels = np.zeros((90, 120), np.uint8)
    labels[10:40, 10:40] = 1
    labels[60:80, 70:110] = 1
    labels[5:8, 60:63] = 2
    spots = label_spots(labels, each=3, least=0.05)
    for spot in spots:
        row, col = int(spot.y * 90), int(spot.x * 120)
        assert labels[row, col] == spot.colour
        reach = int(spot.room * 120) - 1
        around = labels[max(0, row - reach) : row + reach + 1, col]
        assert np.all(around == spot.colour)
    assert sorted(spot.colour for spot in spots).count(1) == 2
    assert sum(spot.colour == 2 for spot in label_spots(labels, each=3, least=0.05)) == 1
    assert all(spot.colour != 2 for spot in label_spots(labels, nowhere=2))


def test_patterns_and_chips_are_told_apart_in_grey():
    shown = [pattern(64, 64, place) for place in range(PATTERNS)]
    for one in range(PATTERNS):
        for other in range(one):
            assert np.mean(shown[one] != shown[other]) > 0.2
    for place in (0, 1, 2, 3):
        chip = np.asarray(Image.open(io.BytesIO(chip_png(place, "#f4e48e"))).convert("L"), float)[4:-4, 4:-4]
        assert np.ptp(chip) > 60  # a pale yellow pot's strokes are seen too
    flat = np.asarray(Image.open(io.BytesIO(chip_png(None, "#000000"))).convert("L"), float)[4:-4, 4:-4]
    assert np.ptp(flat) == 0


def test_a_map_shows_new_wax_dark_old_wax_grey_open_cloth_white(made):
    _, maps = made
    picture = np.asarray(Image.open(io.BytesIO(map_png(maps[2], ["#d6246e"]))).convert("L"), float)
    assert picture[35, 50] == 255
    assert 180 < picture[30, 10] < 230
    assert picture[:10, 20:].min() < 150
    assert picture[30:, 25:].min() == 255


def test_a_blank_plate_has_a_line_between_two_colours_and_nowhere_else():
    labels = np.zeros((60, 80), np.uint8)
    labels[:, 40:] = 1
    waxed = np.zeros((60, 80), bool)
    waxed[40:, 50:] = True
    content, cores = blank_png(labels, waxed)
    picture = np.asarray(Image.open(io.BytesIO(content)).convert("L"))
    assert np.all(picture[:, 40] < 100)
    assert np.all(np.delete(picture, 40, axis=1)[:38] == 255)
    assert 200 < picture[50, 60] < 255
    assert np.array_equal(cores, labels)


def test_plates_are_made_smaller_until_they_can_be_mailed(build):
    noise = np.random.default_rng(3).integers(0, 256, (200, 300, 3), np.uint8)
    fine = plate_jpegs([noise] * 3, most_bytes=10_000_000)
    small = plate_jpegs([noise] * 3, most_bytes=90_000)
    assert sum(map(len, small)) <= 90_000 < sum(map(len, fine))
    assert Image.open(io.BytesIO(fine[0])).size == (300, 200)


def test_maps_agree_with_the_plates_themselves(build):
    """Away from soft edges the plate shows the colour that its label names."""
    design = build.design(build.wax(0), build.dye("leaf", ("pink", 1)), build.wax(2), build.dye("night"))
    dyes, planes = dyes_on_cloth(design), build.soft(3, 40, 50)
    outcome = outcome_of(design, dyes, planes)
    told = stages(outcome)
    maps = step_maps(outcome, told, planes)
    seen = render(compile_design(design, dyes, wax_shown=False), planes)
    sharp = np.isin(planes, (0, 255)).all(axis=0)
    assert sharp.mean() > 0.3
    for plate, one, stage in zip(seen, maps, told, strict=True):
        colours = np.array([[int(hexed[at : at + 2], 16) for at in (1, 3, 5)] for _, hexed, _ in stage.colours])
        apart = np.abs(plate.astype(int) - colours[one.labels]).max(axis=2)
        assert np.mean(apart[sharp] <= 12) > 0.98
