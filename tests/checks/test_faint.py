"""Dye that hardly shows and neighbours that look alike: where they must be found and where they must not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from batiksim.checks import faint
from batiksim.checks.faint import Faint
from batiksim.checks.scene.scene import colour_words
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.colour_vision import COMMON, seen_with
from batiksim.values import Dye, Pot
from tests.checks.findings import names, severities_at


def test_a_pot_too_pale_to_show(draw):
    (found,) = draw.case(("dye", "mist", None)).check("faint")
    assert (found.severity, found.step) == ("warn", 1)
    assert draw.case(("dye", "sea", None)).check("faint") == ()


def test_neighbours_hard_to_tell_apart(draw):
    pots = (Pot(name="a", parts={"sea": 1}), Pot(name="b", parts={"sea": 1}, strength=1.1))
    case = draw.case(("dye", "a", draw.box(0, 0, 60, 80), "b", draw.box(60, 0, 120, 80)), pots=pots)
    (found,) = case.check("faint")
    assert found.severity == "warn"
    assert "8 cm" in str(found.message)
    assert found.place.x_mm == pytest.approx(60, abs=1)


def test_a_white_line_tells_neighbours_apart(draw):
    pots = (Pot(name="a", parts={"sea": 1}), Pot(name="b", parts={"sea": 1}, strength=1.1))
    line = ("wax", draw.box(59.4, 0, 60.6, 80))
    assert (
        draw.case(line, ("dye", "a", draw.box(0, 0, 60, 80), "b", draw.box(60, 0, 120, 80)), pots=pots).check("faint")
        == ()
    )


def test_red_beside_green_of_one_lightness_is_noted_for_other_eyes(draw):
    dyes = (Dye(name="brick", colour="#b0664a"), Dye(name="moss", colour="#7d7a3c"))
    case = draw.case(("dye", "brick", draw.box(0, 0, 60, 80), "moss", draw.box(60, 0, 120, 80)), dyes=dyes, pots=())
    (found,) = case.check("faint")
    assert found.severity == "note"
    assert found.message.key == "checks.faint.alike_to_some"
    safe = (Dye(name="brick", colour="#e2a08a"), Dye(name="moss", colour="#3f4d2a"))
    assert case.with_design(dyes=safe).check("faint") == ()


def test_ground_that_a_last_dark_bath_covers_is_meant(sample):
    """Of the geese's two ink grounds, straw-orange-ink and straw-green-ink look alike: everything open goes dark."""
    assert sample("estuary_geese").check("faint") == ()


def test_a_dusk_so_thin_that_it_does_not_show(sample):
    case = sample("estuary_geese")
    pots = tuple(replace(pot, strength=0.02) if pot.name == "dusk" else pot for pot in case.design.pots)
    found = case.with_design(pots=pots).check("faint")
    assert ("faint", "warn", 6) in names(found)


def test_leaves_so_thin_that_they_do_not_show(sample):
    case = sample("garden_poppies/remedy.toml")
    pots = (replace(case.design.pots[0], strength=0.003),)
    assert ("faint", "warn", 2) in names(case.with_design(pots=pots).check("faint"))


# Where it begins to speak


@pytest.fixture
def pale(draw):
    return draw.case(("dye", "mist", None))


def test_faint_says_by_how_much_and_its_limit_is_there(pale):
    (found,) = pale.check("faint")
    told = found.message.values["change"]
    assert 0 < told < 4
    assert severities_at(pale, "faint", pale=told - 0.05) == []
    assert severities_at(pale, "faint", pale=told + 0.05) == ["warn"]


@pytest.fixture
def side_by_side(draw):
    """One yellow beside another, hardly told apart: an edge of 80 mm, a fifth of the cloth on one side."""
    pots = (Pot(name="one", parts={"sun": 1}), Pot(name="two", parts={"sun": 1}, strength=1.1))
    return draw.case(("dye", "one", draw.box(24, 0, 120, 80)), ("dye", "two", draw.box(0, 0, 24, 80)), pots=pots)


@pytest.mark.parametrize(
    ("settings", "found"),
    [
        ({}, ["warn"]),
        ({"least_border_mm": 79}, ["warn"]),
        ({"least_border_mm": 82}, []),
        ({"least_share": 0.2}, ["warn"]),
        ({"least_share": 0.201}, []),
        ({"alike": 0.1, "clear": 99}, []),
    ],
)
def test_alike_neighbours_by_their_edge_and_share(side_by_side, settings, found):
    assert severities_at(side_by_side, "faint", **settings) == found


def test_alike_neighbours_are_named(side_by_side):
    (found,) = side_by_side.check("faint")
    assert found.step == 2
    assert "(one)" in str(found.message)
    assert "(two)" in str(found.message)
    assert "along about 8 cm" in str(found.message)


def test_regions_are_named_by_their_colour_and_how_they_came_about(draw):
    scene = draw.case(("dye", "sun", draw.box(0, 0, 60, 80)), ("dye", "sea", draw.box(0, 0, 30, 80))).scene
    named = {len(one.reached): str(faint._named(scene, one)) for one in scene.histories}
    assert named[0].endswith(" (bare cloth)")
    assert named[1].endswith(" (sun)")
    assert named[2].endswith(" (sea over sun)")
    assert named[2].startswith(str(colour_words(scene.lab(max(scene.histories, key=lambda one: len(one.reached))))))


def test_a_pale_pot_is_ringed_where_it_lies_widest(draw):
    spots = np.maximum(draw.box(0, 0, 10, 10), draw.box(60, 0, 120, 80))
    case = draw.case(("dye", "sun", draw.box(0, 0, 20, 80)), ("dye", "mist", spots))
    found = next(one for one in case.check("faint") if one.message.key == "checks.faint.pale")
    assert found.place.x_mm == pytest.approx(90, abs=11)
    assert found.step == 2


def test_what_one_last_bath_covered_together_is_not_told_apart(draw):
    """Ink over sun and over coral: the two meet along 80 mm and look alike, and that was meant."""
    left, right = draw.box(0, 0, 60, 80), draw.box(60, 0, 120, 80)
    scene = draw.case(("dye", "sun", left, "coral", right), ("dye", "ink", None)).scene
    assert list(faint._told_apart(scene, Faint())) == []
    apart = draw.case(("dye", "sun", left, "coral", right)).scene
    assert len(list(faint._told_apart(apart, Faint()))) == 1
    assert list(faint._told_apart(apart, Faint(least_share=0.51))) == []


def test_neighbours_are_alike_or_for_some_eyes_or_clear(draw):
    """By the limits about their distance."""
    dyes = (Dye(name="brick", colour="#b0664a"), Dye(name="moss", colour="#7d7a3c"))
    scene = draw.case(
        ("dye", "brick", draw.box(0, 0, 60, 80)), ("dye", "moss", draw.box(60, 0, 120, 80)), dyes=dyes, pots=()
    ).scene
    (border,) = faint._told_apart(scene, Faint())
    labs = [scene.lab(one) for one in border.pair]
    far = float(delta_e_2000(*labs))
    left = min(float(delta_e_2000(*(seen_with(lab, vision) for lab in labs))) for vision in COMMON)

    def severities(**limits):
        return [(one.severity, one.step) for one in faint._pair(scene, Faint(**limits), border)]

    assert severities(alike=far + 0.01) == [("warn", 2)]
    assert severities(alike=far - 0.01, clear=far + 0.01) == []
    assert severities(alike=left + 0.01, clear=far - 0.01) == [("note", 2)]
    assert severities(alike=left - 0.01, clear=far - 0.01) == []
    assert severities(alike=99, clear=1) == [("warn", 2)]
