"""Effective masks: which planes a design needs, and that each step's wax decides about the dye after it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from batiksim.cloth import render
from batiksim.cloth.dyes_on_cloth import dyes_on_cloth
from batiksim.cloth.effects import effective_masks
from batiksim.cloth.effects.effective_masks import as_drawn, effective_planes, has_effects
from batiksim.cloth.masks import less
from batiksim.cloth.outcome import outcome_of, survey
from batiksim.cloth.program import MaskPlane, design_masks, design_planes
from batiksim.cloth.rules import render_plain
from batiksim.values import DyeBath, Paint, RemoveWax


def creeping(build, *paints: tuple[str, str], reach_mm: float | None = None) -> DyeBath:
    return DyeBath(
        paints=tuple(Paint(pot=pot, where=build.use(where), spread=True, reach_mm=reach_mm) for pot, where in paints)
    )


def strip() -> np.ndarray:
    """Wax "a" at 30 mm, wax "b" at 40 mm, paint "c" on the first 20 mm of a cloth of 100 mm, 4 pixels to a mm."""
    masks = np.zeros((3, 80, 400), np.uint8)
    masks[0, :, 120:130], masks[1, :, 160:170], masks[2, :, :80] = 255, 255, 255
    return masks


def test_without_effects_nothing_is_copied(plain_design, build):
    masks = build.soft(3)
    assert not has_effects(plain_design)
    assert effective_planes(plain_design, masks) is masks
    assert tuple(plane.use for plane in design_planes(plain_design)) == design_masks(plain_design)
    assert all(plane.step == 0 for plane in design_planes(plain_design))


def test_each_step_has_planes_of_its_own(build):
    """One paint mask, crept under different wax, is two planes; a waxing as drawn stays shared."""
    planned = build.design(
        build.wax("a"), creeping(build, ("sun", "c")), build.wax("a", crackle=0.5), creeping(build, ("sea", "c"))
    )
    a, c = build.use("a"), build.use("c")
    assert design_planes(planned) == (
        MaskPlane(use=a),
        MaskPlane(use=c, step=2, paint=1),
        MaskPlane(use=a, step=3),
        MaskPlane(use=a, step=3, cracks=True),
        MaskPlane(use=c, step=4, paint=1),
    )
    assert build.program(planned).masks == design_planes(planned)


def test_of_two_pots_one_may_creep(build):
    """The pot that doesn't creep keeps its mask as drawn; the other one takes its own beside it."""
    still = Paint(pot="sea", where=build.use("a"))
    planned = build.design(DyeBath(paints=(still, *creeping(build, ("sun", "c"), reach_mm=5).paints)))
    assert has_effects(planned)
    order = [design_masks(planned).index(build.use(name)) for name in ("a", "c")]
    masks = np.empty((2, 80, 400), np.uint8)
    masks[order] = strip()[[0, 2]]
    planes = dict(zip(design_planes(planned), effective_planes(planned, masks), strict=True))
    assert np.array_equal(planes[MaskPlane(use=still.where)], strip()[0])
    crept = planes[MaskPlane(use=build.use("c"), step=1, paint=2)][40]
    assert crept[:80].all()
    assert crept[85] > 0
    assert not crept[101:].any()


def test_wax_before_the_dyeing_stops_it_and_no_later_one(build):
    steps = (build.wax("a"), creeping(build, ("sun", "c"), reach_mm=30), RemoveWax(), build.wax("b"))
    planned = build.design(*steps, creeping(build, ("sea", "c"), reach_mm=30))
    order = [design_masks(planned).index(build.use(name)) for name in ("a", "c", "b")]
    masks = np.empty((3, 80, 400), np.uint8)
    masks[order] = strip()[[0, 2, 1]]
    planes = dict(zip(design_planes(planned), effective_planes(planned, masks), strict=True))
    first = planes[MaskPlane(use=build.use("c"), step=2, paint=1)][40]
    second = planes[MaskPlane(use=build.use("c"), step=5, paint=1)][40]
    assert first[119] > 0
    assert not first[120:].any()
    assert second[159] > 0
    assert not second[160:].any()


def test_dye_creeps_through_a_broken_line_alone(build):
    planned = build.design(build.wax("a"), creeping(build, ("sun", "c"), reach_mm=30))
    masks = strip()[[0, 2]]
    whole = effective_planes(planned, masks)[1]
    masks[0, 36:44] = 0
    broken = effective_planes(planned, masks)[1]
    assert not whole[:, 130:].any()
    assert broken[40, 132] > 0
    assert broken[:, 131:].max() < 255


@pytest.mark.parametrize(
    "keys", [{"crackle": 0.6}, {"tool": "canting", "edges": 0.5}, {"cool": 0.4}, {"grey": "thin", "crackle": 0.6}]
)
def test_engine_and_reference_agree_on_effects(build, keys):
    planned = build.design(build.dye("sun"), build.wax("a", **keys), creeping(build, ("pink", "b")), build.dye("night"))
    masks = build.soft(2, 90, 120)
    planes = effective_planes(planned, masks)
    program = build.program(planned)
    made, known = render.render(program, planes), render_plain(program, planes)
    assert np.abs(made.astype(int) - known).max() <= 1
    assert sum(history.pixels for history in survey(program, planes)[0]) == 90 * 120
    plain = build.program(as_drawn(planned))
    assert (render.render(plain, masks) != made).any()


def test_as_drawn_keeps_what_seals(build):
    planned = build.design(
        build.wax("a", crackle=0.5, tool="brush", edges=0.2), build.wax("b", cool=0.3), creeping(build, ("sun", "c"))
    )
    drawn = as_drawn(planned)
    assert not has_effects(drawn)
    assert [step.seals for step in drawn.steps[:2]] == [True, False]
    assert drawn.steps[2].paints[0] == Paint(pot="sun", where=build.use("c"))
    assert as_drawn(drawn) == drawn
    assert drawn.steps[0] == replace(planned.steps[0], crackle=0.0, edges=0.0)


def test_a_reduced_design_looks_like_the_whole(build):
    """Effects worked out on half-size masks are those of the full size, halved."""
    planned = build.design(build.wax("a", crackle=0.6), creeping(build, ("pink", "b")))
    full = build.soft(2, 600, 800)
    half = full.reshape(2, 300, 2, 400, 2).mean(axis=(2, 4)).round().astype(np.uint8)
    large = effective_planes(planned, full).reshape(3, 300, 2, 400, 2).mean(axis=(2, 4))
    small = effective_planes(planned, half, height_mm=75.0)
    # at half size a pixel beside a crack joins it: what both planes hold back together is the same
    paint, sound, cracked = (design_planes(planned).index(plane) for plane in design_planes(planned))
    assert np.abs(large[paint] - small[paint]).mean() < 4
    assert np.abs(large[sound] + large[cracked] - small[sound] - small[cracked]).mean() < 4


def test_only_what_a_waxing_does_to_its_cracks_is_about_cracks(build):
    planned = build.design(
        build.wax("a", crackle=0.5),
        *(build.dye((pot, "c")) for pot in ("sun", "sea", "pink")),
        RemoveWax(),
        build.wax("c"),
    )
    program = build.program(planned)
    assert [plane.cracks for plane in program.masks] == [False, False, True]
    assert [program.is_cracks(o) for o in range(len(program.ops))] == [False, True, False, False, False, False, False]


def test_cracks_are_apart_from_sound_wax(build):
    """Only where a crack runs is wax taken as thin; together they hold back what the cracked wax does."""
    planned = build.design(build.wax("a", crackle=0.7), build.dye("night"))
    mask = np.full((1, 200, 300), 255, np.uint8)
    sound, cracked = effective_planes(planned, mask)
    assert set(np.unique(sound)) == {0, 255}
    assert not cracked[sound > 0].any()
    assert 0.05 < (sound == 0).mean() < 0.6
    assert len(np.unique(cracked)) > 20


def test_a_crack_takes_a_paler_tone_of_the_dye(build):
    """A thread that dye creeps into is pale blue, not the grey of half white and half navy."""
    planned = build.design(build.wax("a", crackle=0.7), build.dye("night"))
    program = build.program(planned)
    planes = effective_planes(planned, np.full((1, 200, 300), 255, np.uint8))
    cloth = render.render(program, planes)[-1].astype(float)
    bare, dark = cloth[planes[0] > 0].mean(axis=0), render.render(program, planes * 0)[-1][0, 0].astype(float)
    level = cloth @ [0.2126, 0.7152, 0.0722]
    low, high = (one @ [0.2126, 0.7152, 0.0722] for one in (dark, bare))
    half = cloth[np.abs(level - (low + high) / 2) < 0.15 * (high - low)]
    assert len(half) > 50
    mixed = (bare + dark) / 2
    assert np.median(half[:, 2] - half[:, 0]) > (mixed[2] - mixed[0]) + 10


def test_cracks_leave_a_regions_colour_as_it_is(build):
    """A region is told by its open spots: dye in the cracks beside it doesn't make the ground look paler."""
    half = np.zeros((1, 200, 300), np.uint8)
    half[:, :, :150] = 255
    colours = []
    for crackle in (0.0, 0.8):
        planned = build.design(build.wax("a", crackle=crackle), build.dye("night"))
        made = outcome_of(planned, dyes_on_cloth(planned), effective_planes(planned, half))
        colours.append(made.ks(next(history for history in made.histories if history.reached)))
    assert np.array_equal(*colours)


@pytest.mark.parametrize(
    ("grey", "byte", "crosses"), [("cover", 255, False), ("thin", 153, True), ("thin", 255, False)]
)
def test_dye_creeps_as_far_as_the_rules_let_it(build, grey, byte, crosses):
    """A strip of wax across the way: sealing wax stops the dye, wax thin enough to be dyed lets it pass."""
    masks = np.zeros((2, 60, 120), np.uint8)
    masks[0, :, 40:50], masks[1, :, :30] = byte, 255
    planned = build.design(build.wax(0, grey=grey), creeping(build, ("pink", 1), reach_mm=30.0))
    planes = effective_planes(planned, masks)
    crept = planes[[plane.paint > 0 for plane in build.program(planned).masks]][0]
    assert crept[30, 35] > 0
    assert (crept[30, 52] > 0) == crosses


def test_wax_over_wax_covers_what_either_covers():
    """1 - (1 - a)(1 - b), for all 65,536 pairs of bytes rounded to the nearest."""
    a, b = np.mgrid[0:256, 0:256].astype(np.uint8)
    exact = 1 - (1 - a / 255) * (1 - b / 255)
    assert np.abs((a + less(b, a)) / 255 - exact).max() <= 0.5 / 255 + 1e-9


@pytest.mark.parametrize(("thin", "stops"), [(228, False), (229, False), (230, True), (255, True)])
def test_thin_wax_stops_creeping_dye_only_where_next_to_none_comes_through(build, thin, stops):
    """A tenth of a dyeing is the least that counts as reaching cloth: 230 of 255 leave less than that."""
    planned = build.design(build.wax(0, grey="thin"), build.wax(1), creeping(build, ("pink", 2)))
    masks = np.zeros((3, 2, 8), np.uint8)
    masks[0], masks[1, 0] = thin, 40
    effects = effective_masks._EffectiveMasks(planned, masks, None)
    for number, step in enumerate(planned.steps[:2], start=1):
        effects.wax(number, step)
    assert np.array_equal(effects.barrier(), np.full((2, 8), 255) if stops else np.repeat([[40], [0]], 8, axis=1))
