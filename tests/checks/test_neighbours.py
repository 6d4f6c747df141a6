"""Pots brushed side by side: where they mingle and where they must not be said to."""

from __future__ import annotations

import numpy as np
import pytest

from tests.checks.findings import severities_at


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


# Where it begins to speak: two boxes side by side, 50 mm of edge


def test_neighbours_by_the_length_of_their_edge(draw):
    case = draw.case(("dye", "sun", draw.box(20, 10, 60, 60), "coral", draw.box(60, 10, 100, 60)))
    (found,) = case.check("neighbours")
    told = float(found.message.partition("along some ")[2].partition(" cm")[0])
    assert told == pytest.approx(5, abs=0.15)  # at either end it creeps a little
    assert (found.step, found.place.x_mm, found.place.y_mm) == (1, pytest.approx(60, abs=1), pytest.approx(35, abs=6))
    assert found.severity == "warn"


@pytest.mark.parametrize(("long_mm", "severity"), [(49, "serious"), (53, "warn")])
def test_mingling_into_mud_is_serious_from_a_length_on(draw, long_mm, severity):
    case = draw.case(("dye", "coral", draw.box(20, 10, 60, 60), "sea", draw.box(60, 10, 100, 60)))
    assert severities_at(case, "neighbours", long_mm=long_mm) == [severity]


@pytest.mark.parametrize(("gap_mm", "creep_mm", "meets"), [(0.6, 0.6, True), (1.2, 0.4, False), (1.2, 1.4, True)])
def test_neighbours_creep_over_a_gap(draw, gap_mm, creep_mm, meets):
    case = draw.case(("dye", "sea", draw.box(20, 10, 60, 60), "coral", draw.box(60 + gap_mm, 10, 100, 60)))
    assert bool(case.check("neighbours", settings={"neighbours": {"creep_mm": creep_mm}})) is meets


@pytest.mark.parametrize(("least_mm", "meets"), [(9, True), (11, False)])
def test_edges_count_by_the_square(draw, least_mm, meets):
    """A square of 10 mm holds 10 mm of a straight edge."""
    case = draw.case(("dye", "sea", draw.box(20, 10, 55, 60), "coral", draw.box(55, 10, 100, 60)))
    assert bool(case.check("neighbours", settings={"neighbours": {"least_mm": least_mm}})) is meets
