"""Orders against the truth: every order of small cloths painted out by the engine, and judged here anew."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations, product

import numpy as np
import pytest

from batiksim.cloth.dyes_on_cloth import dyes_on_cloth
from batiksim.cloth.program import Emit, compile_design, design_masks
from batiksim.cloth.render import render
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.spaces import decode_srgb, hex_to_lab, linear_srgb_to_xyz, xyz_to_lab
from batiksim.ordering import Question, order_plan, rank_orders
from batiksim.ordering.score import Weights
from batiksim.values import Cloth, Design, Discharge, Dye, DyeBath, MaskUse, Paint, Pot, Want, Wax

# 8-bit plates: a level of 255 is up to about 0.5 of CIEDE2000 in the dark
ROUNDING = 0.6
ONLY_WANTS = Weights(rest=0, mud=0, dull=0, lost=0, vanished=0, reads=0, rise=0, pots=0, idle=0)
ROWS, COLS = 24, 48
DYES = tuple(
    Dye(name=name, colour=colour)
    for name, colour in (
        ("straw", "#f2e08a"),
        ("coral", "#e2603a"),
        ("sea", "#1a8fb0"),
        ("plum", "#5b2a5e"),
        ("moss", "#7a8a3a"),
    )
)
NONE = np.zeros((0, ROWS, COLS), np.uint8)


def block(*columns: int) -> np.ndarray:
    """A mask over some of six upright stripes."""
    mask = np.zeros((ROWS, COLS), np.uint8)
    for column in columns:
        mask[:, 8 * column : 8 * column + 8] = 255
    return mask


def at(column: int, colour: str, weight: float = 1.0) -> Want:
    return Want(colour=colour, at_mm=(column * 10 + 5.0, 20.0), weight=weight, name=f"stripe {column}")


MASKS = {"a": block(0, 3), "b": block(1), "leaf": block(2, 3, 4), "bleach": block(5)}
WANTS = (at(1, "#e5b35a"), at(2, "#4a8f5c", 2.0), at(4, "#2c4a58"), at(5, "#3a2c4a"))


def cloth(*steps: object, wants: tuple[Want, ...] = WANTS) -> Design:
    return Design(title="Stripes", cloth=Cloth(width_mm=60), dyes=DYES, steps=steps, wants=wants)  # type: ignore[arg-type]


def wax(name: str) -> Wax:
    return Wax(mask=MaskUse(picture=name))


def dye(*pots: str | tuple[str, str]) -> DyeBath:
    pairs = [(pot, None) if isinstance(pot, str) else (pot[0], MaskUse(picture=pot[1])) for pot in pots]
    return DyeBath(paints=tuple(Paint(pot=pot, where=where) for pot, where in pairs))


def masks_of(design: Design) -> np.ndarray:
    return np.stack([MASKS[use.picture] for use in design_masks(design)])


def painted(design: Design, masks: np.ndarray) -> np.ndarray:
    """CIELAB of the six stripes of the finished cloth, by the engine."""
    program = compile_design(design, dyes_on_cloth(design), plates=(Emit(step=len(design.steps), finished=True),))
    plate = render(program, masks)[0]
    return xyz_to_lab(linear_srgb_to_xyz(decode_srgb(plate[ROWS // 2, 4::8] / 255.0)))


def missed(labs: np.ndarray, wants: tuple[Want, ...], bend: float = ONLY_WANTS.bend) -> float:
    """What the wants are off: each miss of d counts d + d * d / bend, averaged by weight."""
    off = [float(delta_e_2000(hex_to_lab(want.colour), labs[int(want.at_mm[0] // 10)])) for want in wants]  # type: ignore[index]
    weights = [want.weight for want in wants]
    return sum(w * (d + d * d / bend) for w, d in zip(weights, off, strict=True)) / sum(weights)


def dealt(design: Design, pots: tuple[str, ...], baths: tuple[int, ...]) -> Design:
    """The design with its dyeings in another order and pots dealt out to their places as in the design."""
    dyeings = [step for step in design.steps if isinstance(step, DyeBath)]
    given = iter(pots)
    filled = [replace(step, paints=tuple(replace(paint, pot=next(given)) for paint in step.paints)) for step in dyeings]
    in_order = iter([filled[bath] for bath in baths])
    return replace(design, steps=tuple(next(in_order) if isinstance(s, DyeBath) else s for s in design.steps))


def every_order(design: Design, deals: list[tuple[str, ...]]) -> dict[float, Design]:
    """All of them by what they miss."""
    count = sum(isinstance(step, DyeBath) for step in design.steps)
    masks = masks_of(design)
    by_picture = dict(zip(design_masks(design), masks, strict=True))
    found = {}
    for pots, baths in product(deals, permutations(range(count))):
        one = dealt(design, pots, baths)
        labs = painted(one, np.stack([by_picture[use] for use in design_masks(one)]))
        found[missed(labs, design.wants)] = one
    return found


def ranked(design: Design, **asked: object):
    question = Question(weights=ONLY_WANTS, **asked)  # type: ignore[arg-type]
    return rank_orders(design, dyes_on_cloth(design), masks_of(design), question, wanted=NONE)


CASES = {
    "wax between": cloth(wax("a"), dye("straw"), wax("b"), dye("sea"), dye("coral")),
    "paint masks": cloth(dye(("straw", "leaf")), wax("b"), dye("sea", ("coral", "a")), dye("plum")),
    "bleach": cloth(dye("plum"), Discharge(where=MaskUse(picture="bleach"), strength=0.8), wax("b"), dye("straw")),
    "thin wax": cloth(dye("straw"), replace(wax("leaf"), grey="thin", cool=0.0), dye("sea"), wax("a"), dye("coral")),
}


@pytest.mark.full
@pytest.mark.parametrize("name", CASES)
def test_the_best_of_its_own_pots_is_the_best_there_is(name):
    design = CASES[name]
    own = tuple(paint.pot for step in design.steps if isinstance(step, DyeBath) for paint in step.paints)
    truth = every_order(design, sorted(set(permutations(own))))
    found = ranked(design)
    assert found.how == "every"
    assert found.tried == found.of
    assert found.ranked[0].found.points == pytest.approx(min(truth), abs=ROUNDING)
    assert found.planned.found.points == pytest.approx(
        missed(painted(design, masks_of(design)), design.wants), abs=ROUNDING
    )


@pytest.mark.parametrize("pots", [2, 3])
def test_the_best_choice_from_a_shelf_is_the_best_there_is(pots):
    design = cloth(wax("a"), dye("straw"), wax("b"), dye("sea"), wax("leaf"), dye("coral"))
    names = [one.name for one in DYES]
    deals = [deal for deal in product(names, repeat=3) if len(set(deal)) == pots]
    masks = masks_of(design)
    truth = min(missed(painted(dealt(design, deal, (0, 1, 2)), masks), design.wants) for deal in deals)
    found = ranked(design, choose=(pots, pots))
    assert found.tried == len(deals)
    assert found.ranked[0].found.points == pytest.approx(truth, abs=ROUNDING)


@pytest.mark.parametrize("name", CASES)
def test_each_order_is_the_cloth_that_its_own_design_paints(name):
    design = CASES[name]
    masks = masks_of(design)
    found = ranked(design, best=12)
    for one in found.ranked:
        plan = order_plan(found, one, masks, NONE)
        labs = painted(plan.design, plan.masks)
        stripes = found.areas.labels[ROWS // 2, 4::8]
        off = delta_e_2000(labs, one.found.labs[stripes])
        assert off.max() < ROUNDING
        assert missed(labs, design.wants) == pytest.approx(one.found.points, abs=ROUNDING)


def test_ranks_run_from_best_to_worst_and_no_two_look_alike():
    found = ranked(CASES["paint masks"], best=12)
    points = [one.found.points for one in found.ranked]
    assert points == sorted(points)
    assert [one.rank for one in found.ranked] == list(range(1, len(points) + 1))
    masks = masks_of(CASES["paint masks"])
    cloths = [painted((plan := order_plan(found, one, masks, NONE)).design, plan.masks) for one in found.ranked]
    for place, one in enumerate(cloths):
        for other in cloths[:place]:
            assert delta_e_2000(one, other).max() > 10  # something on the cloth is clearly of another colour


def test_every_order_that_truly_differs_is_near_one_that_is_shown():
    """Nothing good is left out: an order that isn't shown looks like a better one that is, or ranks below them all."""
    design = CASES["wax between"]
    truth = every_order(design, sorted(set(permutations(("straw", "sea", "coral")))))
    found = ranked(design, best=4)
    masks = masks_of(design)
    shown = [
        (painted((plan := order_plan(found, one, masks, NONE)).design, plan.masks), one.found.points)
        for one in found.ranked
    ]
    worst = max(points for _, points in shown)
    for points, one in truth.items():
        if points < worst - ROUNDING:
            labs = painted(one, masks)
            near = [delta_e_2000(labs, other) for other, at_points in shown if at_points <= points + ROUNDING]
            assert any(off.max() < 12 + ROUNDING or off.mean() < 3 + ROUNDING for off in near)


def test_new_masks_give_each_area_the_best_it_can_have():
    """Wax where the order wants it: of all places to close each stripe, by the engine, none is better."""
    wants = (at(0, "#f2e08a"), at(1, "#4a8f5c"), at(2, "#1a8fb0"), at(3, "#2c4a58"), at(4, "#5a2340"), at(5, "#e2603a"))
    design = cloth(wax("a"), dye("straw"), wax("b"), dye("sea"), wax("leaf"), dye("plum"), wants=wants)
    # every stripe may be told apart from every other by a mask of its own: each is an area
    stripes = tuple(Want(colour=w.colour, where=MaskUse(picture=f"s{n}"), name=w.name) for n, w in enumerate(wants))
    design = replace(design, wants=stripes)
    pictures = np.stack([block(n) for n in range(6)])
    question = Question(weights=ONLY_WANTS, derive=True)
    found = rank_orders(design, dyes_on_cloth(design), masks_of(design), question, wanted=pictures)

    best = np.inf
    for pots in permutations(("straw", "sea", "plum")):
        # the stripe closed before dyeing n has only the dyeings before it
        laid = [painted(cloth(*(dye(pot) for pot in pots[:n])), NONE) for n in range(4)]
        costs = [min(missed(labs, (want,)) for labs in laid) for want in wants]
        best = min(best, sum(costs) / len(costs))
    top = found.ranked[0]
    assert top.found.points == pytest.approx(best, abs=ROUNDING)

    plan = order_plan(found, top, masks_of(design), pictures)
    off = delta_e_2000(painted(plan.design, plan.masks), top.found.labs[found.areas.labels[ROWS // 2, 4::8]])
    assert off.max() < ROUNDING


def test_tuned_strengths_are_what_the_engine_paints():
    design = replace(
        CASES["wax between"],
        pots=(Pot(name="haze", parts={"sea": 1}, strength=1.6),),
        steps=tuple(dye("haze") if step == dye("sea") else step for step in CASES["wax between"].steps),
    )
    plain, tuned = ranked(design, best=1), ranked(design, best=1, tune=True)
    assert tuned.ranked[0].found.points < plain.ranked[0].found.points - 0.5
    plan = order_plan(tuned, tuned.ranked[0], masks_of(design), NONE)
    assert missed(painted(plan.design, plan.masks), design.wants) == pytest.approx(
        tuned.ranked[0].found.points, abs=ROUNDING
    )
    assert {pot.strength for pot in tuned.ranked[0].slot_pots} != {pot.strength for pot in plain.ranked[0].slot_pots}
