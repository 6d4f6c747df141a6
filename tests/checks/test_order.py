"""Strong dye before a paler one: where it must be found and where it must not."""

from __future__ import annotations

import pytest

from tests.checks.findings import names, severities_at


def test_yellow_after_navy_cannot_show(draw):
    case = draw.case(("dye", "night", draw.box(0, 0, 90, 80)), ("dye", "sun", draw.box(0, 0, 85, 80)))
    (found,) = case.check("order")
    assert (found.severity, found.step) == ("serious", 2)
    assert "night" in found.message


def test_dyeing_the_pale_one_first_is_offered_where_it_works(draw):
    mask = draw.box(0, 0, 60, 80)
    case = draw.case(("dye", "night", None), ("wax", mask), ("dye", "sun", None))
    (found,) = case.check("order")
    assert found.remedy.startswith("Dye sun before night")
    dyed, wax, later = case.design.steps
    assert case.with_steps(later, wax, dyed).check("order") == ()


def test_pale_to_strong_is_the_right_order(draw):
    case = draw.case(("dye", "sun", None), ("wax", draw.box(0, 0, 40, 80)), ("dye", "coral", None),
                     ("wax", draw.box(30, 0, 80, 80)), ("dye", "navy", None))  # fmt: skip
    assert case.check("order") == ()


def test_geese_dyed_ink_first(sample):
    case = sample("estuary_geese")
    steps = case.design.steps
    found = case.with_steps(steps[0], steps[7], *steps[1:7]).check("order")
    assert ("order", "serious", 3) in names(found)


def test_poppies_dyed_blackcurrant_first(sample):
    case = sample("garden_poppies/remedy.toml")
    steps = case.design.steps
    found = case.with_steps(steps[0], steps[5], *steps[1:5]).check("order")
    assert names(found) == [("order", "serious", 5)]
    assert found[0].remedy.startswith("Dye strong pink before blackcurrant")


# Where it begins to speak: yellow after night lands on a known part


@pytest.fixture
def late(draw):
    """Sun over night on two thirds of where it lands, and on bare cloth on one."""
    return draw.case(("dye", "night", draw.box(0, 0, 80, 80)), ("dye", "sun", None))


@pytest.mark.parametrize(("most", "found"), [(0.66, ["warn"]), (0.67, [])])
def test_order_by_the_part_where_it_is_hidden(late, most, found):
    assert severities_at(late, "order", most=most) == found


def test_order_says_what_lies_there(late):
    (found,) = late.check("order")
    assert found.message.startswith("Sun hardly shows on 67% of the cloth it reaches: the stronger night")
    assert "(step 1)" in found.message
    assert found.step == 2


@pytest.mark.parametrize(("part_mm", "severity"), [(107, "warn"), (109, "serious")])
def test_order_is_serious_from_nine_tenths_on(draw, part_mm, severity):
    """Of 120 mm, 107 are 89% and 109 are 91%."""
    assert severities_at(draw.case(("dye", "night", draw.box(0, 0, part_mm, 80)), ("dye", "sun", None)), "order") == [
        severity
    ]


def test_a_pale_pot_is_no_question_of_order(draw):
    case = draw.case(("dye", "navy", None), ("dye", "mist", None))
    assert case.check("order") == ()
