"""How masks are laid over one another: moves, edges and links by hand-worked numbers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from batiksim.checks.shapes import edge_registration as er
from batiksim.checks.shapes.edge_registration import (
    Link,
    MisfitSettings,
    Move,
    block_mean,
    edge_density,
    laid,
    lay,
    links,
    ready,
)

SETTINGS = MisfitSettings()


def link(first=0, second=1, *, right=0.0, down=0.0, turn=0.0, peak=0.2, clear=9.0, off=True):
    move = Move(turn_deg=turn, right_mm=right, down_mm=down)
    return Link(first=first, second=second, peak=peak, clear=clear, move=move, off=off)


@pytest.mark.parametrize(
    ("move", "back"),
    [
        (Move(right_mm=3, down_mm=-4), Move(right_mm=-3, down_mm=4)),
        # clockwise by a quarter: right becomes down. 3 right, 4 down undone by a quarter back: right -4, down 3
        (Move(turn_deg=90, right_mm=3, down_mm=4), Move(turn_deg=-90, right_mm=-4, down_mm=3)),
        (Move(turn_deg=180, right_mm=3, down_mm=4), Move(turn_deg=-180, right_mm=3, down_mm=4)),
    ],
)
def test_a_move_back(move, back):
    made = move.back
    assert (made.turn_deg, made.right_mm, made.down_mm) == pytest.approx((back.turn_deg, back.right_mm, back.down_mm))
    twice = made.back
    assert (twice.turn_deg, twice.right_mm, twice.down_mm) == pytest.approx(
        (move.turn_deg, move.right_mm, move.down_mm)
    )


def test_a_link_moves_either():
    one = link(3, 5, right=2, down=1)
    assert (one.move_of(3).right_mm, one.move_of(3).down_mm) == (2, 1)
    assert (one.move_of(5).right_mm, one.move_of(5).down_mm) == (-2, -1)


@pytest.mark.parametrize(
    ("other", "same"),
    [
        (Move(right_mm=3, down_mm=-2), True),
        (Move(right_mm=4.5, down_mm=-2), True),  # 1.5 mm off
        (Move(right_mm=4.51, down_mm=-2), False),
        (Move(right_mm=3, down_mm=-3.5), True),
        (Move(right_mm=3, down_mm=-0.49), False),
        (Move(right_mm=3.9, down_mm=-0.8), True),  # 0.9 and 1.2: 1.5 mm
        (Move(right_mm=4, down_mm=-0.8), False),
        (Move(right_mm=-3, down_mm=2), False),
        (Move(right_mm=3, down_mm=-2, turn_deg=0.5), True),
        (Move(right_mm=3, down_mm=-2, turn_deg=-0.5), True),
        (Move(right_mm=3, down_mm=-2, turn_deg=0.51), False),
    ],
)
def test_moves_alike(other, same):
    assert er._near_to(Move(right_mm=3, down_mm=-2), other) is same
    assert er._near_to(other, Move(right_mm=3, down_mm=-2)) is same


def test_a_link_is_seconded_by_another_for_the_same_move_of_the_shared_mask():
    one = link(0, 1, right=3)
    assert er._seconds(one, link(0, 2, right=3))
    assert er._seconds(one, link(1, 2, right=-3))  # mask 1 goes left in both
    assert not er._seconds(one, link(1, 2, right=3))
    assert not er._seconds(one, link(2, 3, right=3))
    assert not er._seconds(one, one)


@pytest.mark.parametrize(
    ("peak", "clear", "turn", "common"),
    [
        (0.08, 4.3, 0, True),
        (0.079, 4.3, 0, False),
        (0.08, 4.29, 0, False),
        (0.08, 4.3, 0.5, False),  # turned, it must stand out more
        (0.045, 6.2, 0.5, True),
        (0.044, 6.2, 0, False),
        (0.045, 6.19, 0, False),
    ],
)
def test_what_counts_as_edges_in_common(peak, clear, turn, common):
    assert er._common(link(peak=peak, clear=clear, turn=turn), SETTINGS) is common


@pytest.mark.parametrize(("peak", "clear", "out"), [(0.045, 5, True), (0.044, 5, False), (0.045, 4.99, False)])
def test_what_stands_out(peak, clear, out):
    assert er._stands_out(link(peak=peak, clear=clear), SETTINGS) is out


def test_edges_are_the_steps_to_the_next_row_and_column():
    mask = np.array([[0, 0, 100], [0, 0, 100], [250, 0, 0]], np.uint8)
    assert edge_density(mask).tolist() == [[0, 100, 0], [250, 100, 100], [250, 0, 0]]
    assert edge_density(np.array([[0, 255], [255, 255]], np.uint8))[0, 0] == 255  # no more than 255


def test_blocks_are_means_and_what_is_left_over_goes():
    edge = np.arange(15, dtype=np.float32).reshape(3, 5)
    assert block_mean(edge, 2).tolist() == [[3, 5]]  # of 0 1 5 6 and of 2 3 7 8
    assert block_mean(edge, 3).tolist() == [[6]]


def test_ready_edges_have_unit_energy_and_fade_out():
    random = np.random.default_rng(1).random((60, 80)).astype(np.float32)
    made = ready(random)
    assert float((made.astype(float) ** 2).sum()) == pytest.approx(1, abs=1e-5)
    rim = np.abs(made[[0, -1]]).mean()
    assert rim < np.abs(made[28:32]).mean() / 2
    assert not ready(np.full((20, 20), 7, np.float32)).any()  # an even density has no edge


def test_the_top_lies_between_pixels():
    """Of a parabola with its top at .25: -(x - .25)^2 at -1, 0 and 1."""
    values = np.array([-((x - 0.25) ** 2) for x in (-1, 0, 1)])
    assert er._between(values, 1) == pytest.approx(0.25)
    assert er._between(values[::-1], 1) == pytest.approx(-0.25)
    assert er._between(values, 0) == er._between(values, 2) == 0
    assert er._between(np.array([1.0, 1.0, 1.0]), 1) == 0
    assert er._between(np.array([2.0, 1.0, 2.0]), 1) == 0  # a hollow is no top


@pytest.mark.parametrize(("most_px", "reach"), [(3.0, 4), (3.9, 4), (100.0, 8)])
def test_shifts_near_by_with_none_in_the_middle(most_px, reach):
    agreement = np.zeros((20, 30))
    agreement[0, 0], agreement[1, 0], agreement[0, -2] = 5, 7, 9
    near = er._near(agreement, most_px)
    assert near.shape == (2 * reach + 1, 2 * reach + 1)
    assert (near[reach, reach], near[reach + 1, reach], near[reach, reach - 2]) == (5, 7, 9)


def cross(shift_down=0, shift_right=0, size=(200, 300)):
    """A drawing of boxes, moved."""
    mask = np.zeros(size, np.uint8)
    for top, left, bottom, right in ((40, 60, 90, 120), (60, 150, 150, 170), (110, 50, 160, 130), (30, 200, 80, 240)):
        mask[top + shift_down : bottom + shift_down, left + shift_right : right + shift_right] = 255
    return mask


@pytest.mark.parametrize(("down", "right"), [(0, 0), (6, 0), (0, -8), (-4, 10)])
def test_a_shift_is_found_and_measured(down, right):
    """At two pixels to the millimetre; the first mask must move as the second was."""
    sheets = laid(np.stack([cross(), cross(down, right)]), px_per_mm=2)
    assert sheets.px_mm == 0.5
    (found,) = links(sheets, SETTINGS)
    assert (found.first, found.second) == (0, 1)
    assert (found.move.right_mm, found.move.down_mm) == pytest.approx((right / 2, down / 2), abs=0.35)
    assert found.off is ((down, right) != (0, 0))
    assert found.move.turn_deg == 0
    moved = lay(sheets, 0, [sheets.lines[1]], [0.0], SETTINGS)
    assert (moved.right_mm, moved.down_mm) == pytest.approx((right / 2, down / 2), abs=0.35)


def test_a_shift_beyond_what_is_looked_for_stands_out_by_nothing():
    sheets = laid(np.stack([cross(), cross(0, 30)]), px_per_mm=2)  # 15 mm
    nearer = replace(SETTINGS, most_mm=8.0)
    assert all(abs(found.move.right_mm) < 8.1 for found in links(sheets, nearer))
    (found,) = links(sheets, SETTINGS)
    assert found.move.right_mm == pytest.approx(15, abs=0.4)


def test_a_turn_is_found_by_its_sign():
    from scipy import ndimage

    large = np.kron(cross(), np.ones((3, 3), np.uint8))
    turned = ndimage.rotate(large, -2.0, reshape=False, order=1)  # clockwise as seen, rows run down
    sheets = laid(np.stack([large, turned]), px_per_mm=6)
    (found,) = links(sheets, SETTINGS)
    assert found.move.turn_deg == pytest.approx(2, abs=0.3)
    assert found.off
    best = lay(sheets, 0, [sheets.lines[1]], [-2.0, 0.0, 1.0, 2.0, 3.0], SETTINGS)
    assert (best.turn_deg, best.right_mm, best.down_mm) == (2, pytest.approx(0, abs=0.3), pytest.approx(0, abs=0.3))


def test_large_masks_are_looked_at_smaller():
    masks = np.zeros((1, 2304, 100), np.uint8)
    sheets = laid(masks, px_per_mm=4)
    assert sheets.px_mm == 0.5  # two pixels, a quarter of a millimetre each
    assert sheets.marks[0].shape == (576, 25)
    assert sheets.coarse[0].shape == (384, 16)


def test_lines_are_what_is_no_wider_than_a_brush():
    """At a millimetre to the pixel: a bar of 5 is a line, one of 9 is not; 6 mm part them."""
    marks = np.zeros((40, 80), np.bool_)
    marks[5:10, 5:75] = True
    assert er._thin(marks, 1.0).tolist() == marks.tolist()
    marks[20:29, 5:75] = True
    thin = er._thin(marks, 1.0)
    assert thin[5:10, 5:75].all()
    assert not thin[20:29, 8:72].any()
    assert er._rim(marks).sum() == 2 * 70 + 2 * 3 + 2 * 70 + 2 * 7
    assert er._line_px(marks, 1.0) == 0.0  # mostly a shape
    lines = np.zeros((40, 80), np.bool_)
    lines[5:9, 10:60] = True
    assert er._line_px(lines, 1.0) == pytest.approx(2 * 200 / (2 * 50 + 2 * 2))


# One peak among the shifts


def agreement(*peaks, size=(40, 60), rest=0.0):
    """Agreement of two masks at every shift: (down, right, height) of each peak, in pixels."""
    made = np.full(size, rest, np.float32)
    for down, right, height in peaks:
        made[down, right] = height
    return made


def peak(*peaks, turn=0.0, px_mm=0.5, rest=0.0, **settings):
    limits = replace(SETTINGS, **({"least_mm": 1.0, "most_mm": 5.0} | settings))
    return er._peak(agreement(*peaks, rest=rest), (2, 5), turn, limits, px_mm)


def test_the_highest_agreement_is_the_move():
    """Half a millimetre to the pixel: 4 pixels down are 2 mm, 6 to the left 3 mm."""
    found = peak((4, -6, 0.5), (0, 0, 0.2))
    assert (found.first, found.second, found.peak) == (2, 5, 0.5)
    assert (found.move.turn_deg, found.move.right_mm, found.move.down_mm) == (0, -3, 2)
    assert found.off


def test_how_far_a_peak_stands_out():
    """Of 23 by 23 shifts within 5 mm, one is .4 above the others: the mean is a 529th of it above the rest."""
    shifts = 23 * 23
    part = 1 / shifts
    clear = (1 - part) / np.sqrt(part * (1 - part))
    assert peak((4, -6, 0.5), rest=0.1).clear == pytest.approx(clear, rel=1e-4)
    assert peak((0, 0, 0.0)).clear == 0  # nothing anywhere


@pytest.mark.parametrize(
    ("height", "off"),
    [(0.27, True), (0.2601, True), (0.2599, False), (0.2, False)],  # 1.3 times .2
)
def test_a_move_must_be_better_than_leaving_it(height, off):
    assert peak((4, -6, height), (1, -2, 0.2)).off is off


def test_what_lies_within_the_least_shift_counts_as_left():
    """A millimetre is two pixels: a peak so far away counts as here, one pixel further as elsewhere."""
    assert peak((0, 6, 0.25), (2, 2, 0.2)).off is False
    assert peak((0, 6, 0.25), (-2, -2, 0.2)).off is False
    assert peak((0, 6, 0.25), (3, 0, 0.2)).off is True
    assert peak((0, 6, 0.25), (0, -3, 0.2)).off is True
    assert peak((0, 2, 0.25)).off is False  # it is here itself: no better than itself
    assert peak((0, 3, 0.25)).off is True
    # where a pixel is larger than the least shift, its neighbours count as here
    assert peak((0, 2, 0.25), (1, 1, 0.2), px_mm=1.5, most_mm=9).off is False
    assert peak((0, 4, 0.25), (0, 2, 0.2), px_mm=1.5, most_mm=9).off is True


def test_a_turn_is_off_wherever_it_lies():
    assert peak((0, 0, 0.2), turn=0.5).off is True
    assert peak((0, 0, 0.2), turn=-0.5).move.turn_deg == -0.5
    assert peak((0, 0, 0.2)).off is False


@pytest.mark.parametrize(
    ("down", "right", "inside"),
    [(10, 0, True), (0, -10, True), (6, 8, True), (7, 8, False), (-11, 0, False), (0, 11, False), (11, 11, False)],
)
def test_a_peak_beyond_what_is_looked_for_stands_out_by_nothing(down, right, inside):
    """5 mm are 10 pixels, 6 and 8 the same by Pythagoras."""
    assert (peak((down, right, 0.5)).clear > 0) is inside


def test_a_peak_between_pixels():
    """Heights .3 .5 .4 across: the top lies .5 * (.3 - .4) / (.3 - 1 + .4), a sixth of a pixel to the right."""
    found = peak((0, 5, 0.3), (0, 6, 0.5), (0, 7, 0.4))
    assert found.move.right_mm == pytest.approx((6 + 1 / 6) / 2, rel=1e-5)
    found = peak((5, 0, 0.4), (6, 0, 0.5), (7, 0, 0.3))
    assert found.move.down_mm == pytest.approx((6 - 1 / 6) / 2, rel=1e-5)


def test_shifts_as_far_as_the_picture_reaches():
    near = er._near(np.arange(12 * 30, dtype=np.float32).reshape(12, 30), 50.0)
    assert near.shape == (9, 9)  # half of 12, less 2
    assert near[4, 4] == 0
    assert near[4].tolist() == [26, 27, 28, 29, 0, 1, 2, 3, 4]


# Readying


def test_ready_edges_are_what_stands_above_their_surroundings():
    """A spot of height 9 in the middle, less its mean over 3 by 3: 8 there, -1 about it; all faded alike."""
    edge = np.zeros((41, 41), np.float32)
    edge[20, 20] = 9
    made = ready(edge, 3)
    assert made[20, 20] / made[20, 21] == pytest.approx(-8, rel=0.01)
    assert made[18, 18] == 0
    assert np.count_nonzero(made) == 9


def test_edges_fade_out_as_the_fourth_root_of_a_hanning_window():
    """Three pixels across: the window with its ends left out is .5, 1, .5."""
    edge = np.zeros((3, 3), np.float32)
    edge[1] = 9, 0, 9
    made = ready(edge, 1 << 1 | 1)  # mirrored at its ends, the mean along the row is 6, 6, 6 and over three rows 2 or 4
    assert made[1, 0] == pytest.approx(made[1, 2])
    assert float((made.astype(float) ** 2).sum()) == pytest.approx(1)


def test_lines_of_a_mask_run_into_one(monkeypatch):
    """A mask of lines 8 pixels wide at full size, 4 at half of it, is smoothed so far; one of shapes by 3 pixels."""
    lines = np.zeros((2, 200, 300), np.uint8)
    lines[0, 60:68, 20:280] = 255
    lines[1, 40:160, 60:240] = 255
    sheets = laid(lines, px_per_mm=4)
    assert (sheets.px_mm, sheets.marks[0].shape) == (0.25, (100, 150))
    assert er._line_px(sheets.marks[0], 0.5) == pytest.approx(2 * 4 * 130 / (2 * 130 + 2 * 2))
    middle = int(np.argmax(sheets.lines[0][:, 75]))
    assert middle in (31, 32)  # between the two sides, at rows 30 and 34
    assert sheets.lines[1].shape == (100, 150)
    from scipy import ndimage

    assert np.allclose(sheets.lines[1], ndimage.uniform_filter(sheets.middle[1], 3), atol=1e-6)
    assert np.argmax(np.abs(sheets.middle[0][:, 75])) in (29, 30, 33, 34)


def test_a_mark_counts_from_half_on():
    mask = np.zeros((1, 20, 40), np.uint8)
    mask[0, :, :20], mask[0, :, 20:] = 127, 128
    assert laid(mask, px_per_mm=1).marks[0].tolist() == [[False] * 10 + [True] * 10] * 10


@pytest.mark.parametrize(("size", "px"), [(1727, 1), (1729, 2), (2879, 2), (2881, 3)])
def test_masks_are_looked_at_about_so_long(size, px):
    """1152 pixels, to the nearest whole number: from 1.5 and from 2.5 times that on another one."""
    assert laid(np.zeros((1, 12, size), np.uint8), px_per_mm=1).px_mm == px


# Beneath lines


@pytest.mark.parametrize(("width", "fits"), [(50, True), (38, False)])
def test_a_fill_whose_edge_lies_beneath_lines_fits(width, fits):
    """A frame of lines 5 pixels wide, a millimetre each; a fill that ends within it all round, or not on the right."""
    frame = np.zeros((60, 80), np.bool_)
    frame[10:50, 10:70] = True
    frame[15:45, 15:65] = False
    fill = np.zeros_like(frame)
    fill[12:48, 12 : 12 + (56 if fits else width)] = True
    sheets = er.EdgeMaps(middle=[], coarse=[], lines=[], marks=[fill, frame], px_mm=0.5)
    assert er._beneath(sheets, link(0, 1)) is fits
    assert er._beneath(sheets, link(1, 0)) is fits
    empty = replace(sheets, marks=[np.zeros_like(fill), frame])
    assert er._beneath(empty, link(0, 1)) is False


@pytest.mark.parametrize(("width", "line"), [(5, True), (6, True), (7, False)])
def test_six_millimetres_are_still_a_line(width, line):
    marks = np.zeros((40, 80), np.bool_)
    marks[10 : 10 + width, 10:70] = True
    assert er._thin(marks, 1.0)[10 + width // 2, 40] == line
    assert er._thin(np.kron(marks, np.ones((2, 2))) > 0, 0.5)[20 + width, 80] == line


def test_a_mask_half_of_lines_counts_as_shapes():
    marks = np.zeros((60, 120), np.bool_)
    marks[5:9, 10:110] = True
    assert er._line_px(marks, 1.0) == pytest.approx(2 * 400 / (2 * 100 + 2 * 2))
    marks[20:40, 10:40] = True  # 600 pixels of shape
    assert er._line_px(marks, 1.0) == 0
    assert er._line_px(np.zeros_like(marks), 1.0) == 0


# Links


def test_links_that_no_other_seconds_go(monkeypatch):
    weak = {"peak": 0.05, "clear": 5.5}
    seconded = [link(0, 1, right=3, **weak), link(0, 2, right=3, **weak)]
    alone = [link(0, 1, right=3, **weak), link(0, 2, right=-3, **weak)]
    plain = [link(0, 1, right=3, peak=0.05, clear=6.5), link(0, 2, right=-3, **weak)]
    sheets = er.EdgeMaps(middle=[None] * 3, coarse=[], lines=[], marks=[], px_mm=0.5)
    monkeypatch.setattr(er, "_hints", lambda *given: {})
    monkeypatch.setattr(er, "_beneath", lambda *given: False)
    for some, kept in ((seconded, seconded), (alone, []), (plain, plain[:1])):
        monkeypatch.setattr(er, "_still", lambda *given, some=some: {(one.first, one.second): one for one in some})
        assert links(sheets, SETTINGS) == kept


@pytest.mark.parametrize(("hint", "closer", "kept"), [(0.31, 0.35, 0.35), (0.3, 0.35, 0.2), (0.31, None, 0.2)])
def test_a_turn_must_be_better_by_half_than_no_turn(monkeypatch, hint, closer, kept):
    """Unturned two masks agree by .2."""
    sheets = er.EdgeMaps(middle=[None] * 2, coarse=[], lines=[], marks=[], px_mm=0.5)
    turned = None if closer is None else link(turn=2, peak=closer)
    monkeypatch.setattr(er, "_still", lambda *given: {(0, 1): link(peak=0.2, off=False)})
    monkeypatch.setattr(er, "_hints", lambda *given: {(0, 1): link(turn=2, peak=hint)})
    monkeypatch.setattr(er, "_closer", lambda *given: turned)
    monkeypatch.setattr(er, "_beneath", lambda *given: False)
    assert [one.peak for one in links(sheets, SETTINGS)] == [kept]
    monkeypatch.setattr(er, "_still", lambda *given: {})
    assert [one.peak for one in links(sheets, SETTINGS)] == ([] if closer is None else [closer])


def test_a_mask_beneath_the_lines_of_another_is_not_off(monkeypatch):
    sheets = er.EdgeMaps(middle=[None] * 2, coarse=[], lines=[], marks=[], px_mm=0.5)
    monkeypatch.setattr(er, "_still", lambda *given: {(0, 1): link(off=True)})
    monkeypatch.setattr(er, "_hints", lambda *given: {})
    for beneath in (True, False):
        monkeypatch.setattr(er, "_beneath", lambda *given, beneath=beneath: beneath)
        assert [one.off for one in links(sheets, SETTINGS)] == [not beneath]


def test_hints_are_the_likeliest_turn_of_each_two():
    """A drawing beside itself turned by 2 degrees and by -1; what hardly agrees gives no hint."""
    from scipy import ndimage

    large = np.kron(cross(), np.ones((3, 3), np.uint8))
    turned = [ndimage.rotate(large, -turn, reshape=False, order=1) for turn in (2.0, -1.0)]
    sheets = laid(np.stack([large, *turned]), px_per_mm=6)
    turns = replace(SETTINGS, turns_deg=(-3.0, -1.0, 2.0))
    found = er._hints(sheets, [(0, 1), (0, 2), (1, 2)], turns)
    assert {pair: one.move.turn_deg for pair, one in found.items()} == {(0, 1): 2, (0, 2): -1, (1, 2): -3}
    assert all((one.first, one.second) == pair for pair, one in found.items())
    assert er._hints(sheets, [(0, 1)], replace(turns, faint=0.99)) == {}
    assert er._hints(sheets, [(0, 1)], replace(turns, hint=99.0)) == {}
    closer = er._closer(sheets, replace(found[0, 1], move=Move(turn_deg=1.75)), SETTINGS)
    assert closer.move.turn_deg == 2
    assert er._closer(sheets, replace(found[0, 1], move=Move(turn_deg=2.25)), SETTINGS).move.turn_deg == 2
    assert er._closer(sheets, found[0, 1], replace(SETTINGS, seconded=99.0)) is None


def test_two_masks_as_drawn_are_linked_where_they_may_mean_something():
    sheets = laid(np.stack([cross(), cross(0, 8), cross()[::-1, ::-1]]), px_per_mm=2)
    pairs = [(0, 1), (0, 2), (1, 2)]
    found = er._still(sheets, pairs, SETTINGS)
    assert found[0, 1].move.right_mm == pytest.approx(4, abs=0.35)
    assert er._still(sheets, pairs, replace(SETTINGS, alike=9.0, faint=9.0)) == {}
    by_faint = er._still(sheets, pairs, replace(SETTINGS, alike=9.0, plain=999.0, seconded=0.0, faint=-9.0))
    assert set(by_faint) == set(pairs)
