"""Pale lines that a later bath covers: where they must be found and where they must not."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from batiksim.checks import lost_lines as module
from batiksim.checks.lost_lines import Lost
from batiksim.checks.scene.scene import Scene
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.values import Discharge, DyeBath, MaskUse, Paint, RemoveWax
from tests.checks.findings import severities_at, steps_of


def lines(draw):
    return np.maximum.reduce([draw.box(10, y, 110, y + 1.4) for y in range(10, 75, 12)])


def test_lines_left_open_after_the_wax_came_out(draw):
    grid = lines(draw)
    case = draw.case(("wax", grid), ("dye", "coral", None), RemoveWax(), ("dye", "navy", None))
    (found,) = case.check("lost")
    assert (found.step, found.severity) == (4, "serious")
    assert "60 cm" in str(found.message) or "61 cm" in str(found.message)
    waxed_again = draw.case(("wax", grid), ("dye", "coral", None), RemoveWax(), ("wax", grid), ("dye", "navy", None))
    assert waxed_again.check("lost") == ()


def test_bleached_lines_dyed_over(draw):
    grid = lines(draw)
    bleach = Discharge(where=MaskUse(picture="0.png"))
    case = draw.case(("wax", grid), ("dye", "navy", None), RemoveWax())
    dyed = case.design.steps[1]
    bleached = case.with_steps(case.design.steps[0], dyed).with_steps(
        DyeBath(paints=(Paint(pot="coral"),)), bleach, DyeBath(paints=(Paint(pot="navy"),))
    )
    assert steps_of(bleached.check("lost")) == [3]


def test_a_last_pale_tint_is_no_loss(draw):
    case = draw.case(("wax", lines(draw)), ("dye", "coral", None), RemoveWax(), ("dye", "mist", None))
    assert case.check("lost") == ()


def test_broad_shapes_are_no_lines(draw):
    case = draw.case(("wax", draw.disc(60, 40, 20)), ("dye", "coral", None), RemoveWax(), ("dye", "navy", None))
    assert case.check("lost") == ()


@pytest.mark.parametrize(("folder", "cut", "again"), [
    ("garden_poppies/remedy.toml", 4, (0, 2)),
    ("estuary_geese", 6, (0, 2, 4)),
])  # fmt: skip
def test_samples_whose_lines_are_not_waxed_again(sample, folder, cut, again):
    """All wax out before the last waxing: with the earlier waxings done again nothing is lost."""
    case = sample(folder)
    steps = case.design.steps
    whole = case.with_steps(*steps[:cut], RemoveWax(), *(steps[n] for n in again), *steps[cut:])
    assert whole.check("lost") == ()
    forgotten = case.with_steps(*steps[:cut], RemoveWax(), *(steps[n] for n in again[1:]), *steps[cut:])
    assert [(one.code, one.step) for one in forgotten.check("lost")] == [("lost", len(forgotten.design.steps))]


# Where it begins to speak: six lines of 100 mm, 1.4 mm wide


@pytest.fixture
def lost(draw):
    lines = np.maximum.reduce([draw.box(10, y, 110, y + 1.4) for y in range(10, 75, 12)])
    return draw.case(("wax", lines), ("dye", "coral", None), RemoveWax(), ("dye", "navy", None))


@pytest.mark.parametrize(
    ("settings", "found"),
    [
        ({}, ["serious"]),
        ({"serious_mm": 620}, ["warn"]),
        ({"total_mm": 590}, ["serious"]),
        ({"total_mm": 620}, []),
        ({"length_mm": 99}, ["serious"]),
        ({"length_mm": 102}, []),
        ({"line_mm": 1.0}, []),
        ({"paler": 60.0}, []),
        ({"gone": 80.0}, []),
    ],
)
def test_lost_lines_by_their_length(lost, settings, found):
    assert severities_at(lost, "lost", **settings) == found


def test_lost_lines_say_where_and_what(lost):
    (found,) = lost.check("lost")
    assert found.step == 4
    assert "navy will cover them" in str(found.message)
    assert "before step 4" in str(found.remedy)
    assert found.place.radius_mm == 20.0


# By hand


def small_scene(draw, *steps, shape=(40, 60)):
    """Steps on a cloth of few pixels, each a mm."""
    case = draw.case(*steps, width_mm=float(shape[1]))
    masks = case.masks if case.masks.shape[1:] == shape else np.zeros((0, *shape), np.uint8)
    return Scene(design=case.design, dyes=case.dyes, masks=masks)


def square(top, left, bottom, right):
    mask = np.zeros((40, 60), np.uint8)
    mask[top:bottom, left:right] = 255
    return mask


@pytest.mark.parametrize(
    ("cols", "width_mm", "factor"),
    [
        (60, 60, 1),  # a pixel to the mm is larger than half a mm
        (600, 60, 5),  # ten to the mm
        (590, 60, 4),
        (1400, 1400, 1),
        (1401, 1401, 2),  # no more than 1400 pixels are looked at
        (2801, 2801, 3),
    ],
)
def test_lines_are_looked_for_at_half_a_millimetre(cols, width_mm, factor):
    masks = np.zeros((0, 30, cols), np.uint8)
    assert module._factor(SimpleNamespace(masks=masks, px_per_mm=cols / width_mm)) == factor


def test_what_wax_or_bleach_kept_and_lies_open_now(draw):
    """Wax on rows 0 to 9 is out before the second dyeing; bleach reaches columns 30 on where wax let it."""
    wax, bleach = square(0, 0, 10, 60), square(0, 30, 40, 60)
    where = MaskUse(picture="1.png")
    case = draw.case(
        ("wax", wax), ("dye", "sun", None), RemoveWax(), ("dye", "sun", bleach), ("dye", "sea", None), width_mm=60.0
    )
    first, dyed, removed, _, last = case.design.steps
    steps = (first, dyed, removed, dyed, Discharge(where=where), last, first, last)
    design = replace(case.design, steps=steps)
    scene = Scene(design=design, dyes=case.dyes, masks=case.masks)
    kept = dict(module._kept(scene, scene.masks, [2, 4, 6, 8]))
    rows, cols = np.ogrid[:40, :60]
    everywhere = np.ones((40, 60), np.bool_)
    assert not kept[2].any()
    assert (kept[4] == ((rows < 10) & everywhere)).all()
    assert (kept[6] == ((rows < 10) | (cols >= 30))).all()
    assert (kept[8] == ((rows >= 10) & (cols >= 30))).all()  # waxed again
    assert list(dict(module._kept(scene, scene.masks, [6]))) == [6]


def test_lightness_before_a_dyeing_and_what_it_covers(draw):
    scene = small_scene(draw, ("dye", "sun", square(0, 0, 40, 30)), ("dye", "navy", None))
    lightness, covered = module._before(scene, Lost(), 2)
    assert len(lightness) == len(covered) == len(scene.outcome.histories) + 1
    sun = next(n for n, one in enumerate(scene.histories) if len(one.reached) == 2)
    assert lightness[sun] == pytest.approx(scene.lab_of_ks(scene.pot_ks("sun"))[0])
    assert lightness[1 - sun] == pytest.approx(scene.bare_lab[0])
    assert covered.tolist() == [True, True, False]
    assert np.isnan(lightness[-1])
    ks = scene.pot_ks("sun")
    change = float(delta_e_2000(scene.lab_of_ks(ks), scene.lab_of_ks(ks + scene.pot_ks("navy"))))
    assert module._before(scene, Lost(gone=change - 0.1), 2)[1][sun]
    assert not module._before(scene, Lost(gone=change + 0.1), 2)[1][sun]


@pytest.mark.parametrize(("darker", "rows", "stands_out"), [(12, 2, True), (11.9, 2, False), (12, 1, False)])
def test_a_line_stands_out_where_six_tenths_around_it_are_darker(darker, rows, stands_out):
    """A line of 8 pixels with 3 on either side: 24 on the left are darker, 3 in each of some rows on the right."""
    lightness = np.full((8, 7), 80.0, np.float32)
    lightness[:, :3] = lightness[:rows, 4:] = 80 - darker  # 30 or 27 of 48
    line = np.zeros((8, 7), np.bool_)
    line[:, 3] = True
    assert module._stands_out(Lost(), lightness, line, line) is stands_out


def test_cloth_that_was_kept_too_or_has_no_colour_of_its_own_tells_nothing():
    lightness = np.full((8, 13), 50.0, np.float32)
    line, kept = np.zeros((8, 13), np.bool_), np.zeros((8, 13), np.bool_)
    line[:, 6] = kept[:, 6] = True
    lightness[:, 6] = 80
    assert module._stands_out(Lost(), lightness, line, kept)
    lightness[:, :3] = lightness[:, 10:] = 99  # farther than 3 pixels off
    assert module._stands_out(Lost(), lightness, line, kept)
    lightness[:, 3:6] = 99
    assert not module._stands_out(Lost(), lightness, line, kept)
    kept[:, 3:6] = True
    assert module._stands_out(Lost(), lightness, line, kept)
    kept[:, 7:10] = True
    assert not module._stands_out(Lost(), lightness, line, kept)
    kept[:, 7:10] = False
    lightness[:, 7:10] = np.nan
    assert not module._stands_out(Lost(), lightness, line, kept)
    lightness[:, 7:10] = 50
    lightness[1:, 6] = np.nan  # one pixel of the line is enough
    assert module._stands_out(Lost(), lightness, line, kept)
    lightness[:, 6] = np.nan
    assert not module._stands_out(Lost(), lightness, line, kept)


@pytest.mark.parametrize(
    ("shape", "place"),
    [
        ((1, 30), (63.0, 21.0, 20.0)),  # the 16th of 30 pixels, each 2 mm; half of 60 mm are 30, at most 20 are ringed
        ((1, 3), (35.0, 21.0, 5.0)),  # at least 5
        ((6, 8), (33.0, 27.0, 10.0)),  # 20 mm from corner to corner
    ],
)
def test_a_ring_around_the_middle_of_a_line(shape, place):
    """Of a window that begins at row 10 and column 16."""
    scene = SimpleNamespace(px_per_mm=2.0, at=lambda *asked: asked)
    window = (slice(10, 10 + shape[0]), slice(16, 16 + shape[1]))
    assert module._place(scene, window, np.ones(shape, np.bool_), 4) == pytest.approx(place)


@pytest.mark.parametrize("upright", [True, False])
def test_a_line_is_ringed_halfway_along(draw, upright):
    """70 mm long from 5 mm on, near the left edge or the upper."""
    line = draw.box(5, 5, 6.4, 75) if upright else draw.box(5, 5, 75, 6.4)
    case = draw.case(("wax", line), ("dye", "coral", None), RemoveWax(), ("dye", "navy", None))
    (found,) = case.check("lost")
    middle = (pytest.approx(5.7, abs=0.8), pytest.approx(40, abs=0.8))
    assert (found.place.x_mm, found.place.y_mm) == (middle if upright else middle[::-1])
