"""Pots brushed side by side: where they mingle and where they must not be said to."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from batiksim.checks import neighbours
from batiksim.checks.neighbours import Neighbours
from batiksim.checks.scene.scene import colour_words
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.values import Place
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
    assert "8 cm" in str(found.message)


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
    told = float(found.message.values["length"].removesuffix(" cm"))
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


# Fronts by hand


def scene_at(px_per_mm):
    return SimpleNamespace(
        work_px_per_mm=px_per_mm, at=lambda x, y, radius: Place(x_mm=x, y_mm=y, radius_mm=radius), px_per_mm=px_per_mm
    )


def front(opened, one, other, creep_mm, px_per_mm=1.0):
    settings = Neighbours(creep_mm=creep_mm)
    return neighbours._front(opened, one, other, scene_at(px_per_mm), settings)


@pytest.mark.parametrize(("creep_mm", "met"), [(0, False), (1, False), (2, True), (3, True)])
def test_a_front_is_what_a_pot_reaches_first(creep_mm, met):
    """Three pixels of open cloth between: one at once, one for each mm, and the next is the other pot."""
    opened = np.ones((1, 12), np.bool_)
    one, other = np.zeros_like(opened), np.zeros_like(opened)
    one[0, :4], other[0, 7:] = True, True
    made = front(opened, one, other, creep_mm)
    assert np.flatnonzero(made[0]).tolist() == ([7] if met else [])
    finer = front(opened, one, other, creep_mm / 2, px_per_mm=2.0)
    assert finer.any() == met


def test_wax_between_stops_a_pot():
    opened = np.ones((3, 9), np.bool_)
    opened[:, 4] = False
    one, other = np.zeros_like(opened), np.zeros_like(opened)
    one[:, :4], other[:, 5:] = True, True
    assert not front(opened, one, other, 9).any()
    opened[1, 4] = True
    assert np.argwhere(front(opened, one, other, 0)).tolist() == [[1, 5]]


def test_pots_that_overlap_meet_at_the_edge_of_the_other():
    opened = np.ones((1, 10), np.bool_)
    one, other = np.zeros_like(opened), np.zeros_like(opened)
    one[0, :6], other[0, 4:] = True, True
    assert np.flatnonzero(front(opened, one, other, 0)[0]).tolist() == [4]
    assert not front(opened, other & one, other, 5).any()  # wholly within the other


def length(*spans, px_per_mm=2.0, **settings):
    """A front of upright pieces: (column, first row, last row and one)."""
    where = np.zeros((100, 100), np.bool_)
    for col, first, last in spans:
        where[first:last, col] = True
    return neighbours._length(scene_at(px_per_mm), Neighbours(**({"cell_mm": 10, "least_mm": 5} | settings)), where)


def test_the_length_of_a_front_and_the_middle_of_it():
    """At 2 pixels to the mm in squares of 20 pixels: 60 pixels are 30 mm, in three squares alike."""
    mm, place = length((30, 20, 80))
    assert mm == 30
    assert (place.x_mm, place.y_mm, place.radius_mm) == (15, 24.75, 5)  # of the middle square, rows 40 to 59


def test_crumbs_of_a_front_do_not_count():
    assert length() == (0.0, None)
    assert length((30, 20, 30))[0] == 5  # as much as the least
    assert length((30, 20, 29)) == (0.0, None)
    assert length((30, 20, 40), (70, 60, 69))[0] == 10  # 9 pixels in a square of their own
    assert length((30, 20, 40), (70, 60, 70))[0] == 15
    assert length((30, 15, 35))[0] == 7.5  # 5 in one square, 15 in the next


def test_the_place_is_a_square_where_much_of_a_front_lies():
    """Squares of 20, of 10 and of 20 pixels: the one of 10 in the middle isn't shown unless it is dense enough."""
    _, place = length((10, 0, 20), (10, 20, 30), (10, 60, 80))
    assert place.y_mm == pytest.approx(4.75)  # nearer to the middle, at row 34.5, than the one at 69.5
    _, place = length((10, 0, 20), (10, 20, 30), (10, 60, 80), dense=0.5)
    assert place.y_mm == pytest.approx(12.25)
    _, place = length((10, 0, 20), (10, 20, 30), (10, 60, 80), dense=0.51)
    assert place.y_mm == pytest.approx(4.75)


def told(draw, one, other, mm, **settings):
    scene = draw.case(("dye", one, None, other, None)).scene
    place = Place(x_mm=1, y_mm=2, radius_mm=3)
    found = list(neighbours._finding(scene, Neighbours(**settings), (1, one, other), mm, place))
    assert all(finding.place == place and finding.step == 1 for finding in found)
    return [finding.severity for finding in found]


def test_what_mingling_does(draw):
    assert told(draw, "coral", "sea", 40.0) == ["serious"]
    assert told(draw, "coral", "sea", 39.9) == ["warn"]
    assert told(draw, "sun", "coral", 400.0) == ["warn"]
    scene = draw.case(("dye", "sun", None)).scene
    labs = [scene.lab_of_ks(scene.pot_ks(pot)) for pot in ("sun", "coral")]
    apart = float(delta_e_2000(*labs))
    assert told(draw, "sun", "coral", 40, alike=apart - 0.01) == ["warn"]
    assert told(draw, "sun", "coral", 40, alike=apart + 0.01) == []


def test_mingled_halves_are_named(draw):
    scene = draw.case(("dye", "coral", None, "sea", None)).scene
    (found,) = neighbours._finding(scene, Neighbours(), (1, "coral", "sea"), 40.0, Place(x_mm=1, y_mm=2, radius_mm=3))
    mixed = scene.lab_of_ks((scene.pot_ks("coral") + scene.pot_ks("sea")) / 2)
    assert f"they run together into {colour_words(mixed)} along a soft edge" in str(found.message)


def test_a_pot_given_twice_in_one_dyeing_is_one(draw):
    """Sun in two places, coral between them: two edges of 80 mm of the same two pots."""
    left, middle, right = draw.box(0, 0, 40, 80), draw.box(40, 0, 80, 80), draw.box(80, 0, 120, 80)
    (found,) = draw.case(("dye", "sun", left, "coral", middle, "sun", right)).check("neighbours")
    assert "16 cm" in str(found.message)
