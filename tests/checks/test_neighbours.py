"""Pots brushed side by side: where they mingle and where they must not be said to."""

from __future__ import annotations

import numpy as np
import pytest


def two_pots(draw, *, between=None, apart=0.0, pots=("sun", "sea")):
    left, right = draw.box(0, 0, 60 - apart / 2, 80), draw.box(60 + apart / 2, 0, 120, 80)
    wax = [] if between is None else [("wax", between)]
    return draw.case(*wax, ("dye", pots[0], left, pots[1], right))


def test_pots_that_touch(draw):
    (found,) = two_pots(draw).check("neighbours")
    assert (found.severity, found.step) == ("warn", 1)
    assert found.place.x_mm == pytest.approx(60, abs=1)
    assert found.place.y_mm == pytest.approx(40, abs=6)  # the middle of the front, not an end of it
    assert "8.0 cm" in found.message


def test_pots_that_nearly_touch_creep_together(draw):
    assert len(two_pots(draw, apart=0.8).check("neighbours")) == 1
    assert two_pots(draw, apart=5).check("neighbours") == ()


def test_mingling_into_mud_is_serious(draw):
    (found,) = two_pots(draw, pots=("coral", "sea")).check("neighbours")
    assert found.severity == "serious"


def test_a_wax_line_keeps_pots_apart(draw):
    assert two_pots(draw, between=draw.box(59, 0, 61, 80)).check("neighbours") == ()


def test_the_same_colour_may_meet(draw):
    assert two_pots(draw, pots=("sun", "sun")).check("neighbours") == ()


def test_geese_without_their_lines_run_together(sample):
    case = sample("estuary_geese")
    spoilt = case.with_mask("1-white-lines.png", np.zeros_like(case.masks[0]))
    (found,) = spoilt.check("neighbours")
    assert found.severity == "serious"
    assert found.step == 4


def test_leaf_green_and_pink_in_one_go(sample):
    """The poppies with both pots at one step: held apart by the outlines, all round each leaf."""
    case = sample("garden_poppies/remedy.toml")
    outlines, leaves, _, pink, *_ = case.design.steps
    at_once = type(leaves)(paints=(*leaves.paints, *pink.paints))
    spoilt = case.with_steps(outlines, at_once)
    leaf = case.mask("paint-leaves.png")
    apart = spoilt.with_mask("paint-everywhere.png", np.where(leaf > 0, 0, 255).astype(np.uint8))
    assert apart.check("neighbours") == ()
    rubbed = apart.with_mask("outlines.png", np.zeros_like(leaf))
    assert [one.step for one in rubbed.check("neighbours")] == [2]
