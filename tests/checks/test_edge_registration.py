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


def test_a_link_joins_two_and_moves_either():
    one = link(3, 5, right=2, down=1)
    assert [one.joins(mask) for mask in (3, 4, 5)] == [True, False, True]
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
