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


@pytest.mark.parametrize("width", [0, 1, 2])
@pytest.mark.parametrize("shape", [(5, 6), (1, 7), (7, 1)])
def test_a_band_grows_step_by_step_around_a_spot(shape, width):
    """A lone spot and its four neighbours lie on its front; each further step reaches a place on, up to the border."""
    y, x = np.mgrid[: shape[0], : shape[1]]
    for row, col in np.ndindex(*shape):
        loads = np.zeros((1, *shape), np.float32)
        loads[0, row, col] = 1
        near = np.flatnonzero(abs(y - row) + abs(x - col) <= 1 + width)
        assert mingling._band(loads, np.ones(shape, np.bool_), width).tolist() == near.tolist()


def test_a_band_goes_around_dry_places():
    loads = np.zeros((1, 3, 4), np.float32)
    loads[0, :, 3] = 1
    wet = np.array([[True, True, True, True], [False, True, False, True], [False, True, True, True]])
    assert mingling._band(loads, wet, 0).tolist() == [2, 3, 10, 11]
    assert mingling._band(loads, wet, 1).tolist() == [1, 2, 3, 7, 9, 10, 11]
    assert mingling._band(loads, wet, 2).tolist() == [0, 1, 2, 3, 5, 7, 9, 10, 11]


@pytest.mark.parametrize("turned", [False, True])
def test_a_gentle_slope_is_no_front(turned):
    """However much its ends differ: they are no neighbours."""
    slope = np.tile(np.linspace(0, 1, 12, dtype=np.float32), (3, 1))
    loads = np.stack([slope, 1 - slope])
    loads = np.ascontiguousarray(loads.transpose(0, 2, 1) if turned else loads)
    assert mingling._band(loads, np.ones(loads.shape[1:], np.bool_), 3).tolist() == []


def step_of_two(length: int) -> np.ndarray:
    """Two pots side by side in one row, the first on the left half."""
    loads = np.zeros((2, 1, length), np.float32)
    loads[0, 0, : length // 2], loads[1, 0, length // 2 :] = 1, 1
    return loads


@pytest.mark.parametrize(
    ("sigma", "rounds"),
    [
        (0.5, [1]),  # .25 / (2 * .2) is .6 of a round
        (1.5, [6]),  # 2.25 / .4 = 5.6
        (3.9, [38]),  # 15.21 / .4 = 38.03
        (
            4.0,
            [4, 9],
        ),  # 16 / .4 = 40; 4 single steps; 36 rounds left are 9 of steps of two, as variance goes by squares
        (7.9, [4, 38]),  # 62.41 / .4 = 156.03, less 4, by 4 = 38.006
        (8.0, [4, 4, 9]),  # 160, less 4 and 4 * 4, by 16 = 8.75
    ],
)
@pytest.mark.parametrize("turned", [False, True])
def test_a_front_flows_in_so_many_rounds(sigma, rounds, turned):
    """A fifth flows to each neighbour a round: a front is the step, averaged so many times with its neighbours."""
    length = 240
    wanted = step_of_two(length)[0, 0].astype(float)
    for n, times in enumerate(rounds):
        kernel = np.zeros(2 * 2**n + 1)
        kernel[[0, -1]], kernel[2**n] = 0.2, 0.6
        for _ in range(times):
            wanted = np.convolve(np.pad(wanted, 2**n, mode="edge"), kernel, mode="valid")
    loads = step_of_two(length)
    loads = np.ascontiguousarray(loads.transpose(0, 2, 1) if turned else loads)
    mingling.mingle(loads, np.ones(loads.shape[1:], np.bool_), sigma, length)
    assert loads[0].ravel() == pytest.approx(wanted, abs=2e-5)
    assert loads[1].ravel() == pytest.approx(1 - wanted, abs=2e-5)


def test_nothing_flows_beyond_the_band():
    loads = step_of_two(20)
    mingling.mingle(loads, np.ones((1, 20), np.bool_), 3.0, 2)
    assert loads[0, 0, :7].tolist() == [1] * 7
    assert loads[0, 0, 13:].tolist() == [0] * 7
    assert loads[0, 0, 7:13].sum() == pytest.approx(3, abs=1e-5)  # six places, half of them painted
    assert (np.diff(loads[0, 0, 6:14]) < 0).all()


def test_what_is_thin_stays_as_thin():
    """Shares alone flow: each place keeps the whole of what came there; where pots lie over each other both stay."""
    thin = np.zeros((2, 1, 20), np.float32)
    thin[0, 0, :10], thin[1, 0, 10:] = 0.5, 0.25
    mingling.mingle(thin, np.ones((1, 20), np.bool_), 1.5, 20)
    assert thin.sum(axis=0)[0] == pytest.approx([0.5] * 10 + [0.25] * 10, abs=1e-5)
    # one round of flow at the line: 0.4 and 0.1 of the first, 0.05 and 0.2 of the second, then as much as came
    once = np.zeros((2, 1, 4), np.float32)
    once[0, 0, :2], once[1, 0, 2:] = 0.5, 0.25
    mingling.mingle(once, np.ones((1, 4), np.bool_), 0.5, 4)
    assert once[0, 0] == pytest.approx([0.5, 0.4 * 0.5 / 0.45, 0.1 * 0.25 / 0.3, 0], abs=1e-6)
    assert once[1, 0] == pytest.approx([0, 0.05 * 0.5 / 0.45, 0.2 * 0.25 / 0.3, 0.25], abs=1e-6)
    over = np.ones((2, 1, 4), np.float32)
    over[1, 0, :2] = 0
    mingling.mingle(over, np.ones((1, 4), np.bool_), 0.5, 4)
    assert over[0, 0] == pytest.approx([1, 1, 1, 1], abs=1e-6)
    assert over[1, 0] == pytest.approx([0, 0.2, 0.8, 1], abs=1e-6)


def test_a_tenth_of_a_full_strength_is_wet():
    faint = np.zeros((2, 1, 4), np.float32)
    faint[0, 0, :2], faint[0, 0, 2:], faint[1, 0, 2:] = 1, 0.05, 0.055
    before = faint.copy()
    mingling.mingle(faint, np.ones((1, 4), np.bool_), 0.5, 4)
    assert (faint != before).any()
