"""Steps and masks that do nothing, and masks upside down."""

from __future__ import annotations

from batiksim.values import Discharge, RemoveWax
from tests.checks.findings import steps_of


def test_masks_with_nothing_or_everything(draw):
    (found,) = draw.case(("wax", draw.blank()), ("dye", "sea", None)).check("wasted")
    assert "nothing marked" in found.message
    full = draw.case(("wax", draw.box(0, 0, 120, 80)), ("dye", "sea", None)).check("wasted")
    assert steps_of(full) == [1, 2]
    assert "reaches no open cloth" in full[1].message
    speck = draw.case(("wax", draw.box(3, 3, 3.8, 3.8)), ("dye", "sea", None)).check("wasted")
    assert "hardly anything" in speck[0].message


def test_canting_lines_over_most_of_the_cloth_are_upside_down(sample):
    case = sample("garden_poppies/remedy.toml")
    wrong = case.with_mask("outlines.png", 255 - case.mask("outlines.png"))
    found = [one for one in wrong.check("wasted") if one.step == 1]
    assert ["too much for lines" in one.message for one in found] == [True]


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
