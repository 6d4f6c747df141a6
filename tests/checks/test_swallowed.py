"""Brushed colours that a later bath takes everywhere, and those that were meant to go."""

from __future__ import annotations

import numpy as np
import pytest

from batiksim.values import Cloth, Discharge, Dye, Want


def leaves_under_ink(draw, *, kept=()):
    """Leaves brushed green on part of the cloth, then ink over all of it; kept : masks waxed in between."""
    leaves = np.maximum(draw.disc(30, 40, 15), draw.disc(80, 40, 15))
    return draw.case(("dye", "leaf", leaves), *(("wax", mask) for mask in kept), ("dye", "ink", None))


def test_a_brushed_colour_that_a_later_bath_takes_everywhere(draw):
    (found,) = leaves_under_ink(draw).check("lost")
    assert (found.severity, found.step) == ("serious", 2)
    assert "Ink takes the colour of leaf from 100% of where it was brushed on" in found.message
    assert "wax these places before ink (step 2)" in found.remedy.lower()
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
    assert "takes the colour of moss from 100% of where it was brushed on" in found.message
    assert "in the end" in found.message
    assert found.remedy.lower().startswith("wax these places before")
    waxed = draw.case(("dye", "moss", leaves), ("wax", leaves), ("dye", "ink", None), dyes=dyes, pots=())
    assert waxed.check("lost") == ()


def test_overdyeing_into_another_clear_colour_loses_nothing(draw):
    case = draw.case(("dye", "sun", draw.disc(60, 40, 25)), ("dye", "sea", None))
    assert case.check("lost", "mud") == ()


def test_the_waxing_that_comes_too_late_is_brought_forward(draw):
    leaves = draw.disc(60, 40, 20)
    case = draw.case(("dye", "leaf", leaves), ("dye", "ink", None), ("wax", leaves), ("dye", "navy", None))
    (found,) = case.check("lost")
    assert found.remedy.startswith("Wax “0” (now step 3) before step 2")
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
