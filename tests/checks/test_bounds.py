"""Where each check begins to speak: shares and lengths drawn so that they are known, with thresholds at either side."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from batiksim.values import Discharge, Pot, RemoveWax


def severities(case, code, **settings):
    return [one.severity for one in case.check(code, settings={code: settings})]


# Mud: 12 by 8 mm of sea over coral are a hundredth of the cloth


@pytest.fixture
def muddy(draw):
    return draw.case(("dye", "coral", None), ("dye", "sea", draw.box(20, 20, 32, 28)))


@pytest.mark.parametrize(
    ("settings", "found"),
    [
        ({"least_share": 0.01, "warn_share": 0.02}, ["note"]),
        ({"least_share": 0.0101}, []),
        ({"warn_share": 0.01}, ["warn"]),
        ({"warn_share": 0.0101}, ["note"]),
        ({"serious_share": 0.01}, ["serious"]),
        ({"serious_share": 0.0101}, ["warn"]),
    ],
)
def test_mud_by_its_share(muddy, settings, found):
    assert severities(muddy, "mud", **settings) == found


def test_mud_says_what_made_it_and_how_much(muddy):
    (found,) = muddy.check("mud")
    assert found.step == 2
    assert found.message.startswith("Sea over coral goes muddy:")
    assert found.message.endswith("on 1% of the cloth.")
    assert (found.place.x_mm, found.place.y_mm) == (pytest.approx(26, abs=3), pytest.approx(24, abs=3))


def test_the_dyeing_that_turned_it_is_named(draw):
    """A third bath over mud is not what made it."""
    case = draw.case(("dye", "coral", None), ("dye", "sea", None), ("dye", "mist", None))
    (found,) = case.check("mud")
    assert found.step == 2
    assert "sea over coral" in found.message.lower()


def test_mud_of_one_making_is_one_finding(draw):
    """Two spots of a hundredth each, where the same dyeing spoilt the same colour."""
    spots = np.maximum(draw.box(20, 20, 32, 28), draw.box(60, 20, 72, 28))
    (found,) = draw.case(("dye", "coral", None), ("dye", "sea", spots)).check("mud")
    assert "on 2% of the cloth" in found.message


# Faint


@pytest.fixture
def pale(draw):
    return draw.case(("dye", "mist", None))


def test_faint_says_by_how_much_and_its_limit_is_there(pale):
    (found,) = pale.check("faint")
    told = float(found.message.partition("changes the colour by ")[2].partition(" ")[0])
    assert 0 < told < 4
    assert severities(pale, "faint", pale=told - 0.05) == []
    assert severities(pale, "faint", pale=told + 0.05) == ["warn"]


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
    assert severities(side_by_side, "faint", **settings) == found


def test_alike_neighbours_are_named(side_by_side):
    (found,) = side_by_side.check("faint")
    assert found.step == 2
    assert "(one)" in found.message
    assert "(two)" in found.message
    assert "along some 8.0 cm" in found.message


# Neighbours: two boxes side by side, 50 mm of edge


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
    assert severities(case, "neighbours", long_mm=long_mm) == [severity]


@pytest.mark.parametrize(("gap_mm", "creep_mm", "meets"), [(0.6, 0.6, True), (1.2, 0.4, False), (1.2, 1.4, True)])
def test_neighbours_creep_over_a_gap(draw, gap_mm, creep_mm, meets):
    case = draw.case(("dye", "sea", draw.box(20, 10, 60, 60), "coral", draw.box(60 + gap_mm, 10, 100, 60)))
    assert bool(case.check("neighbours", settings={"neighbours": {"creep_mm": creep_mm}})) is meets


@pytest.mark.parametrize(("least_mm", "meets"), [(9, True), (11, False)])
def test_edges_count_by_the_square(draw, least_mm, meets):
    """A square of 10 mm holds 10 mm of a straight edge."""
    case = draw.case(("dye", "sea", draw.box(20, 10, 55, 60), "coral", draw.box(55, 10, 100, 60)))
    assert bool(case.check("neighbours", settings={"neighbours": {"least_mm": least_mm}})) is meets


# Order: yellow after night lands on a known part


@pytest.fixture
def late(draw):
    """Sun over night on two thirds of where it lands, and on bare cloth on one."""
    return draw.case(("dye", "night", draw.box(0, 0, 80, 80)), ("dye", "sun", None))


@pytest.mark.parametrize(("most", "found"), [(0.66, ["warn"]), (0.67, [])])
def test_order_by_the_part_where_it_is_hidden(late, most, found):
    assert severities(late, "order", most=most) == found


def test_order_says_what_lies_there(late):
    (found,) = late.check("order")
    assert found.message.startswith("Sun hardly shows on 67% of the cloth it reaches: the stronger night")
    assert "(step 1)" in found.message
    assert found.step == 2


@pytest.mark.parametrize(("part_mm", "severity"), [(107, "warn"), (109, "serious")])
def test_order_is_serious_from_nine_tenths_on(draw, part_mm, severity):
    """Of 120 mm, 107 are 89% and 109 are 91%."""
    assert severities(draw.case(("dye", "night", draw.box(0, 0, part_mm, 80)), ("dye", "sun", None)), "order") == [
        severity
    ]


def test_a_pale_pot_is_no_question_of_order(draw):
    case = draw.case(("dye", "navy", None), ("dye", "mist", None))
    assert case.check("order") == ()


# Lost lines: six of 100 mm, 1.4 mm wide


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
    assert severities(lost, "lost", **settings) == found


def test_lost_lines_say_where_and_what(lost):
    (found,) = lost.check("lost")
    assert found.step == 4
    assert "navy will cover them" in found.message
    assert "before step 4" in found.remedy
    assert found.place.radius_mm == 20.0


# Wasted


@pytest.mark.parametrize(
    ("settings", "steps"),
    [
        ({}, []),
        ({"empty": 0.0011}, [1]),  # 4 by 2.5 mm are .00104
        ({"empty": 0.001}, []),
    ],
)
def test_hardly_marked_masks(draw, settings, steps):
    case = draw.case(("wax", draw.box(20, 20, 24, 22.5)), ("dye", "sea", None))
    found = case.check("wasted", settings={"wasted": settings})
    assert [one.step for one in found] == steps
    assert all("0.1% of the cloth" in one.message for one in found)


@pytest.mark.parametrize(("full", "found"), [(0.97, True), (0.98, False)])
def test_masks_marked_all_over(draw, full, found):
    """117 of 120 mm are .975."""
    case = draw.case(("wax", draw.box(0, 0, 117, 80), {"tool": "brush"}), ("dye", "sea", None))
    assert bool(case.check("wasted", settings={"wasted": {"full": full}})) is found


@pytest.mark.parametrize(
    ("tool", "share", "found"), [("canting", 0.49, True), ("canting", 0.51, False), ("brush", 0.1, False)]
)
def test_a_canting_draws_lines(draw, tool, share, found):
    case = draw.case(("wax", draw.box(0, 0, 60, 80), {"tool": tool}), ("dye", "sea", None))
    assert bool(case.check("wasted", settings={"wasted": {"full_canting": share}})) is found


@pytest.mark.parametrize(("new", "found"), [(0.1, True), (0.09, False)])
def test_wax_on_wax(draw, new, found):
    """The second waxing reaches 4 of 42 mm beyond the first: .095."""
    first, second = draw.box(10, 10, 60, 60), draw.box(22, 10, 64, 60)
    case = draw.case(("wax", first), ("dye", "sun", None), ("wax", second), ("dye", "sea", None))
    found_there = case.check("wasted", settings={"wasted": {"nothing_new": new}})
    assert bool(found_there) is found
    assert all(one.step == 3 and "All but 9.5% of" in one.message for one in found_there)


def test_what_does_nothing(draw):
    box = draw.box(20, 20, 100, 60)
    messages = [
        one.message for one in draw.case(("wax", box), ("dye", "sea", None), RemoveWax(), RemoveWax()).check("wasted")
    ]
    assert messages == ["There is no wax on the cloth to take out here."]
    (found,) = draw.case(Discharge(), ("dye", "sea", None)).check("wasted")
    assert (found.message, found.step) == ("The discharge finds no open dye to take out.", 1)
    assert draw.case(("dye", "sea", None), Discharge()).check("wasted") == ()
    (found,) = draw.case(("dye", "sea", None), ("wax", box)).check("wasted")
    assert found.message == "No dye comes after this waxing, so the wax keeps nothing."


# Gamut


def test_what_a_cloth_can_not_show_by_how_far(draw):
    dyes = (
        *draw.case(("dye", "sea", None)).design.dyes,
        replace(draw.case(("dye", "sea", None)).design.dyes[0], name="white", colour="#ffffff"),
    )
    case = draw.case(("dye", "sea", None), dyes=dyes)
    (found,) = (one for one in case.check("reach") if "white" in one.message)
    far = float(found.message.partition("the nearest is ")[2].partition(" ")[0])
    assert "white as #ffffff" in found.message
    assert found.severity == ("warn" if far >= 5 else "note")
    for limit, severity in ((far - 0.06, "warn"), (far + 0.06, "note")):
        again = case.check("reach", settings={"reach": {"far": limit}})
        assert [one.severity for one in again if "white" in one.message] == [severity]
    assert not [one for one in case.check("reach", settings={"reach": {"seen": far + 0.06}}) if "white" in one.message]
