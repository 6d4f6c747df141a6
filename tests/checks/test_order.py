"""Strong dye before a paler one: where it must be found and where it must not."""

from __future__ import annotations

import pytest

from batiksim.checks import order as module
from batiksim.checks.order import Order, landings, swapped
from batiksim.colour.ciede2000 import delta_e_2000
from tests.checks.findings import names, severities_at


def test_yellow_after_navy_cannot_show(draw):
    case = draw.case(("dye", "night", draw.box(0, 0, 90, 80)), ("dye", "sun", draw.box(0, 0, 85, 80)))
    (found,) = case.check("order")
    assert (found.severity, found.step) == ("serious", 2)
    assert "night" in str(found.message)


def test_dyeing_the_pale_one_first_is_offered_where_it_works(draw):
    mask = draw.box(0, 0, 60, 80)
    case = draw.case(("dye", "night", None), ("wax", mask), ("dye", "sun", None))
    (found,) = case.check("order")
    assert str(found.remedy).startswith("Dye sun before night")
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
    assert str(found[0].remedy).startswith("Dye strong pink before blackcurrant")


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
    assert str(found.message).startswith("Sun hardly shows on 67% of the cloth it reaches: the stronger night")
    assert "(step 1)" in str(found.message)
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


# Landings by hand


def test_where_each_pot_lands_and_what_it_changes(draw):
    """Night on two thirds; sun over all of it: hidden on night, plain on the bare third."""
    scene = draw.case(("dye", "night", draw.box(0, 0, 80, 80)), ("dye", "sun", None)).scene
    night, sun = landings(scene, hidden=4.0)
    assert [scene.op_pot(one.o) for one in (night, sun)] == ["night", "sun"]
    assert (night.area, sun.area) == (pytest.approx(2 / 3), pytest.approx(1))
    assert (night.hidden, sun.hidden) == (0, pytest.approx(2 / 3))
    assert (len(night.spots), len(sun.spots)) == (1, 2)
    ks = {pot: scene.pot_ks(pot) for pot in ("night", "sun")}
    bare = far(scene, 0 * ks["sun"], ks["sun"])
    assert sun.on_bare == pytest.approx(bare)
    over = far(scene, ks["night"], scene.outcome.ks(max(scene.histories, key=lambda one: len(one.reached))))
    assert sun.change == pytest.approx(over * 2 / 3 + bare / 3)
    assert night.on_bare == night.change == pytest.approx(far(scene, 0 * ks["sun"], ks["night"]))
    assert landings(scene, hidden=bare + 0.1)[1].hidden == 1
    assert landings(scene, hidden=over)[1].hidden == 0


def far(scene, one, other):
    return float(delta_e_2000(scene.lab_of_ks(one), scene.lab_of_ks(other)))


def test_what_a_dyeing_changes_on_all_that_it_lands_on(draw):
    scene = draw.case(("dye", "night", draw.box(0, 0, 80, 80)), ("dye", "sun", None)).scene
    for landing in landings(scene, hidden=4.0):
        assert module._change(scene, landing.o) == pytest.approx(landing.change)
    covered = draw.case(("wax", draw.box(0, 0, 120, 80)), ("dye", "sun", None)).scene
    assert module._change(covered, 1) == 0


def test_the_strongest_of_what_lies_beneath(draw):
    scene = draw.case(*(("dye", pot, None) for pot in ("coral", "night", "sea", "sun"))).scene
    (history,) = scene.histories
    assert [module._strongest(scene, history, o) for o in range(4)] == [None, 0, 1, 1]


def test_two_steps_in_each_others_place(draw):
    design = draw.case(*(("dye", pot, None) for pot in ("coral", "night", "sea", "sun"))).design
    made = swapped(design, 2, 4)
    assert [step.paints[0].pot for step in made.steps] == ["coral", "sun", "sea", "night"]


@pytest.mark.parametrize(("waxed_at", "keep"), [(None, True), (1, True), (2, False), (3, False), (4, True)])
def test_waxing_before_the_second_is_told_where_none_lies_between(draw, waxed_at, keep):
    """Night, sea, sun: sun takes night's turn. A waxing may come before, in between or after."""
    steps = [("dye", pot, None) for pot in ("night", "sea", "sun")]
    if waxed_at is not None:
        steps.insert(waxed_at - 1, ("wax", draw.box(0, 0, 10, 10)))
    scene = draw.case(*steps).scene
    night, _, sun = landings(scene, hidden=4.0)
    remedy = module._pale_first(scene, sun, night.o)
    assert remedy.key == ("checks.order.pale_first_and_wax" if keep else "checks.order.pale_first")
    assert str(remedy).startswith("Dye sun before night: a pale colour shows only if it goes on first.")
    assert str(remedy).endswith(" Before the second dyeing, wax whatever should keep the pale colour.") is keep


def test_a_swap_is_tried_out(draw, monkeypatch):
    scene = draw.case(("dye", "night", draw.box(0, 0, 60, 80)), ("dye", "sun", None)).scene
    night, sun = landings(scene, hidden=4.0)
    monkeypatch.setattr(module, "_change", lambda after, o: 9.0 if after.op_pot(o) == "sun" else 99.0)
    assert module._swap_helps(scene, Order(shows=9.0), sun, night.o)
    assert not module._swap_helps(scene, Order(shows=9.1), sun, night.o)


def test_remedies_are_tried_out_for_the_widest(draw, monkeypatch):
    """Coral is hidden on half of the cloth, sun on more of it: only for one of them a swap is tried."""
    tried = []
    monkeypatch.setattr(module, "_swap_helps", lambda scene, settings, landing, strong: tried.append(landing.o) or True)
    case = draw.case(
        ("dye", "night", None), ("dye", "coral", draw.box(0, 0, 60, 80)), ("dye", "sun", draw.box(0, 0, 90, 80))
    )
    scene = case.scene
    found = case.check("order", settings={"order": {"tried": 1, "hidden": 30.0, "most": 0.5}})
    assert [scene.op_pot(o) for o in tried] == ["sun"]
    remedies = {one.step: str(one.remedy) for one in found}
    assert remedies[3].startswith("Dye sun before night")
    assert remedies[2] == "Leave coral out here, or wax the cloth that should show it before you dye night."
