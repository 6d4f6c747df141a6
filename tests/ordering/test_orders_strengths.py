"""Spots that the same dyeings reach at plainly different strengths are areas of their own, each of its true colour."""

from __future__ import annotations

import numpy as np
import pytest

from batiksim.cloth.dyes_on_cloth import dyes_on_cloth
from batiksim.cloth.outcome import outcome_of
from batiksim.cloth.program import Emit, compile_design, design_masks
from batiksim.cloth.render import render
from batiksim.colour.gamut import lab_to_hex
from batiksim.ordering import Question, order_plan, rank_orders
from batiksim.ordering.ranking import Orders
from batiksim.values import Cloth, Design, Discharge, Dye, DyeBath, MaskUse, Paint, Step, Want, Wax

ROWS, COLS, STRIPES = 24, 48, 6
NONE = np.zeros((0, ROWS, COLS), np.uint8)
DYES = tuple(
    Dye(name=name, colour=colour)
    for name, colour in (("straw", "#f2e08a"), ("coral", "#e2603a"), ("sea", "#1a8fb0"), ("plum", "#5b2a5e"))
)
NEAR = 2  # levels of 255 that a colour may be off: a plate is rounded, and so are the levels of patterns


def stripes(*levels: float) -> np.ndarray:
    """A mask of upright stripes, each of one level 0..1."""
    row = np.repeat(np.rint(255 * np.array(levels)), COLS // len(levels))
    return np.tile(row, (ROWS, 1)).astype(np.uint8)


def cloth(*steps: Step, wants: tuple[Want, ...] = ()) -> Design:
    return Design(title="Strengths", cloth=Cloth(width_mm=60), dyes=DYES, steps=steps, wants=wants)


def thin(name: str) -> Wax:
    return Wax(mask=MaskUse(picture=name), grey="thin", cool=0.0)


def dye(pot: str, where: str | None = None) -> DyeBath:
    return DyeBath(paints=(Paint(pot=pot, where=None if where is None else MaskUse(picture=where)),))


def stack(design: Design, pictures: dict[str, np.ndarray]) -> np.ndarray:
    return np.stack([pictures[use.picture] for use in design_masks(design)])


def rgb(colour: str) -> np.ndarray:
    return np.array([int(colour[at : at + 2], 16) for at in (1, 3, 5)])


def finished(design: Design, masks: np.ndarray) -> np.ndarray:
    program = compile_design(design, dyes_on_cloth(design), plates=(Emit(step=len(design.steps), finished=True),))
    return render(program, masks)[0].astype(int)


def areas_are_true(orders: Orders, labs: np.ndarray, design: Design, masks: np.ndarray) -> None:
    """Every spot of the finished cloth has the colour of its area."""
    assert (orders.areas.labels >= 0).all()
    colours = np.array([rgb(lab_to_hex(lab)) for lab in labs])
    assert np.abs(finished(design, masks) - colours[orders.areas.labels]).max() <= NEAR


def test_thin_wax_over_half_a_cloth_gives_two_colours():
    design = cloth(thin("half"), dye("sea"))
    masks = stack(design, {"half": stripes(0.6, 0)})
    orders = rank_orders(design, dyes_on_cloth(design), masks, Question(), wanted=NONE)
    labs = orders.planned.found.labs
    areas_are_true(orders, labs, design, masks)
    regions = outcome_of(design, dyes_on_cloth(design), masks).regions
    assert orders.areas.shares.tolist() == [region.share for region in regions] == [0.5, 0.5]
    off = [min(np.abs(rgb(lab_to_hex(lab)) - rgb(region.hex)).max() for lab in labs) for region in regions]
    assert max(off) <= NEAR


def random_cloth(seed: int) -> tuple[Design, dict[str, np.ndarray]]:
    """A cloth with one thin waxing, paint masks in two greys, sealing wax, and bleach on some."""
    rng = np.random.default_rng(seed)
    pots = rng.permutation([one.name for one in DYES])
    takes = rng.choice([0.0, 0.35, 0.6])
    pictures = {
        "thin": stripes(*rng.choice([0.0, takes], STRIPES)),
        "grey": stripes(*rng.choice([0.0, 0.4, 1.0], STRIPES)),
        "other": stripes(*rng.choice([0.0, 0.4, 1.0], STRIPES)),
        "wax": stripes(*rng.choice([0.0, 1.0], STRIPES)),
    }
    bleach = Discharge(where=MaskUse(picture="other"), strength=0.7)
    steps = [dye(pots[0], "grey"), Wax(mask=MaskUse(picture="wax")), dye(pots[1]), dye(pots[2], "other")]
    steps.insert(int(rng.integers(0, 4)), thin("thin"))
    return cloth(*steps, *([bleach] if seed % 2 else []), dye(pots[3])), pictures


@pytest.mark.parametrize("seed", range(8))
def test_every_area_of_a_cloth_in_greys_has_one_colour(seed):
    design, pictures = random_cloth(seed)
    masks = stack(design, pictures)
    orders = rank_orders(design, dyes_on_cloth(design), masks, Question(), wanted=NONE)
    areas_are_true(orders, orders.planned.found.labs, design, masks)
    for order in orders.ranked:
        plan = order_plan(orders, order, masks, NONE)
        areas_are_true(orders, order.found.labs, plan.design, plan.masks)


def test_new_wax_tells_strengths_apart_on_larger_masks():
    """Two strengths of one paint are wanted otherwise: only one of them is kept from the second dyeing."""
    wants = (
        Want(colour="#f8edc0", at_mm=(10.0, 20.0), name="pale"),
        Want(colour="#1a8fb0", at_mm=(40.0, 20.0), name="deep"),
    )
    design = cloth(dye("straw", "grey"), dye("sea"), wants=wants)
    masks = stack(design, {"grey": stripes(0.4, 1.0)})
    orders = rank_orders(design, dyes_on_cloth(design), masks, Question(derive=True), wanted=NONE)
    order = orders.ranked[0]
    assert len(set(order.found.picks or ())) == 2
    large = masks.repeat(3, axis=1).repeat(3, axis=2)
    plan = order_plan(orders, order, large, NONE.repeat(3, axis=1).repeat(3, axis=2))
    inner = finished(plan.design, plan.masks)[ROWS, [30, 110]]
    colours = [rgb(lab_to_hex(order.found.labs[orders.areas.labels[0, at]])) for at in (10, 36)]
    assert np.abs(inner - np.array(colours)).max() <= NEAR


def test_a_soft_edge_makes_no_area():
    """A blurred rim, less than a tenth of what it surrounds, stays with the area that it is the rim of."""
    row = np.concatenate([np.zeros(20), np.linspace(0, 255, 4), np.full(176, 255)])
    design = cloth(dye("sea", "soft"), dye("straw"))
    mask = np.tile(row, (ROWS, 1)).astype(np.uint8)[None]
    orders = rank_orders(design, dyes_on_cloth(design), mask, Question(), wanted=NONE[:, :, :0])
    assert orders.areas.count == 2


def test_greys_that_hardly_differ_stay_one_area():
    design = cloth(dye("sea", "grey"))
    masks = stack(design, {"grey": stripes(0.9, 1.0)})
    orders = rank_orders(design, dyes_on_cloth(design), masks, Question(), wanted=NONE)
    assert orders.areas.count == 1
    assert orders.areas.levels[0, 0, 0] == pytest.approx(0.95, abs=0.01)
