"""Changes of steps as pure functions, and which requests are refused."""

from __future__ import annotations

import pytest

from batiksim.changes.request_fields import RequestFields
from batiksim.changes.steps import (
    MOST_STEPS,
    add_paint,
    add_step,
    mask_at,
    move_step,
    remove_paint,
    remove_step,
    set_discharge,
    set_mask,
    set_paint,
    set_wax,
    with_mask,
)
from batiksim.errors import BatikError
from batiksim.values import Discharge, DyeBath, MaskUse, Paint, RemoveWax, Wax

LINES, PETALS = MaskUse(picture="lines.png"), MaskUse(picture="petals.png")


@pytest.fixture
def planned(build):
    """1 wax, 2 a bath of two pots, 3 discharge, 4 wax out."""
    bath = DyeBath(paints=(Paint(pot="leaf"), Paint(pot="pink", where=PETALS, spread=True, reach_mm=3.0)))
    return build.design(Wax(mask=LINES, tool="canting"), bath, Discharge(where=PETALS, strength=0.5), RemoveWax())


def asked(**entries):
    return RequestFields(entries)


def kinds(design):
    return [type(step).__name__ for step in design.steps]


@pytest.mark.parametrize(
    ("step", "to", "order"),
    [(1, 4, ["DyeBath", "Discharge", "RemoveWax", "Wax"]), (4, 1, ["RemoveWax", "Wax", "DyeBath", "Discharge"]),
     (2, 3, ["Wax", "Discharge", "DyeBath", "RemoveWax"]), (3, 3, ["Wax", "DyeBath", "Discharge", "RemoveWax"])],
)  # fmt: skip
def test_a_step_is_moved(planned, step, to, order):
    assert kinds(move_step(planned, asked(step=step, to=to))) == order


def test_a_cloth_without_steps_has_none_to_move(build):
    with pytest.raises(BatikError, match="this cloth has no steps yet"):
        move_step(build.design(), asked(step=1, to=1))


@pytest.mark.parametrize(("step", "to"), [(0, 1), (5, 1), (1, 0), (1, 5)])
def test_there_is_no_place_beyond_the_ends(planned, step, to):
    with pytest.raises(BatikError, match="use a number from 1 to 4"):
        move_step(planned, asked(step=step, to=to))


@pytest.mark.parametrize(
    ("step", "made"),
    [
        ({"kind": "wax", "where": {"picture": "a.png", "marks": "light", "clean": True}},
         Wax(mask=MaskUse(picture="a.png", marks="light", clean=True), tool="brush")),
        ({"kind": "dye", "pot": "leaf"}, DyeBath(paints=(Paint(pot="leaf"),))),
        ({"kind": "dye", "pot": "leaf", "where": {"picture": "a.png"}},
         DyeBath(paints=(Paint(pot="leaf", where=MaskUse(picture="a.png")),))),
        ({"kind": "discharge"}, Discharge()),
        ({"kind": "discharge", "where": {"picture": "a.png"}}, Discharge(where=MaskUse(picture="a.png"))),
        ({"kind": "remove_wax"}, RemoveWax()),
    ],
)  # fmt: skip
def test_a_step_is_added_where_it_is_asked_for(planned, step, made):
    for at in (1, 3, 5):
        after = add_step(planned, asked(at=at, step=step))
        assert after.steps[at - 1] == made
        assert after.steps[: at - 1] + after.steps[at:] == planned.steps
    with pytest.raises(BatikError, match="use a number from 1 to 5"):
        add_step(planned, asked(at=6, step=step))


def test_sixty_steps_are_enough(build):
    full = build.design(*[RemoveWax()] * (MOST_STEPS - 1))
    last = add_step(full, asked(at=1, step={"kind": "remove_wax"}))
    assert len(last.steps) == 60
    with pytest.raises(BatikError, match="a cloth can have at most 60 steps; remove one"):
        add_step(last, asked(at=1, step={"kind": "remove_wax"}))


def test_a_step_is_taken_out(planned, build):
    assert kinds(remove_step(planned, asked(step=2))) == ["Wax", "Discharge", "RemoveWax"]
    with pytest.raises(BatikError, match="use a number from 1 to 4"):
        remove_step(planned, asked(step=5))
    with pytest.raises(BatikError, match="no steps yet; add one"):
        remove_step(build.design(), asked(step=1))


def test_how_wax_lies(planned):
    wax = set_wax(
        planned, asked(step=1, grey="thin", tool="stamp", crackle=0.1, paraffin=0.2, edges=0.3, cool=1)
    ).steps[0]
    assert wax == Wax(mask=LINES, grey="thin", tool="stamp", crackle=0.1, paraffin=0.2, edges=0.3, cool=1.0)
    assert set_wax(planned, asked(step=1)) == planned
    for key in ("crackle", "paraffin", "edges", "cool"):
        with pytest.raises(BatikError, match=f"{key}: out of range .*from 0 to 1"):
            set_wax(planned, asked(step=1, **{key: 1.01}))
    with pytest.raises(BatikError, match="step 2: isn't a waxing; choose a waxing"):
        set_wax(planned, asked(step=2))


def test_a_discharge_has_another_strength(planned, build):
    assert set_discharge(planned, asked(step=3, strength=1)).steps[2] == Discharge(where=PETALS, strength=1.0)
    with pytest.raises(BatikError, match="strength: out of range"):
        set_discharge(planned, asked(step=3, strength=1.1))
    with pytest.raises(BatikError, match="step 1: isn't a discharge; choose a discharge"):
        set_discharge(planned, asked(step=1, strength=1))
    with pytest.raises(BatikError, match="no steps yet; add one"):
        set_discharge(build.design(), asked(step=1, strength=1))


@pytest.mark.parametrize(
    ("entries", "paint"),
    [
        ({"pot": "plum"}, Paint(pot="plum", where=PETALS, spread=True, reach_mm=3.0)),
        ({"everywhere": True}, Paint(pot="pink", spread=True, reach_mm=3.0)),
        ({"spread": False}, Paint(pot="pink", where=PETALS)),
        ({"spread": False, "reach_mm": 5}, Paint(pot="pink", where=PETALS)),
        ({"spread": True}, Paint(pot="pink", where=PETALS, spread=True)),
        ({"spread": True, "reach_mm": 30}, Paint(pot="pink", where=PETALS, spread=True, reach_mm=30.0)),
        ({"spread": True, "reach_mm": 0.1}, Paint(pot="pink", where=PETALS, spread=True, reach_mm=0.1)),
    ],
)  # fmt: skip
def test_one_pot_of_a_bath_is_changed(planned, entries, paint):
    after = set_paint(planned, asked(step=2, paint=2, **entries))
    assert after.steps[1].paints == (Paint(pot="leaf"), paint)


@pytest.mark.parametrize("reach", [0.09, 30.1])
def test_dye_reaches_from_a_tenth_to_thirty_millimetres(planned, reach):
    with pytest.raises(BatikError, match="reach_mm: out of range"):
        set_paint(planned, asked(step=2, paint=2, spread=True, reach_mm=reach))


def test_pots_of_a_bath_come_and_go(planned):
    more = add_paint(planned, asked(step=2, pot="sea", where={"picture": "sky.png"}))
    assert [paint.pot for paint in more.steps[1].paints] == ["leaf", "pink", "sea"]
    assert more.steps[1].paints[2].where == MaskUse(picture="sky.png")
    assert add_paint(planned, asked(step=2, pot="sea")).steps[1].paints[2].where is None
    assert [[p.pot for p in remove_paint(more, asked(step=2, paint=n)).steps[1].paints] for n in (1, 2, 3)] == [
        ["pink", "sea"], ["leaf", "sea"], ["leaf", "pink"]
    ]  # fmt: skip
    for change in (remove_paint, set_paint):
        with pytest.raises(BatikError, match="paint: out of range .*from 1 to 3"):
            change(more, asked(step=2, paint=4))
        with pytest.raises(BatikError, match="isn't a dyeing; choose a dyeing"):
            change(more, asked(step=1, paint=1))


@pytest.mark.parametrize(
    ("step", "paint", "use"),
    [
        (1, None, LINES),
        (1, 3, LINES),
        (2, None, None),
        (2, 1, None),
        (2, 2, PETALS),
        (2, 3, None),
        (3, None, PETALS),
        (4, None, None),
    ],
)
def test_the_mask_of_a_place(planned, step, paint, use):
    assert mask_at(planned, step, paint) == use


@pytest.mark.parametrize("step", [0, 5])
def test_a_place_that_is_not_there(planned, step):
    with pytest.raises(BatikError, match="there is no such step"):
        mask_at(planned, step, None)
    with pytest.raises(BatikError, match="there is no such step"):
        with_mask(planned, step, None, LINES)


@pytest.mark.parametrize(("step", "paint"), [(1, None), (2, None), (2, 1), (2, 2), (3, None)])
def test_another_mask_in_its_place_alone(planned, step, paint):
    new = MaskUse(picture="new.png", marks="alpha")
    after = with_mask(planned, step, paint, new)
    assert mask_at(after, step, paint) == new
    places = [(1, None), (2, 1), (2, 2), (3, None)]
    same = (step, paint or 1) if step == 2 else (step, paint)
    assert all(mask_at(after, *place) == mask_at(planned, *place) for place in places if place != same)
    entries = {"step": step, "where": {"picture": "new.png", "marks": "alpha"}} | ({"paint": paint} if paint else {})
    assert set_mask(planned, asked(**entries)) == after


@pytest.mark.parametrize(("step", "paint"), [(2, 3), (4, None)])
def test_where_no_mask_can_be(planned, step, paint):
    with pytest.raises(BatikError, match=f"step {step}: has no picture"):
        with_mask(planned, step, paint, LINES)
