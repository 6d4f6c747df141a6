"""Brushed colours that a later bath takes everywhere, and those that were meant to go."""

from __future__ import annotations

import numpy as np
import pytest

from batiksim.checks import swallowed
from batiksim.checks.swallowed import Swallowed
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.values import Cloth, Discharge, Dye, Want


def leaves_under_ink(draw, *, kept=()):
    """Leaves brushed green on part of the cloth, then ink over all of it; kept : masks waxed in between."""
    leaves = np.maximum(draw.disc(30, 40, 15), draw.disc(80, 40, 15))
    return draw.case(("dye", "leaf", leaves), *(("wax", mask) for mask in kept), ("dye", "ink", None))


def test_a_brushed_colour_that_a_later_bath_takes_everywhere(draw):
    (found,) = leaves_under_ink(draw).check("lost")
    assert (found.severity, found.step) == ("serious", 2)
    assert "Ink takes away the colour of leaf on 100% of the cloth it was brushed on" in str(found.message)
    assert "wax these places before ink (step 2)" in str(found.remedy).lower()
    assert found.place.x_mm == pytest.approx(30, abs=8) or found.place.x_mm == pytest.approx(80, abs=8)


def test_a_colour_that_was_kept_somewhere_is_the_makers_choice(draw):
    assert leaves_under_ink(draw, kept=[draw.disc(30, 40, 15)]).check("lost") == ()
    assert leaves_under_ink(draw, kept=[draw.disc(30, 40, 15), draw.disc(80, 40, 15)]).check("lost") == ()


def test_a_moss_green_counts_as_a_colour_that_can_be_lost(draw):
    """Moss is named an olive, which mixes are called when they are mud; brushed on purpose it is the maker's green."""
    dyes = (Dye(name="moss", colour="#6b7330"), Dye(name="pink", colour="#d6246e"), Dye(name="ink", colour="#22243a"))
    leaves = draw.disc(60, 40, 20)
    case = draw.case(("dye", "moss", leaves), ("dye", "pink", None), ("dye", "ink", None), dyes=dyes, pots=())
    (found,) = case.check("lost")
    assert "takes away the colour of moss on 100% of the cloth it was brushed on" in str(found.message)
    assert "in the end" in str(found.message)
    assert str(found.remedy).lower().startswith("wax these places before")
    waxed = draw.case(("dye", "moss", leaves), ("wax", leaves), ("dye", "ink", None), dyes=dyes, pots=())
    assert waxed.check("lost") == ()


def test_overdyeing_into_another_clear_colour_loses_nothing(draw):
    case = draw.case(("dye", "sun", draw.disc(60, 40, 25)), ("dye", "sea", None))
    assert case.check("lost", "mud") == ()


def test_the_waxing_that_comes_too_late_is_brought_forward(draw):
    leaves = draw.disc(60, 40, 20)
    case = draw.case(("dye", "leaf", leaves), ("dye", "ink", None), ("wax", leaves), ("dye", "navy", None))
    (found,) = case.check("lost")
    assert str(found.remedy).startswith("Wax “0” (now step 3) before step 2")
    first, ink, wax, navy = case.design.steps
    assert case.with_steps(first, wax, ink, navy).check("lost") == ()


def test_a_swallowed_colour_that_is_asked_for_is_none(draw):
    case = leaves_under_ink(draw)
    assert case.with_design(wants=(Want(colour="#15161c", at_mm=(30, 40)),)).check("lost") == ()


def test_a_colour_that_bleach_takes_was_meant_to_go(draw):
    """On beige cloth it ends as beige, and no dyeing took it."""
    blue, leaf = Dye(name="blue", colour="#0000da"), draw.disc(60, 40, 25)
    case = draw.case(("dye", "blue", leaf, "blue", None), Discharge(strength=1.0), dyes=(blue,), pots=())
    beige = case.with_design(cloth=Cloth(width_mm=120, colour="#d8c9a8", surface=0.0))
    assert beige.check("lost") == ()


def test_the_samples_lose_no_brushed_colour(sample):
    for folder in ("garden_poppies", "garden_poppies/remedy.toml", "estuary_geese", "hedge_parsley"):
        assert sample(folder).check("lost") == ()


# Shares by hand: a box of 12 by 8 mm is a hundredth of the cloth


def told(case, **settings):
    return case.check("lost", settings={"lost": {"colours": Swallowed(**settings)}})


@pytest.mark.parametrize(
    ("settings", "severities"),
    [
        ({"least_share": 0.01}, ["warn"]),
        ({"least_share": 0.0101}, []),
        ({"serious_share": 0.01}, ["serious"]),
        ({"serious_share": 0.0101}, ["warn"]),
    ],
)
def test_a_lost_colour_by_its_share_of_the_cloth(draw, settings, severities):
    case = draw.case(("dye", "leaf", draw.box(20, 20, 32, 28)), ("dye", "ink", None))
    assert [one.severity for one in told(case, **settings)] == severities


@pytest.mark.parametrize(("most", "found"), [(0.75, True), (0.76, False)])
def test_a_lost_colour_by_its_share_of_where_it_was_brushed(draw, most, found):
    """A quarter of the leaves is kept by wax."""
    case = draw.case(("dye", "leaf", draw.box(20, 20, 60, 60)), ("wax", draw.box(20, 20, 30, 60)), ("dye", "ink", None))
    lost = told(case, most=most)
    assert bool(lost) is found
    assert all(
        "takes away the colour of leaf on 75% of the cloth it was brushed on" in str(one.message) for one in lost
    )
    assert all(one.step == 3 for one in lost)


def test_a_lost_colour_by_how_much_it_changes(draw):
    case = draw.case(("dye", "leaf", draw.box(20, 20, 60, 60)), ("dye", "ink", None))
    scene = case.scene
    ks = scene.pot_ks("leaf")
    change = float(delta_e_2000(scene.lab_of_ks(ks), scene.lab_of_ks(ks + scene.pot_ks("ink"))))
    assert told(case, gone=change - 0.1)
    assert not told(case, gone=change + 0.1)


def test_where_a_pot_was_brushed_on(draw):
    """Sun on all of the cloth isn't brushed; then on a hundredth of it; leaf on four, half of them on sun's spot."""
    spot = draw.box(20, 20, 32, 28)
    scene = draw.case(
        ("dye", "sun", None), ("dye", "sun", spot, "leaf", draw.box(20, 20, 44, 36)), ("dye", "leaf", spot)
    ).scene
    assert swallowed._brushed_pots(scene) == ["sun", "leaf"]
    both = max(scene.histories, key=lambda one: len(one.reached))
    least = min(scene.histories, key=lambda one: len(one.reached))
    assert [scene.op_step(swallowed._first(scene, both, pot)) for pot in ("sun", "leaf")] == [2, 2]
    assert swallowed._first(scene, least, "sun") is None
    assert swallowed._first(scene, both, "navy") is None
    assert swallowed._reached(scene, "sun") == pytest.approx(0.01)
    assert swallowed._reached(scene, "leaf") == pytest.approx(0.04)


def test_where_a_brushed_colour_shows_in_the_end(draw):
    """Leaf on four hundredths of the cloth, ink on three of them; a moss that is named olive shows as itself."""
    leaf, ink = draw.box(20, 20, 44, 36), draw.box(20, 20, 38, 36)
    scene = draw.case(("dye", "leaf", leaf), ("dye", "ink", ink)).scene
    assert swallowed._shown(scene, "leaf") == pytest.approx(0.01)
    assert swallowed._shown(scene, "ink") == 0  # black is no colour to be lost, and dark
    assert swallowed.shown_share(scene) == pytest.approx(0.01)
    dyes = (Dye(name="moss", colour="#6b7330"), Dye(name="pink", colour="#d6246e"))
    scene = draw.case(("dye", "moss", leaf), ("dye", "pink", draw.box(60, 20, 84, 36)), dyes=dyes, pots=()).scene
    assert swallowed._shown(scene, "moss") == pytest.approx(0.04)
    assert swallowed.shown_share(scene) == pytest.approx(0.08)


def test_the_dyeing_that_took_a_colour(draw):
    """Mist over leaf takes nothing; ink does; what comes after it isn't blamed."""
    scene = draw.case(
        ("dye", "leaf", draw.box(20, 20, 60, 60)), ("dye", "mist", None), ("dye", "ink", None), ("dye", "sea", None)
    ).scene
    (spot,) = swallowed._spots(scene, "leaf", Swallowed())
    assert scene.op_pot(spot.o) == "ink"
    assert spot.before == pytest.approx(scene.lab_of_ks(scene.pot_ks("leaf") + scene.pot_ks("mist")))
    assert spot.after == pytest.approx(scene.lab(spot.history))
    assert swallowed._spots(scene, "ink", Swallowed()) == []


def test_a_pot_that_keeps_its_colour_does_not_hide_one_that_loses_it(draw):
    sun, leaf = draw.box(20, 20, 50, 60), draw.box(70, 20, 100, 60)
    case = draw.case(("dye", "sun", sun, "leaf", leaf), ("wax", sun), ("dye", "ink", None))
    (found,) = case.check("lost")
    assert "takes away the colour of leaf" in str(found.message)
