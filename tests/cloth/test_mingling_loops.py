"""The compiled loops of creeping and mingling dye, on places that can be counted by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from batiksim.cloth.effects import geodesic, mingling
from batiksim.cloth.effects.geodesic import FAR, creep_distance


def opened(*rows):
    return np.array([[letter != "#" for letter in row] for row in rows])


ROOM = opened("....", ".##.", "....")


def test_closed_places_are_counted_from_the_corner():
    assert geodesic._closed_counts(ROOM).tolist() == [[0] * 5, [0] * 5, [0, 0, 1, 2, 2], [0, 0, 1, 2, 2]]


@pytest.mark.parametrize(
    ("start", "end", "clear"),
    [
        ((0, 0), (0, 3), True),
        ((0, 0), (2, 0), True),
        ((0, 0), (2, 3), False),
        ((0, 1), (2, 1), False),
        ((1, 0), (0, 1), True),  # one of the two beside its corner is open
        ((0, 0), (1, 0), True),
    ],
)
def test_a_straight_line_through_open_fibre(start, end, clear):
    counts = geodesic._closed_counts(ROOM)
    places = [row * 4 + col for row, col in (start, end)]
    assert geodesic._clear(ROOM, counts, *places) is clear
    assert geodesic._clear(ROOM, counts, *places[::-1]) is clear


def test_nothing_slips_between_two_touching_corners():
    shut = opened(".#", "#.")
    assert not geodesic._clear(shut, geodesic._closed_counts(shut), 0, 3)
    begin = np.full((2, 2), FAR, np.float32)
    begin[0, 0] = 0
    assert creep_distance(begin, shut, 9.0)[1, 1] == np.float32(FAR)
    half = opened("..", "#.")
    assert creep_distance(begin, half, 9.0)[1, 1] == pytest.approx(math.sqrt(2))


def test_lengths_around_a_wall():
    """Round the end of a wall of one row: straight to its corner, and straight on."""
    wall = opened(".......", ".......", "####...", ".......", ".......")
    begin = np.full(wall.shape, FAR, np.float32)
    begin[0, 0] = 0
    far = creep_distance(begin, wall, 20.0)
    assert far[0].tolist() == pytest.approx([0, 1, 2, 3, 4, 5, 6])
    assert far[1, 1] == pytest.approx(math.sqrt(2))
    assert far[2, 4] == pytest.approx(math.hypot(4, 2), abs=0.15)
    assert far[3, 0] == pytest.approx(math.hypot(4, 2) + math.hypot(4, 1), abs=0.45)
    assert far[3, 0] > math.hypot(4, 2) + 3.2
    assert (far[2, :4] == np.float32(FAR)).all()
    near = creep_distance(begin, wall, 4.0)
    assert near[0, 4] == 4
    assert near[0, 5] == np.float32(FAR)


def test_each_place_begins_with_what_it_has():
    begin = np.full((1, 6), FAR, np.float32)
    begin[0, 0], begin[0, 5] = 2.0, 0.0
    assert creep_distance(begin, np.ones((1, 6), np.bool_), 9.0)[0].tolist() == [2, 3, 3, 2, 1, 0]
    assert creep_distance(begin, np.ones((1, 6), np.bool_), 1.0)[0].tolist() == [np.float32(FAR)] * 4 + [1, 0]


# Mingling


def test_a_front_is_where_neighbours_hold_different_dye():
    loads = np.zeros((2, 3, 6), np.float32)
    loads[0, :, :3], loads[1, :, 3:] = 1, 1
    wet = np.ones((3, 6), np.bool_)
    assert mingling._band(loads, wet, 0).tolist() == [2, 3, 8, 9, 14, 15]
    assert mingling._band(loads, wet, 1).tolist() == [1, 2, 3, 4, 7, 8, 9, 10, 13, 14, 15, 16]
    assert len(mingling._band(loads, wet, 2)) == 18
    wet[:, 3] = False
    assert mingling._band(loads, wet, 2).tolist() == []
    level = np.zeros((1, 2, 2), np.float32)
    level[0, 1] = 0.099
    assert mingling._band(level, np.ones((2, 2), np.bool_), 0).tolist() == []
    level[0, 1] = 0.101
    assert mingling._band(level, np.ones((2, 2), np.bool_), 0).tolist() == [0, 1, 2, 3]


def test_neighbours_by_number():
    places = np.array([1, 3, 4, 5, 7], np.int32)  # a cross in three by three
    assert mingling._links(places, (3, 3)).tolist() == [
        [0, 2, 0, 0], [1, 1, 1, 2], [0, 4, 1, 3], [3, 3, 2, 3], [2, 4, 4, 4]
    ]  # fmt: skip
    whole = mingling._links(np.arange(9, dtype=np.int32), (3, 3))
    assert whole[4].tolist() == [1, 7, 3, 5]
    assert whole[0].tolist() == [0, 3, 0, 1]
    assert whole[8].tolist() == [5, 8, 7, 8]


def test_links_twice_as_long_end_at_gaps():
    row = mingling._links(np.arange(5, dtype=np.int32), (1, 5))
    twice = mingling._doubled(row)
    assert twice[:, 2].tolist() == [0, 1, 0, 1, 2]
    assert twice[:, 3].tolist() == [2, 3, 4, 3, 4]
    assert mingling._doubled(twice)[:, 3].tolist() == [4, 1, 2, 3, 4]


def test_a_fifth_flows_to_each_neighbour():
    links = mingling._links(np.arange(5, dtype=np.int32), (1, 5))
    held, after = np.array([0, 0, 1, 0, 0], np.float32), np.zeros(5, np.float32)
    one, _ = mingling._flow(held, after, links, 1)
    assert one.tolist() == pytest.approx([0, 0.2, 0.6, 0.2, 0])
    held, after = np.array([0, 0, 1, 0, 0], np.float32), np.zeros(5, np.float32)
    two, _ = mingling._flow(held, after, links, 2)
    assert two.tolist() == pytest.approx([0.04, 0.24, 0.44, 0.24, 0.04])


@pytest.mark.parametrize("sigma", [1.5, 3.0, 9.0])
def test_a_front_is_as_soft_as_asked(sigma):
    """Two pots side by side mingle to a normal curve of that width."""
    from scipy.special import ndtr

    loads = np.zeros((2, 3, 120), np.float32)
    loads[0, :, :60], loads[1, :, 60:] = 1, 1
    mingling.mingle(loads, np.ones((3, 120), np.bool_), sigma, math.ceil(3 * sigma))
    wanted = ndtr((59.5 - np.arange(120)) / sigma)
    assert np.abs(loads[0, 1] - wanted).max() < 0.03
    assert loads[0] + loads[1] == pytest.approx(np.ones((3, 120)), abs=1e-4)


def test_dry_and_waxed_places_take_no_part():
    loads = np.zeros((2, 1, 8), np.float32)
    loads[0, 0, :4], loads[1, 0, 4:] = 1, 1
    shut = np.ones((1, 8), np.bool_)
    shut[0, 3] = False
    before = loads.copy()
    mingling.mingle(loads, shut, 2.0, 6)
    assert (loads == before).all()
    faint = np.zeros((2, 1, 8), np.float32)
    faint[0, 0, :4], faint[1, 0, 4:] = 1, 0.09
    before = faint.copy()
    mingling.mingle(faint, np.ones((1, 8), np.bool_), 2.0, 6)
    assert (faint == before).all()
