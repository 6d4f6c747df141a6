"""Masks moved on purpose: the one that is off is named and measured, and nothing is said where all is well."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from scipy import ndimage

from batiksim.checks import Scene, drawn_as, misfits
from batiksim.checks.scene import outlier_masks
from batiksim.checks.scene.outlier_masks import corrected
from batiksim.checks.shapes.edge_registration import Link, MisfitSettings, Move
from batiksim.cloth.program import design_masks
from batiksim.values import MaskUse, Wax

# The masks of the samples that share edges with another, the last two only few of their many.
MASKS = [
    ("garden_poppies/remedy.toml", "outlines.png"),
    ("garden_poppies/remedy.toml", "paint-leaves.png"),
    ("garden_poppies/remedy.toml", "keep-leaves.png"),
    ("garden_poppies/remedy.toml", "paint-everywhere.png"),
    ("estuary_geese", "1-white-lines.png"),
    ("estuary_geese", "paint-apricot.png"),
    ("estuary_geese", "paint-lagoon.png"),
    ("estuary_geese", "3-apricot-and-green.png"),
    ("estuary_geese", "4-teal-and-dusk.png"),
]
# turned clockwise, then moved right and down: degrees, mm
MOVES = [(1, 0, 0), (2, 0, 0), (-3, 0, 0), (0, 5, 0), (0, 4.2, 4.2), (0, -3, 2), (1, 3, -2)]


def moved(mask, move, px_per_mm):
    """A mask turned clockwise by degrees, then moved right and down by mm: another way than the tool's own."""
    turn, right, down = move
    out = ndimage.rotate(mask, -turn, reshape=False, order=1) if turn else mask
    return ndimage.shift(out, (down * px_per_mm, right * px_per_mm), order=1) if right or down else out


def spoilt(case, picture, move):
    return case.with_mask(picture, moved(case.mask(picture), move, case.px_per_mm))


def parts(case, *pictures):
    """A cloth of some of a sample's masks, each waxed in turn."""
    return case.with_steps(*(Wax(mask=use) for use in design_masks(case.design) if use.picture in pictures))


@pytest.mark.full
@pytest.mark.parametrize(
    ("folder", "picture", "move"),
    [(*mask, MOVES[(number + turn) % len(MOVES)]) for number, mask in enumerate(MASKS) for turn in (0, 3)],
)
def test_the_moved_mask_is_named_and_measured(sample, folder, picture, move):
    case = sample(folder)
    off = spoilt(case, picture, move)
    (found,) = misfits(off.scene)
    assert (found.use.picture, found.instead) == (picture, ())
    back = corrected(off.mask(picture), found, px_per_mm=case.px_per_mm)
    rows, cols = (size // 8 for size in back.shape)
    inner = np.s_[rows:-rows, cols:-cols]
    as_drawn = case.mask(picture)[inner].astype(int)
    left = np.mean(np.abs(back[inner] - as_drawn)) / np.mean(np.abs(off.mask(picture)[inner] - as_drawn))
    assert left < 0.75
    if move[0] == 0:
        assert (found.move.right_mm, found.move.down_mm) == (
            pytest.approx(-move[1], abs=0.7),
            pytest.approx(-move[2], abs=0.7),
        )
    assert found.move.turn_deg == pytest.approx(-move[0], abs=0.15)


@pytest.mark.full
@pytest.mark.parametrize("folder", ["garden_poppies", "garden_poppies/remedy.toml", "estuary_geese", "hedge_parsley"])
def test_the_samples_fit(sample, folder):
    assert sample(folder).check("fit") == ()


@pytest.mark.full
@pytest.mark.parametrize("move", [(2, 0, 0), (0, 4, -2.5)])
@pytest.mark.parametrize("picture", ["paint-leaves.png", "keep-leaves.png"])
def test_of_two_masks_none_is_blamed(sample, picture, move):
    case = parts(sample("garden_poppies/remedy.toml"), "paint-leaves.png", "keep-leaves.png")
    assert misfits(case.scene) == []
    off = spoilt(case, picture, move)
    (found,) = misfits(off.scene)
    (other,) = found.instead
    assert {found.use.picture, other.use.picture} == {"paint-leaves.png", "keep-leaves.png"}
    for way in (found, other):  # either mends it
        mended = off.with_mask(way.use.picture, corrected(off.mask(way.use.picture), way, px_per_mm=off.px_per_mm))
        assert misfits(mended.scene) == []
    (told,) = off.check("fit")
    assert told.message.key == "checks.fit.one_of_two"
    assert "“paint-leaves” (step 1)" in str(told.remedy)
    assert "“keep-leaves” (step 2)" in str(told.remedy)


@pytest.mark.full
def test_the_fewer_are_off_though_they_agree(sample):
    case = sample("garden_poppies/remedy.toml")
    off = spoilt(spoilt(case, "paint-leaves.png", (0, 5, 0)), "keep-leaves.png", (0, 0, -4))
    found = misfits(off.scene)
    assert [one.use.picture for one in found] == ["paint-leaves.png", "keep-leaves.png"]
    assert not any(one.instead for one in found)
    assert [round(one.move.right_mm) for one in found] == [-5, 0]
    assert [round(one.move.down_mm) for one in found] == [0, 4]


def test_two_against_two(sample):
    case = parts(sample("garden_poppies/remedy.toml"), "outlines.png", "paint-leaves.png", "keep-leaves.png",
                 "paint-everywhere.png")  # fmt: skip
    pair = ("paint-leaves.png", "keep-leaves.png")
    off = case
    for picture in pair:
        off = spoilt(off, picture, (0, 4, 0))
    found = misfits(off.scene)
    assert tuple(one.use.picture for one in found) == pair
    for one in found:
        assert {way.use.picture for way in one.instead} == {"outlines.png", "paint-everywhere.png"}
        assert [round(way.move.right_mm) for way in one.instead] == [4, 4]


def test_one_picture_used_twice_has_one_vote(sample):
    case = parts(sample("garden_poppies/remedy.toml"), "paint-leaves.png", "keep-leaves.png")
    twice = Wax(mask=MaskUse(picture="keep-leaves.png", clean=True))
    design = replace(case.design, steps=(*case.design.steps, twice))
    off = spoilt(case, "keep-leaves.png", (0, 5, 0))
    found = misfits(Scene(design=design, dyes=case.dyes, masks=np.stack([*off.masks, off.masks[1]])))
    assert found
    assert all(one.instead for one in found)


@pytest.mark.full
def test_what_is_told(sample):
    case = sample("garden_poppies/remedy.toml")
    (told,) = spoilt(case, "keep-leaves.png", (1, 3, -2)).check("fit")
    assert (told.code, told.step, told.severity) == ("fit", 3, "serious")
    assert str(told.message).startswith("The mask “keep-leaves” (step 3) doesn't line up with the others: it is ")
    assert " and turned 1.0° clockwise." in str(told.message)
    assert str(told.remedy).startswith("Turn it 1.0° anticlockwise about the middle of the cloth, then move it ")
    assert "--" not in f"{told.message} {told.remedy}"


@pytest.mark.parametrize("width", [2.4, 3.0, 4.0])
def test_a_fill_that_ends_beneath_a_brush_s_line_fits_and_its_shift_is_measured_to_the_line_s_middle(draw, width):
    """The two sides of such a line lie farther apart than what counts as a shift."""
    spots = [(25, 25, 14), (52, 30, 12), (40, 55, 9), (80, 22, 13), (95, 52, 15), (68, 60, 10)]
    lines = np.maximum.reduce([draw.ring(*spot, width) for spot in spots])
    fills = np.maximum.reduce([draw.disc(*spot) for spot in spots])

    def laid_over(fills):
        case = draw.case(("wax", lines), ("dye", "leaf", fills), ("dye", "ink", None))
        return misfits(case.scene)

    assert laid_over(fills) == []
    (found,) = laid_over(moved(fills, (0, 4, 0), draw.px_per_mm))
    assert abs(found.move.right_mm) == pytest.approx(4, abs=0.4)
    assert found.move.down_mm == pytest.approx(0, abs=0.4)


def test_masks_with_nothing_in_common_fit(draw):
    random = np.random.default_rng(3)
    dots = np.maximum.reduce([draw.disc(*random.uniform((5, 5), (115, 75)), 2) for _ in range(40)])
    bars = np.maximum.reduce([draw.box(x, 5, x + 3, 75) for x in range(8, 115, 13)])
    assert draw.case(("wax", dots), ("dye", "sun", None), ("wax", bars), ("dye", "sea", None)).check("fit") == ()


@pytest.mark.full
def test_masks_of_other_cloths_fit(sample):
    """Masks of one cloth, upside down or mirrored, among those of another: nothing in common, nothing said."""
    geese, poppies = sample("estuary_geese"), sample("garden_poppies/remedy.toml")
    strangers = parts(geese, "1-white-lines.png", "2-straw.png", "3-apricot-and-green.png", "paint-apricot.png")
    flowers = [one[:1500, :2100] for one in poppies.masks]
    for turn in (np.s_[::-1], np.s_[:, ::-1], np.s_[::-1, ::-1]):
        for one in flowers:
            mixed = np.pad(one[turn], ((0, 0), (0, 300)))
            masks = strangers.masks.copy()
            masks[1] = mixed
            assert misfits(replace(strangers, masks=masks).scene) == []


@pytest.mark.parametrize("marks", ["dark", "light", "alpha", None])
def test_a_corrected_mask_reads_as_before(draw, marks):
    from batiksim.cloth.masks import to_mask

    mask = draw.disc(40, 40, 20)
    picture = drawn_as(mask, marks)
    grey, alpha = (picture, None) if picture.ndim == 2 else (picture[..., 0], picture[..., 1])
    np.testing.assert_array_equal(to_mask(grey, alpha, marks=marks).mask, mask)


# Who outvotes whom, with links made up


def link(first, second, *, right=3.0, clear=9.0, off=True, turn=0.0):
    return Link(first=first, second=second, peak=0.2, clear=clear, move=Move(right_mm=right, turn_deg=turn), off=off)


@pytest.fixture
def judged(monkeypatch):
    """Masks a, b, c... used first at steps 1, 2, 3...; each is moved as the first link says that it is judged by."""
    used = []

    def move(sheets, mask, near, placed, settings):
        used.append((mask, sorted(placed)))
        return near[0].move_of(mask)

    monkeypatch.setattr(outlier_masks, "_move", move)

    def shifted(edges, move, px_per_mm):
        assert px_per_mm == 2  # at half size a pixel of .25 mm is half a mm
        return edges

    monkeypatch.setattr(outlier_masks, "_shifted", shifted)

    def judge(pictures, sides, links, steps=None):
        used.clear()
        uses = [MaskUse(picture=f"{name}.png", clean=number % 2 == 1) for number, name in enumerate(pictures)]
        steps = steps or range(1, len(uses) + 1)
        scene = SimpleNamespace(uses=uses, step_of=lambda use: steps[uses.index(use)])
        sheets = SimpleNamespace(lines=list(pictures), px_mm=0.25)
        return outlier_masks._judged(scene, sheets, links, sides, MisfitSettings())

    judge.used = used
    return judge


def told(found):
    return [
        (
            one.use.called,
            one.move.right_mm,
            [use.called for use in one.against],
            [way.use.called for way in one.instead],
        )
        for one in found
    ]


def test_the_smaller_side_is_moved_onto_the_larger(judged):
    found = judged("abc", [[0, 1], [2]], [link(0, 2), link(1, 2, right=3.0)])
    assert told(found) == [("c", -3.0, ["a", "b"], [])]
    assert judged.used == [(2, [0, 1])]
    found = judged("abc", [[0], [1, 2]], [link(0, 2)])
    assert told(found) == [("a", 3.0, ["c"], [])]


def test_of_sides_alike_the_first_drawn_stays_and_either_would_do(judged):
    found = judged("ab", [[0], [1]], [link(0, 1)])
    assert told(found) == [("b", -3.0, ["a"], ["a"])]
    (way,) = found[0].instead
    assert (way.move.right_mm, way.against) == (3.0, (found[0].use,))
    later = judged("ab", [[0], [1]], [link(0, 1)], steps=(5, 2))
    assert told(later) == [("a", 3.0, ["b"], ["b"])]


def test_one_picture_counts_once(judged):
    """Two uses of one picture against one of another are alike."""
    found = judged("aab", [[0, 1], [2]], [link(0, 2), link(1, 2)])
    assert told(found) == [("b", -3.0, ["a", "a"], ["a", "a"])]
    assert told(judged("aabb", [[0, 1], [2, 3]], [link(0, 2)]))[0][0] == "b"


def test_the_plainest_is_placed_first_and_then_counts_too(judged):
    links = [link(0, 1, clear=5), link(0, 2, clear=8), link(1, 2, clear=9)]
    found = judged("abc", [[0], [1], [2]], links)
    assert judged.used == [(2, [0]), (1, [0, 2])]
    assert [one.use.called for one in found] == ["b", "c"]  # told by their steps
    judged("abc", [[0], [1], [2]], [link(0, 1, clear=5), link(0, 2, clear=5)])
    assert judged.used == [(1, [0]), (2, [0, 1])]  # of links alike the first mask


def test_a_mask_that_nothing_in_place_is_linked_to_is_left(judged):
    found = judged("abcd", [[0, 1], [2], [3]], [link(0, 2)])
    assert told(found) == [("c", -3.0, ["a"], [])]


def test_the_other_of_a_link():
    assert outlier_masks._other(link(3, 5), 3) == 5
    assert outlier_masks._other(link(3, 5), 5) == 3


@pytest.mark.parametrize(("turn", "turns"), [(0.0, [0.0]), (2.0, [1.6, 1.7, 1.8, 1.9, 2.0, 2.1, 2.2, 2.3, 2.4])])
def test_the_turn_of_the_plainest_link_is_found_again_on_all(monkeypatch, turn, turns):
    """A link that says it is off counts before a plainer one that doesn't."""
    asked = []
    monkeypatch.setattr(outlier_masks, "lay", lambda *given: asked.append(given) or "move")
    near = [link(2, 0, off=False, clear=20), link(2, 1, turn=turn, clear=6), link(2, 3, turn=1.0, clear=5)]
    placed = {0: "first", 1: "second", 3: "third"}
    assert outlier_masks._move("sheets", 2, near, placed, "settings") == "move"
    ((sheets, mask, others, tried, settings),) = asked
    assert (sheets, mask, others, settings) == ("sheets", 2, ["first", "second", "third"], "settings")
    assert tried == pytest.approx(turns)


def test_edges_are_moved_by_their_own_pixels():
    """Of half a mm: 2 mm to the right and 1 down are 4 and 2 pixels."""
    edges = np.zeros((20, 30), np.float32)
    edges[5, 6] = 1
    moved = outlier_masks._shifted(edges, Move(right_mm=2, down_mm=1), 2.0)
    assert np.argwhere(moved > 0.5).tolist() == [[7, 10]]


@pytest.mark.parametrize(
    ("shape", "looked_at"), [((2, 96, 96), True), ((1, 96, 96), False), ((2, 95, 300), False), ((2, 300, 95), False)]
)
def test_masks_too_few_or_too_small_are_not_laid_over_one_another(monkeypatch, shape, looked_at):
    seen = []
    monkeypatch.setattr(outlier_masks, "laid", lambda masks, px_per_mm: seen.append(px_per_mm))
    monkeypatch.setattr(outlier_masks, "links", lambda sheets, settings: [link(0, 1, off=False)])
    masks = np.zeros(shape, np.uint8)
    scene = SimpleNamespace(masks=masks, px_per_mm=7.0, once=lambda what, make: make())
    assert outlier_masks.misfits(scene, MisfitSettings()) == []
    assert seen == [7.0] * looked_at
