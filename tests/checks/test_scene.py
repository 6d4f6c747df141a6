"""The cloth as the checks see it, in numbers worked by hand; and which masks are taken to be out of place."""

from __future__ import annotations

import numpy as np
import pytest

from batiksim.checks.scene.adjacency import borders
from batiksim.checks.scene.outlier_masks import Misfit, _at_odds, _sides, corrected, drawn_as
from batiksim.checks.scene.scene import Scene, State, colour_words, in_cm
from batiksim.checks.shapes.edge_registration import Link, Move
from batiksim.cloth.program import DISCHARGE, DYE
from batiksim.cloth.rules import Cover
from batiksim.values import Cloth, Discharge, MaskUse, Paint, Pot, RemoveWax
from tests.checks.conftest import POTS


@pytest.fixture
def scene(draw):
    """A scene of a cloth of 120 by 80 mm at 5 pixels to the millimetre."""

    def built(*steps, **keys):
        case = draw.case(*steps, **keys)
        return Scene(design=case.design, dyes=case.dyes, masks=case.masks)

    return built


@pytest.mark.parametrize(("mm", "words"), [(4, "0.4 cm"), (99.4, "9.9 cm"), (99.5, "10 cm"), (420, "42 cm")])
def test_lengths_in_words(mm, words):
    assert str(in_cm(mm)) == words


def test_scales(scene, draw):
    """Five pixels to the mm: .3 mm are 1.5 pixels, so a working pixel is one; 600 wide, a rough one too."""
    made = scene(("wax", draw.box(0, 0, 60, 80)))
    assert (made.px_per_mm, made.work_factor, made.work_px_per_mm, made.rough_factor) == (5, 1, 5, 1)
    wide = scene(("wax", draw.box(0, 0, 60, 80)), width_mm=50)  # 12 pixels to the mm: .3 mm are 3.6 pixels
    assert (wide.px_per_mm, wide.work_factor, wide.work_px_per_mm) == (12, 3, 4)
    assert wide.work[0].shape == (134, 200)


def test_rough_masks_are_at_most_twice_as_wide_as_asked(draw):
    case = draw.case(("wax", draw.box(0, 0, 60, 80)), ("dye", "sea", None))
    masks = np.repeat(np.repeat(case.masks, 2, axis=1), 2, axis=2)
    made = Scene(design=case.design, dyes=case.dyes, masks=masks)
    assert made.rough_factor == 2  # 1200 // 480
    assert made.rough.shape == (1, 400, 600)
    assert [made.rough_reached(history).sum() * 4 for history in made.histories] == [h.pixels for h in made.histories]


def test_wax_closes_and_lets_go(scene, draw):
    half, part = draw.box(0, 0, 60, 80), draw.box(30, 0, 90, 80)
    thin = ("wax", part, {"grey": "thin"})
    made = scene(("wax", half), ("dye", "sea", part), thin, ("dye", "sun", part), RemoveWax(), ("dye", "sun", part))
    first, second = made.uses
    assert (made.step_of(first), made.step_of(second)) == (1, 2)
    shares = [[round(float(made.brushed(o).mean()), 3) for o in made.ops_of(step)] for step in (2, 4, 6)]
    assert shares == [[0.25], [0], [0.5]]  # half under wax; kept off by thin wax of full mark; open again


def test_operations_know_their_steps_and_pots(scene, draw):
    box = draw.box(0, 0, 60, 80)
    made = scene(("wax", box), ("dye", "sea", box, "sun", None), ("dye", "coral", None))
    dyeings = [o for o in range(len(made.program.ops)) if made.op_pot(o) in ("sea", "sun", "coral")]
    assert [(made.op_step(o), made.op_pot(o)) for o in dyeings][-3:] == [(2, "sea"), (2, "sun"), (3, "coral")]
    assert [number for number, _ in made.dye_baths()] == [2, 3]


def test_colours_before_and_after(scene):
    made = scene(("dye", "sun", None), ("dye", "sea", None))
    (history,) = made.histories
    first, second = history.reached
    assert made.share(history) == 1
    assert made.lab(history, before=first) == pytest.approx(made.bare_lab)
    assert made.outcome.ks(history) == pytest.approx(made.pot_ks("sun") + made.pot_ks("sea"))
    assert made.outcome.ks(history, before=second) == pytest.approx(made.pot_ks("sun"))
    assert not made.outcome.ks(history, before=first).any()
    assert made.pot_ks("sun", 0.5) == pytest.approx(made.pot_ks("sun") / 2, rel=0.01)


@pytest.mark.parametrize(
    ("at", "kept"),
    [
        ((10.04, 20.06, 3.14), (10.0, 20.1, 3.1)),
        ((-5, -1, 0), (0, 0, 0)),
        ((121, 81, 2), (120, 80, 2)),
        ((120, 80, 2), (120, 80, 2)),
    ],
)
def test_places_stay_on_the_cloth(scene, at, kept):
    place = scene(("dye", "sun", None)).at(*at)
    assert (place.x_mm, place.y_mm, place.radius_mm) == kept


def test_a_place_is_the_deepest_spot_with_its_ring(scene, draw):
    """The middle of a box of 20 by 20 mm: 100 pixels, so 49 deep."""
    made = scene(("dye", "sun", draw.box(40, 20, 60, 40)))
    place = made.place(draw.box(40, 20, 60, 40) > 0, factor=1)
    assert (place.x_mm, place.y_mm) == (pytest.approx(50, abs=0.2), pytest.approx(30, abs=0.2))
    assert place.radius_mm == 10
    assert made.place(draw.blank() > 0, factor=1) is None
    smaller = made.place(draw.box(40, 20, 60, 40)[::5, ::5] > 0, factor=5)
    assert (smaller.x_mm, smaller.radius_mm) == (pytest.approx(50, abs=1), 10)
    history = next(one for one in made.histories if one.reached)
    assert made.region_place(history).radius_mm == 15  # half as much again
    speck = scene(("dye", "sun", draw.box(40, 20, 42, 22)))
    assert speck.region_place(next(one for one in speck.histories if one.reached)).radius_mm == 3.6  # .03 of 120 mm


# Borders


def test_borders_by_their_length(scene, draw):
    """Three strips side by side, 80 mm each edge; the outer two do not meet."""
    made = scene(
        ("dye", "sun", draw.box(0, 0, 40, 80), "coral", draw.box(40, 0, 80, 80), "navy", draw.box(80, 0, 120, 80))
    )
    pots = {one.reached: "+".join(made.op_pot(o) for o in one.reached) for one in made.histories}
    found = borders(made, made.histories, least_mm=10)
    pairs = sorted(tuple(sorted(pots[one.reached] for one in border.pair)) for border in found)
    assert pairs == [("coral", "navy"), ("coral", "sun")]
    assert [border.mm for border in found] == [pytest.approx(80, rel=0.02)] * 2
    places = {tuple(sorted(pots[one.reached] for one in border.pair)): border.place for border in found}
    assert places["coral", "sun"].x_mm == pytest.approx(40, abs=0.5)
    assert places["coral", "navy"].x_mm == pytest.approx(80, abs=0.5)
    assert borders(made, made.histories, least_mm=83) == []
    only = [one for one in made.histories if pots[one.reached] != "coral"]
    assert borders(made, only, least_mm=10) == []


@pytest.mark.parametrize(("gap_mm", "meet"), [(0, True), (0.2, True), (0.4, False), (1.0, False)])
def test_a_bare_line_of_two_pixels_keeps_regions_apart(scene, draw, gap_mm, meet):
    made = scene(("dye", "sun", draw.box(0, 0, 60, 80), "coral", draw.box(60 + gap_mm, 0, 120, 80)))
    dyed = [border for border in borders(made, made.histories, least_mm=10) if all(one.reached for one in border.pair)]
    assert bool(dyed) is meet


def test_a_level_edge_is_as_long_as_an_upright_one(scene, draw):
    made = scene(("dye", "sun", draw.box(0, 0, 120, 40), "coral", draw.box(0, 40, 120, 80)))
    (border,) = borders(made, made.histories, least_mm=10)
    assert border.mm == pytest.approx(120, rel=0.02)
    assert border.place.y_mm == pytest.approx(40, abs=0.5)


# Which masks are out of place


def link(first, second, *, off, clear=9.0):
    return Link(first=first, second=second, peak=0.2, clear=clear, move=Move(right_mm=3.0 if off else 0.0), off=off)


def test_masks_that_agree_make_a_side():
    assert _sides(4, [link(0, 1, off=False), link(2, 3, off=False), link(1, 2, off=True)]) == [[0, 1], [2, 3]]
    assert _sides(3, [link(0, 1, off=False), link(1, 2, off=False)]) == [[0, 1, 2]]
    assert _sides(3, []) == [[0], [1], [2]]


def test_of_links_that_contradict_each_other_the_plainer_wins():
    apart, first, second = link(0, 2, off=True, clear=8), link(0, 1, off=False, clear=9), link(1, 2, off=False, clear=7)
    assert _sides(3, [second, apart, first]) == [[0, 1], [2]]
    plain = link(1, 2, off=False, clear=8.5)
    assert _sides(3, [plain, apart, first]) == [[0, 1, 2]]


def test_sides_that_disagree_straight_or_by_way_of_others():
    sides = [[0], [1], [2], [3, 4]]
    found = [link(0, 1, off=True), link(1, 2, off=True), link(3, 4, off=False)]
    assert _at_odds(sides, found) == [[[0], [1], [2]]]
    assert _at_odds(sides, [link(0, 1, off=False)]) == []
    assert sorted(_at_odds(sides, [link(0, 3, off=True), link(1, 2, off=True)])) == [[[0], [3, 4]], [[1], [2]]]


@pytest.mark.parametrize(
    ("right", "down", "turn", "at"),
    [(0, 0, 0, (10, 30)), (2, 0, 0, (10, 38)), (0, -1.5, 0, (4, 30)), (0, 0, 90, (29, 39)), (0, 0, -90, (20, 20))],
)
def test_a_mask_is_turned_clockwise_then_moved(right, down, turn, at):
    """Four pixels to the mm; one of 50 by 60 marked at row 10, column 30, with the middle at 24.5, 29.5.

    It lies 14.5 above and .5 right of it: a quarter clockwise brings it .5 below and 14.5 right, to 25, 44.
    """
    mask = np.zeros((50, 60), np.uint8)
    mask[10, 30] = 255
    misfit = Misfit(use=MaskUse(picture="a.png"), move=Move(right_mm=right, down_mm=down, turn_deg=turn))
    moved = corrected(mask, misfit, px_per_mm=4)
    assert moved.shape == mask.shape
    wanted = {90: (25, 44), -90: (24, 15)}.get(turn, at)
    assert np.argwhere(moved > 127).tolist() == [list(wanted)]


def test_a_corrected_mask_is_drawn_as_it_was_read():
    mask = np.array([[0, 200]], np.uint8)
    assert drawn_as(mask, "light").tolist() == [[0, 200]]
    assert drawn_as(mask, "dark").tolist() == [[255, 55]]
    assert drawn_as(mask, None).tolist() == [[255, 55]]
    assert drawn_as(mask, "alpha").tolist() == [[[0, 0], [0, 200]]]


def test_a_scene_without_masks(scene):
    made = scene(("dye", "sun", None), width_mm=120)
    assert made.rough.shape == (0, 400, 600)
    assert made.rough_factor == 1
    assert made.design.cloth == Cloth(width_mm=120)


def test_each_use_of_a_dye_alone(draw):
    """The checks of colour read a region's colours as the report of the finished cloth does."""
    case = draw.case(("dye", "sun", None), ("dye", "sea", draw.box(0, 0, 60, 80)))
    scene = Scene(design=case.design, dyes=case.dyes, masks=case.masks)
    both = max(scene.histories, key=lambda history: len(history.reached))
    np.testing.assert_allclose(scene.outcome.ks(both), scene.pot_ks("sun") + scene.pot_ks("sea"), rtol=1e-6)
    assert isinstance(case.design.steps[0].paints[0], Paint)


# The scene in small: what each of its answers is made of


@pytest.fixture
def small(draw):
    """A scene of 40 by 30 pixels, a millimetre each, of the draw fixture's dyes; or of other masks."""

    def built(*steps, width_mm=40.0, pots=POTS, shape=(30, 40)):
        parts = [part for step in steps if isinstance(step, tuple) for part in step]
        masks = any(isinstance(part, np.ndarray) for part in parts)
        case = draw.case(*steps, width_mm=width_mm, pots=pots)
        return Scene(design=case.design, dyes=case.dyes, masks=case.masks if masks else np.zeros((0, *shape), np.uint8))

    return built


def left(part=255):
    """A mask of the left half."""
    mask = np.zeros((30, 40), np.uint8)
    mask[:, :20] = part
    return mask


def test_wax_of_a_half_mark_leaves_a_half_open():
    cover = Cover(opened=np.array([0.0, 0.498, 0.6, 1.0]), take=np.ones(4))
    state = State.of(cover)
    assert state.opened.tolist() == [0, 127, 153, 255]
    assert state.sealed.tolist() == [True, True, False, False]


def test_the_state_before_each_step_and_after_the_last(small):
    """A mark of 100 of 255 leaves 155 of it open; on wax of the same mark 155 * 155 / 255, 94."""
    made = small(("wax", left(100)), ("dye", "sea", None), ("wax", left(100)), RemoveWax())
    assert [int(made.state(step).opened[0, 0]) for step in (1, 2, 3, 4, 5)] == [255, 155, 155, 94, 255]
    assert [bool(made.state(step).sealed[0, 0]) for step in (1, 2, 3, 4, 5)] == [False, False, False, True, False]
    assert int(small(("wax", left(200)), RemoveWax()).state(2).opened[0, 0]) == 55
    assert all((made.state(step).opened[:, 20:] == 255).all() for step in (1, 2, 3, 4, 5))


def test_a_mask_and_its_place_in_the_steps(small):
    first, second = left(), left(200)
    made = small(("wax", first), ("dye", "sea", second), ("wax", first))
    assert [int(made.mask(use)[0, 0]) for use in made.uses] == [255, 200]
    assert [made.step_of(use) for use in made.uses] == [1, 2]


def test_operations_by_their_kind(small):
    made = small(("wax", left()), ("dye", "sea", None, "sun", left(200)), Discharge(), ("dye", "sun", None))
    assert [made.op_step(o) for o in made.ops(DYE)] == [2, 2, 4]
    assert [made.op_step(o) for o in made.ops(DYE, DISCHARGE)] == [2, 2, 3, 4]
    assert made.ops() == []
    assert [len(made.ops_of(step)) for step in (2, 3, 4)] == [2, 1, 1]


def test_layers_follow_a_history(small):
    made = small(("dye", "sun", None), Discharge(strength=0.5), ("dye", "sea", left()))
    both = next(one for one in made.histories if len(one.reached) == 3)
    first, bleach, second = both.reached
    layers = made.layers(both)
    assert layers.dyeings == (first, second)
    assert layers.lab[first] == pytest.approx(made.bare_lab)
    assert layers.after[0] == pytest.approx(made.lab_of_ks(made.pot_ks("sun")))
    assert layers.after[0] == pytest.approx(layers.lab[bleach])
    assert layers.after[1] == pytest.approx(made.lab(both))
    assert layers.alone == pytest.approx(np.stack([made.lab_of_ks(made.pot_ks(pot)) for pot in ("sun", "sea")]))
    assert made.layers(both) is layers


def test_cloth_that_nothing_reached_has_no_layers(small):
    made = small(("dye", "sun", left()))
    bare = next(one for one in made.histories if not one.reached)
    assert made.layers(bare).alone.shape == (0, 3)
    assert made.lab(bare) == pytest.approx(made.bare_lab)
    assert made.finished.shape == (2, 3)


def test_what_a_fibre_refuses(small):
    """It holds up to 2.5 full strengths L, 3.5 - exp(2.5 - L) beyond.

    .8 and then 2.5 are 3.3: 3.5 - exp(-.8) are 3.051 held, so 2.251 of 2.5 are taken. 3 on bare fibre bleed, but find
    all the room there is: 3.5 - exp(-.5) are 2.893 held.
    """
    pots = (Pot(name="weak", parts={"sun": 1}, strength=0.8), Pot(name="full", parts={"sea": 1}, strength=2.5))
    (history,) = (made := small(("dye", "weak", None), ("dye", "full", None), pots=pots)).histories
    assert made.layers(history).refused == pytest.approx([0, 1 - (3.5 - np.exp(-0.8) - 0.8) / 2.5])
    strong = (Pot(name="strong", parts={"sea": 1}, strength=3),)
    (history,) = (made := small(("dye", "strong", None), pots=strong)).histories
    assert made.layers(history).refused.tolist() == [0]
    held = (3.5 - np.exp(-0.5)) / 2.5  # of a pot that is held in full
    full = made.dyes.taken_ks([Pot(name="full", parts={"sea": 1}, strength=2.5)])
    assert made.layers(history).alone[0] == pytest.approx(made.lab_of_ks(held * full))


@pytest.mark.parametrize(
    ("shape", "width_mm", "work", "rough", "rough_shape"),
    [
        ((30, 40), 40, 1, 1, (30, 40)),
        ((30, 960), 960, 1, 2, (15, 480)),
        ((31, 961), 961, 1, 2, (16, 481)),
        ((30, 959), 959, 1, 1, (30, 959)),
        ((30, 600), 48, 3, 1, (30, 600)),  # 12.5 pixels to the mm: .3 mm are 3.75
        ((30, 600), 44, 4, 1, (30, 600)),  # 13.6: 4.1
    ],
)
def test_whole_numbers_of_pixels(small, shape, width_mm, work, rough, rough_shape):
    made = small(("dye", "sun", None), width_mm=width_mm, shape=shape)
    assert (made.work_factor, made.rough_factor, made.rough.shape) == (work, rough, (0, *rough_shape))


def test_a_spot_of_one_pixel(small):
    """Of a cloth of 40 mm; a pixel of five of its pixels is 5 mm wide."""
    made = small(("dye", "sun", None))
    where = np.zeros((6, 8), np.bool_)
    where[2, 3] = True
    place = made.place(where, factor=5)
    assert (place.x_mm, place.y_mm, place.radius_mm) == (17.5, 12.5, 5)
    assert made.at(1.26, 2.34).radius_mm == 0
    assert (made.at(1.26, 2.34).x_mm, made.at(1.26, 2.34).y_mm) == (1.3, 2.3)


def test_colours_in_words():
    assert str(colour_words((100, 0, 0))) == "white"
    assert str(colour_words((0, 0, 0))) == "black"
