"""The narrow spot between two rooms, measured on drawings."""

from __future__ import annotations

import numpy as np
import pytest

from batiksim.checks.shapes import bottleneck as module
from batiksim.checks.shapes.bottleneck import bottleneck


def rooms(width: int, *, near=(20.0, 31.0), doors=(20,)):
    """Two rooms of 39 by 29 pixels with a wall of 3 columns between, and doors of an odd width in it."""
    opened = np.zeros((41, 63), np.bool_)
    opened[1:40, 1:30] = True
    opened[1:40, 33:62] = True
    for row in doors:
        opened[row - width // 2 : row + width // 2 + 1, 30:33] = True
    source, target = np.zeros_like(opened), np.zeros_like(opened)
    source[10:30, 2:8] = True
    target[10:30, 54:60] = True
    return bottleneck(opened, source & opened, target & opened, near)


@pytest.mark.parametrize("width", [1, 3, 5, 7])
def test_a_door_is_as_wide_as_it_is(width):
    door = rooms(width)
    assert door.width == width
    assert (door.row, door.col) == (20, pytest.approx(31, abs=1))
    # in a room of 39 by 29 a disc of radius 15 has its middle at column 15; its width is 2 * 15 - 1
    assert (door.room_source, door.room_target) == (29, 29)
    assert door.source[1] == 15
    assert door.target[1] == 47


def test_the_spot_nearest_to_where_it_is_looked_for():
    """A corridor as wide as the door behind it: any of its spots is as narrow, the one asked for counts."""
    opened = np.zeros((41, 93), np.bool_)
    opened[1:40, 1:30] = True
    opened[1:40, 63:92] = True
    opened[19:22, 30:63] = True
    source, target = np.zeros_like(opened), np.zeros_like(opened)
    source[10:30, 2:8], target[10:30, 84:90] = True, True
    for col in (35.0, 46.0, 57.0):
        door = bottleneck(opened, source, target, (20.0, col))
        assert (door.width, door.row, door.col) == (3, 20, col)


def test_rooms_that_another_door_joins_are_one_room():
    assert rooms(3, doors=(10, 30), near=(10.0, 31.0)) is None


def test_no_way_or_no_room_is_no_narrow_spot():
    opened = np.ones((9, 9), np.bool_)
    opened[:, 4] = False
    left, right, none = np.zeros_like(opened), np.zeros_like(opened), np.zeros_like(opened)
    left[:, :2], right[:, 7:] = True, True
    assert bottleneck(opened, left, right, (4.0, 4.0)) is None
    assert bottleneck(np.ones_like(opened), left, right, (4.0, 4.0)) is None
    opened[4, 4] = True
    assert bottleneck(opened, none, right, (4.0, 4.0)) is None
    assert bottleneck(opened, left, none, (4.0, 4.0)) is None
    assert bottleneck(opened, left, right, (4.0, 4.0)).width == 1


def test_the_narrow_spot_between_two_rooms():
    opened = np.zeros((60, 90), np.bool_)
    opened[10:50, 5:40] = opened[10:50, 50:85] = True
    opened[28:33, 40:50] = True  # a passage five pixels wide
    source, target = np.zeros_like(opened), np.zeros_like(opened)
    source[30, 10] = target[30, 80] = True
    found = bottleneck(opened, source, target, (30, 45))
    assert found.width == 5
    assert (found.row, found.col) == (30, pytest.approx(45, abs=6))
    assert found.room_source >= 30
    assert found.room_target >= 30


def test_no_way_no_narrow_spot():
    opened = np.zeros((20, 40), np.bool_)
    opened[5:15, 2:15] = opened[5:15, 20:35] = True
    source, target = np.zeros_like(opened), np.zeros_like(opened)
    source[10, 5] = target[10, 30] = True
    assert bottleneck(opened, source, target, (10, 17)) is None


def test_a_way_may_run_from_corner_to_corner():
    opened = np.zeros((25, 40), np.bool_)
    opened[2:12, 2:12] = opened[15:24, 15:38] = True
    opened[12, 12] = opened[13, 13] = opened[14, 14] = True
    source, target = np.zeros_like(opened), np.zeros_like(opened)
    source[3:6, 3:6] = target[20:22, 30:36] = True
    narrow = bottleneck(opened, source, target, (13.0, 13.0))
    assert (narrow.width, narrow.row, narrow.col) == (1, 13, 13)


def test_the_narrow_spot_lies_in_the_door_though_the_wall_is_nearer():
    door = rooms(3, near=(18.0, 31.0))
    assert (door.row, door.col) == (20, 31)


@pytest.mark.parametrize("turned", [False, True])
def test_either_room_may_be_the_source(turned):
    """Rooms of 10 by 10 and of 20 by 20: five pixels are brushed in the small one, all of the large one is beyond."""
    opened = np.zeros((24, 40), np.bool_)
    opened[7:17, 2:12] = opened[2:22, 14:34] = True
    opened[11:14, 12:14] = True
    source, target = np.zeros_like(opened), np.zeros_like(opened)
    source[10, 4:9], target[2:22, 14:34] = True, True
    if turned:
        opened, source, target = opened[:, ::-1], source[:, ::-1], target[:, ::-1]
    narrow = bottleneck(opened, source, target, (12.0, 27.0 if turned else 12.0))
    assert narrow.width == 3
    assert (narrow.room_source, narrow.room_target) == (9, 19)  # as far from wax as 5 and 10 pixels
    assert (narrow.source[1] < 14, narrow.target[1] < 14) == ((False, False) if turned else (True, False))
    assert narrow.target[1] > 14 or turned


def test_the_roomiest_spot_of_a_side():
    far = np.array([[3.0, 1.0, 1.0], [0.0, 1.0, 2.0]])
    assert module._roomiest(far, np.array([[False, True, True], [False, True, True]])) == (1, 2)
    assert module._roomiest(far, np.array([[False, True, True], [False, False, False]])) == (0, 1)


def test_pieces_that_join_source_and_target():
    where = np.array([[1, 1, 0, 1, 0, 1], [0, 0, 0, 1, 0, 0]], np.bool_)
    source = np.array([[1, 0, 0, 1, 1, 0], [0, 0, 1, 0, 0, 0]], np.bool_)
    target = np.array([[0, 0, 0, 0, 1, 1], [0, 0, 1, 1, 0, 0]], np.bool_)
    assert module._joining(where, source, target).astype(int).tolist() == [[0, 0, 0, 1, 0, 0], [0, 0, 0, 1, 0, 0]]
    assert not module._joining(where, source, target & ~source & ~where).any()
