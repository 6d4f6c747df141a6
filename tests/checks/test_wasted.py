"""Steps and masks that do nothing, and masks upside down."""

from __future__ import annotations

import pytest

from batiksim.values import Discharge, RemoveWax
from tests.checks.findings import steps_of


def test_masks_with_nothing_or_everything(draw):
    (found,) = draw.case(("wax", draw.blank()), ("dye", "sea", None)).check("wasted")
    assert found.message.key == "checks.wasted.mask_empty"
    full = draw.case(("wax", draw.box(0, 0, 120, 80)), ("dye", "sea", None)).check("wasted")
    assert steps_of(full) == [1, 2]
    assert "never touches open cloth" in str(full[1].message)
    speck = draw.case(("wax", draw.box(3, 3, 3.8, 3.8)), ("dye", "sea", None)).check("wasted")
    assert speck[0].message.key == "checks.wasted.mask_nearly_empty"


def test_canting_lines_over_most_of_the_cloth_are_upside_down(sample):
    case = sample("garden_poppies/remedy.toml")
    wrong = case.with_mask("outlines.png", 255 - case.mask("outlines.png"))
    found = [one for one in wrong.check("wasted") if one.step == 1]
    assert [one.message.key for one in found] == ["checks.wasted.too_full_for_lines"]


def test_parsley_upside_down(sample):
    case = sample("hedge_parsley")
    wrong = case.with_mask("moonlight.png", 255 - case.mask("moonlight.png"))
    assert steps_of(wrong.check("wasted")) == [1]


def test_wax_over_wax(draw):
    one, inside = draw.box(20, 20, 100, 60), draw.box(40, 30, 80, 50)
    case = draw.case(("wax", one), ("dye", "sun", None), ("wax", inside), ("dye", "sea", None))
    assert steps_of(case.check("wasted")) == [3]
    apart = draw.case(("wax", one), ("dye", "sun", None), ("wax", draw.box(60, 30, 118, 70)), ("dye", "sea", None))
    assert apart.check("wasted") == ()


def test_steps_that_do_nothing(draw):
    mask = draw.box(20, 20, 100, 60)
    assert steps_of(draw.case(("dye", "sun", None), ("wax", mask)).check("wasted")) == [2]
    assert steps_of(draw.case(RemoveWax(), ("dye", "sun", None)).check("wasted")) == [1]
    assert steps_of(draw.case(Discharge(), ("dye", "sun", None)).check("wasted")) == [1]
    under = draw.case(("wax", draw.box(10, 10, 110, 70)), ("dye", "sun", mask), ("dye", "sea", None))
    assert steps_of(under.check("wasted")) == [2]
    assert draw.case(("wax", mask), ("dye", "sun", None), RemoveWax(), ("dye", "sea", None)).check("wasted") == ()


# Where it begins to speak


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
    assert all("0.1% of the cloth" in str(one.message) for one in found)


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
    assert all(one.step == 3 and "All but 9.5% of" in str(one.message) for one in found_there)


def test_what_does_nothing(draw):
    box = draw.box(20, 20, 100, 60)
    messages = [
        one.message.key
        for one in draw.case(("wax", box), ("dye", "sea", None), RemoveWax(), RemoveWax()).check("wasted")
    ]
    assert messages == ["checks.wasted.no_wax"]
    (found,) = draw.case(Discharge(), ("dye", "sea", None)).check("wasted")
    assert (found.message.key, found.step) == ("checks.wasted.bleach", 1)
    assert draw.case(("dye", "sea", None), Discharge()).check("wasted") == ()
    (found,) = draw.case(("dye", "sea", None), ("wax", box)).check("wasted")
    assert found.message.key == "checks.wasted.wax_last"
