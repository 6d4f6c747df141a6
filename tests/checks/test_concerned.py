"""What each check names as data: the pots and pictures concerned, by the design's names, and what was measured."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import ndimage

from batiksim import checks
from batiksim.cloth.program import design_masks
from batiksim.texts.catalogue import say
from batiksim.values import Discharge, Dye, Finding, Pot, RemoveWax, Undyed, Wax
from batiksim.values.plain_data import plain_data

ALIKE = (Pot(name="a", parts={"sea": 1}), Pot(name="b", parts={"sea": 1}, strength=1.1))
STRONG = (Pot(name="tar", parts={"ink": 1}, strength=4), Pot(name="wine", parts={"pink": 1}, strength=2.4))


def leak(draw):
    line = np.where(draw.box(70, 39, 90, 41) > 0, 0, draw.ring(60, 40, 19, 1.4)).astype(np.uint8)
    beyond = np.where(draw.disc(60, 40, 19.6) > 0, 0, draw.box(0, 0, 120, 80)).astype(np.uint8)
    return draw.case(("wax", line, {"tool": "canting"}), ("dye", "leaf", draw.disc(60, 40, 19), "navy", beyond))


def islands(draw):
    cells, wax = draw.blank(), draw.blank()
    for x in range(15, 110, 10):
        for y in range(10, 75, 20):
            wax = np.maximum(wax, draw.box(x - 2, y - 2, x + 5, y + 3.2))
            cells = np.maximum(cells, draw.box(x, y, x + 3, y + 1.2))
    return draw.case(("wax", np.where(cells > 0, 0, wax).astype(np.uint8)), ("dye", "sea", cells))


def fine_lines(draw):
    fine = draw.blank()
    for y in range(10, 70, 6):
        fine[5 * y : 5 * y + 2, 50:550] = 255
    return draw.case(("wax", fine, {"tool": "canting"}), ("dye", "sea", None))


def scratched(draw):
    wax = draw.box(10, 10, 110, 70)
    for y in range(14, 68, 6):
        wax[round(5 * y) : round(5 * y) + 2, 75:525] = 0
    return draw.case(("wax", wax), ("dye", "sea", None))


def lost_lines(draw):
    grid = np.maximum.reduce([draw.box(10, y, 110, y + 1.4) for y in range(10, 75, 12)])
    leaf = draw.disc(60, 40, 3)
    return draw.case(("wax", grid), ("dye", "coral", leaf, "pink", None), RemoveWax(), ("dye", "navy", None))


# by name: the check, the cloth, the finding's pots, masks, and some of its numbers
CASES = {
    "leak": ("leak", leak, ("leaf", "navy"), ("1.png", "2.png", "0.png"), {"gap_mm": 1.8}),
    "neighbours": (
        "neighbours",
        lambda draw: draw.case(("dye", "sun", draw.box(0, 0, 60, 80), "sea", draw.box(60, 0, 120, 80))),
        ("sun", "sea"),
        ("0.png", "1.png"),
        {"border_mm": 80.0},
    ),
    "mud": (
        "mud",
        lambda draw: draw.case(("dye", "coral", draw.box(0, 0, 60, 80)), ("dye", "sea", None)),
        ("coral", "sea"),
        ("0.png",),
        {"share": 0.5},
    ),
    "faint: pale": ("faint", lambda draw: draw.case(("dye", "mist", None)), ("mist",), (), {"share": 1.0}),
    "faint: alike": (
        "faint",
        lambda draw: draw.case(("dye", "a", draw.box(0, 0, 60, 80), "b", draw.box(60, 0, 120, 80)), pots=ALIKE),
        ("a", "b"),
        ("0.png", "1.png"),
        {"border_mm": 80.0},
    ),
    "order": (
        "order",
        lambda draw: draw.case(("dye", "night", draw.box(0, 0, 90, 80)), ("dye", "sun", draw.box(0, 0, 60, 80))),
        ("sun", "night"),
        ("1.png", "0.png"),
        {"share": 0.5, "hidden_share": 1.0},
    ),
    "hand: thin": ("hand", fine_lines, (), ("0.png",), {"length_mm": 1000.0, "thin_share": 1.0}),
    "hand: gaps": ("hand", scratched, (), ("0.png",), {"length_mm": 810.0}),
    "hand: islands": ("hand", islands, ("sea",), ("1.png",), {"count": 40.0, "room_mm": 1.6}),
    "wasted: mask": (
        "wasted",
        lambda draw: draw.case(("wax", draw.blank()), ("dye", "sea", None)),
        (),
        ("0.png",),
        {"share": 0.0},
    ),
    "wasted: last": (
        "wasted",
        lambda draw: draw.case(("dye", "sea", None), ("wax", draw.box(0, 0, 60, 80))),
        (),
        ("0.png",),
        {},
    ),
    "wasted: twice": (
        "wasted",
        lambda draw: draw.case(("wax", draw.box(0, 0, 60, 80)), ("wax", draw.box(0, 0, 30, 80)), ("dye", "sea", None)),
        (),
        ("1.png",),
        {"new_share": 0.0},
    ),
    "wasted: pot": (
        "wasted",
        lambda draw: draw.case(
            ("wax", draw.box(0, 0, 60, 80)), ("dye", "sea", draw.box(70, 0, 120, 80), "sun", draw.box(5, 5, 50, 70))
        ),
        ("sun",),
        ("2.png",),
        {"share": 0.0},
    ),
    "wasted: bleach": ("wasted", lambda draw: draw.case(Discharge(), ("dye", "sea", None)), (), (), {"share": 0.0}),
    "wasted: wax": ("wasted", lambda draw: draw.case(RemoveWax(), ("dye", "sea", None)), (), (), {}),
    "depth: strong": (
        "depth",
        lambda draw: draw.case(("dye", "tar", draw.box(0, 0, 60, 80)), pots=STRONG),
        ("tar",),
        ("0.png",),
        {"offered_strengths": 4.0, "most_strengths": 2.5},
    ),
    "depth: full": (
        "depth",
        lambda draw: draw.case(("dye", "wine", draw.box(0, 0, 60, 80)), ("dye", "wine", None), pots=STRONG),
        ("wine",),
        ("0.png",),
        {"share": 0.5},
    ),
    "lost: lines": ("lost", lost_lines, ("navy",), ("0.png",), {}),
    "lost: colour": (
        "lost",
        lambda draw: draw.case(("dye", "leaf", draw.box(0, 0, 60, 80)), ("dye", "ink", None)),
        ("leaf", "ink"),
        ("0.png",),
        {"share": 0.5, "brushed_share": 1.0},
    ),
    "reach": (
        "reach",
        lambda draw: draw.case(("dye", "sun", None), dyes=(Dye(name="sun", colour="#000000"),), pots=()),
        ("sun",),
        (),
        {},
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_pots_pictures_and_numbers(draw, name):
    code, cloth, pots, masks, numbers = CASES[name]
    (found,) = cloth(draw).check(code)
    assert (found.pots, found.masks) == (pots, masks)
    assert {key: found.numbers[key] for key in numbers} == pytest.approx(numbers, abs=0.02, rel=0.05)
    assert all(type(number) is float for number in found.numbers.values())
    assert found.remedies == ()


def test_every_check_is_here():
    others = {"fit", "cloth", "lamp"}  # below, and for lamp in test_metamerism
    assert {code for code, *_ in CASES.values()} | others == set(checks.CODES)


@pytest.mark.parametrize(
    ("colour", "surface", "number"), [(None, 0.015, "seen_surface"), ("#c9b183", None, "apart_de")]
)
def test_dyes_seen_on_other_cloth_are_named(draw, colour, surface, number):
    """Only those: the last dye was seen on no cloth that is known."""
    case = draw.case(("dye", "sea", None), ("dye", "ink", None))
    dyes = [replace(dye, seen_on=Undyed(colour="#f1ebe0", surface=0.04)) for dye in case.design.dyes[:-1]]
    cloth = replace(case.design.cloth, colour=colour, surface=surface)
    (found,) = case.with_design(dyes=(*dyes, case.design.dyes[-1]), cloth=cloth).check("cloth")
    assert (found.pots, found.masks) == (("sea",), ())
    assert number in found.numbers


@pytest.mark.full
def test_masks_beside_their_places_are_named(sample):
    case = sample("garden_poppies/remedy.toml")
    px = round(5 * case.px_per_mm)
    off = case.with_mask("keep-leaves.png", ndimage.shift(case.mask("keep-leaves.png"), (0, px), order=0))
    (found,) = off.check("fit")
    assert (found.pots, found.masks) == ((), ("keep-leaves.png",))
    assert found.numbers["right_mm"] == pytest.approx(-5, abs=0.5)
    assert found.numbers["edge_mm"] == pytest.approx(5, abs=0.5)
    two = [use for use in design_masks(off.design) if use.picture in ("paint-leaves.png", "keep-leaves.png")]
    (found,) = off.with_steps(*(Wax(mask=use) for use in two)).check("fit")
    assert sorted(found.masks) == ["keep-leaves.png", "paint-leaves.png"]


def test_a_finding_as_data():
    told = Finding(
        code="mud",
        severity="warn",
        step=2,
        message=say("checks.nothing"),
        remedy=say("checks.wasted.leave_out"),
        pots=("sun", "sea"),
        masks=("leaves.png",),
        numbers={"share": np.float64(0.123456)},
    )
    data = plain_data(told)
    assert (data["pots"], data["masks"], data["numbers"]) == (["sun", "sea"], ["leaves.png"], {"share": 0.1235})
    assert data["remedies"] == []
    assert replace(told, numbers={"share": 0.2}) != told
    assert hash(told) == hash(replace(told))
