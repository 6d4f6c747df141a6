"""Gaps in the wax: where they must be found and where they must not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import ndimage

from batiksim.checks.shapes.arrays import area_mean

OUTLINE = {"tool": "canting"}


def outlined(draw, *, gap_mm=0.0, line_mm=1.4, fill=18.0, then=()):
    """A disc brushed yellow-green inside a wax line, cut open at the right over a length; the rest stays white."""
    line = draw.ring(60, 40, 19, line_mm)
    if gap_mm:
        line = np.where(draw.box(70, 40 - gap_mm / 2, 90, 40 + gap_mm / 2) > 0, 0, line).astype(np.uint8)
    return draw.case(("wax", line, OUTLINE), ("dye", "leaf", draw.disc(60, 40, fill + 1.0)), *then)


def test_twice_the_pixels_give_the_same_places(draw):
    """Lengths are mm."""
    line = np.where(draw.box(70, 39, 90, 41) > 0, 0, draw.ring(60, 40, 19, 1.4)).astype(np.uint8)
    case = draw.case(("wax", line), ("dye", "leaf", draw.disc(60, 40, 19)))
    double = replace(case, masks=np.repeat(np.repeat(case.masks, 2, axis=1), 2, axis=2))
    (one,), (other,) = case.check("leak"), double.check("leak")
    assert (other.place.x_mm, other.place.y_mm) == (
        pytest.approx(one.place.x_mm, abs=0.5),
        pytest.approx(one.place.y_mm, abs=0.5),
    )


@pytest.mark.parametrize("gap", [0.6, 1.0, 2.0, 3.0])
def test_a_gap_is_marked_and_measured(draw, gap):
    (found,) = outlined(draw, gap_mm=gap).check("leak")
    assert (found.code, found.severity, found.step) == ("leak", "serious", 2)
    told = float(found.message.split("about ")[1].split(" mm")[0])
    assert told == pytest.approx(gap, abs=0.41)  # two pixels
    assert np.hypot(found.place.x_mm - 79, found.place.y_mm - 40) < 2.5


@pytest.mark.parametrize("margin", [0.5, 1.0, 1.8])
def test_dye_brushed_short_of_the_line_still_finds_the_gap(draw, margin):
    (found,) = outlined(draw, gap_mm=1.6, fill=17.3 - margin).check("leak")
    assert np.hypot(found.place.x_mm - 79, found.place.y_mm - 40) < 2.5


def test_closed_lines_keep_dye_in(draw):
    assert outlined(draw).check("leak", "neighbours") == ()


def test_a_wide_opening_is_meant(draw):
    assert outlined(draw, gap_mm=9).check("leak") == ()


def test_a_gap_does_no_harm_where_both_sides_take_the_same_bath(draw):
    line = np.where(draw.box(70, 39, 90, 41) > 0, 0, draw.ring(60, 40, 19, 1.4)).astype(np.uint8)
    assert draw.case(("wax", line), ("dye", "leaf", None)).check("leak") == ()
    assert draw.case(("wax", line), ("dye", "leaf", draw.box(0, 0, 120, 80))).check("leak") == ()


def test_a_gap_is_only_a_note_where_later_dye_hides_it(draw):
    hidden = outlined(draw, gap_mm=2, then=(("dye", "night", None),)).check("leak")
    assert [one.severity for one in hidden] == ["note"]
    assert "Later dye will mostly hide it" in hidden[0].message


def test_brushing_without_outlines_is_no_leak(draw):
    stroke = draw.box(50, 20, 52, 60)
    assert draw.case(("wax", stroke), ("dye", "leaf", draw.disc(60, 40, 18))).check("leak") == ()


def test_a_pot_that_ends_in_a_channel_is_no_gap(draw):
    stem = np.maximum(draw.box(40, 0, 41.4, 80), draw.box(44, 0, 45.4, 80))
    assert draw.case(("wax", stem), ("dye", "leaf", draw.box(40, 0, 45, 30))).check("leak") == ()


@pytest.mark.full
@pytest.mark.parametrize(("folder", "picture", "fill"), [
    ("garden_poppies/remedy.toml", "outlines.png", "paint-leaves.png"),
    ("estuary_geese", "1-white-lines.png", "paint-apricot.png"),
])  # fmt: skip
def test_gaps_rubbed_into_the_samples_are_found(sample, folder, picture, fill):
    """At random places where a line has brushed cloth on one side and bare cloth, or another pot, on the other."""
    case = sample(folder)
    lines, brushed = case.mask(picture), case.mask(fill) > 30
    near = [
        ndimage.uniform_filter(((lines < 50) & side).astype(np.float32), round(5 * case.px_per_mm)) > 0.2
        for side in (brushed, ~brushed)
    ]
    rows, cols = np.nonzero(brushed & ~ndimage.binary_erosion(brushed) & (lines > 200) & near[0] & near[1])
    found = 0
    for at in np.random.default_rng(7).choice(len(rows), 6, replace=False):
        x, y = cols[at] / case.px_per_mm, rows[at] / case.px_per_mm
        spoilt = case.without_wax(picture, x, y, 3.2)
        places = [one.place for one in spoilt.check("leak")]
        found += any(np.hypot(place.x_mm - x, place.y_mm - y) < 5 for place in places)
    assert found >= 5


@pytest.mark.parametrize(("folder", "factor"), [("garden_poppies/remedy.toml", 7), ("estuary_geese", 8)])
def test_masks_too_coarse_for_their_lines_give_one_note(sample, folder, factor):
    """At half or three quarters of a pixel to the mm the outlines fade: told once, and not as serious."""
    case = sample(folder)
    coarse = replace(case, masks=np.stack([area_mean(mask, factor) for mask in case.masks]))
    (found,) = coarse.check("leak")
    assert found.severity == "note"
    assert "too coarse" in found.message
    middling = replace(case, masks=np.stack([area_mean(mask, 2) for mask in case.masks]))
    assert middling.check("leak") == ()
