"""Strong dye before a paler one: where it must be found and where it must not."""

from __future__ import annotations

from tests.checks.findings import names


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
