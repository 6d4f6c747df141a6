"""How far dye has crept: straight lines cell by cell, edges of paint, lengths between bounds known from graphs."""

from __future__ import annotations

import heapq
import math

import numpy as np
import pytest

from batiksim.cloth.effects import geodesic
from batiksim.cloth.effects.geodesic import FAR, creep_distance

FROM = np.float32(FAR)


def clear(opened: np.ndarray, start: tuple[int, int], end: tuple[int, int]) -> bool:
    cols = opened.shape[1]
    counts = geodesic._closed_counts(opened)
    return bool(geodesic._clear(opened, counts, start[0] * cols + start[1], end[0] * cols + end[1]))


LINES = [
    # 5 to the right and 2 down: fifths of 2 are .4, .8, 1.2, 1.6 and 2
    [(0, 1), (1, 2), (1, 3), (2, 4), (2, 5)],
    # 11 to the right and 5 down: elevenths of 5 are .45, .91, 1.36, 1.82, 2.27, 2.73, 3.18, 3.64, 4.09, 4.55 and 5
    [(0, 1), (1, 2), (1, 3), (2, 4), (2, 5), (3, 6), (3, 7), (4, 8), (4, 9), (5, 10), (5, 11)],
]


@pytest.mark.parametrize("line", LINES)
@pytest.mark.parametrize("steep", [False, True])
@pytest.mark.parametrize(("down", "right"), [(1, 1), (1, -1), (-1, 1), (-1, -1)])
def test_a_line_passes_the_cells_next_to_it_and_no_others(down, right, steep, line):
    """Wax in one of its cells stops a line, wax in any other doesn't, whichever way it runs."""
    middle = line[-1][1] + 1
    steps = [(col, row) if steep else (row, col) for row, col in line]
    cells = [(middle + down * row, middle + right * col) for row, col in steps]
    opened = np.ones((2 * middle + 1, 2 * middle + 1), np.bool_)
    for place in np.ndindex(*opened.shape):
        if place != (middle, middle):
            opened[place] = False
            assert clear(opened, (middle, middle), cells[-1]) is (place not in cells)
            opened[place] = True


@pytest.mark.parametrize(("down", "right"), [(1, 1), (1, -1), (-1, 1), (-1, -1)])
def test_a_slanting_line_needs_one_of_the_two_cells_beside_each_corner(down, right):
    for n in range(3):
        pair = [(3 + down * (n + 1), 3 + right * n), (3 + down * n, 3 + right * (n + 1))]
        for shut in (pair[:1], pair[1:], pair):
            opened = np.ones((7, 7), np.bool_)
            for place in shut:
                opened[place] = False
            assert clear(opened, (3, 3), (3 + 3 * down, 3 + 3 * right)) is (len(shut) == 1)


@pytest.mark.parametrize("shape", [(1, 9), (9, 1)])
def test_lines_in_one_row_or_column(shape):
    opened = np.ones(shape, np.bool_)
    assert geodesic._clear(opened, geodesic._closed_counts(opened), 2, 7)
    opened.flat[5] = False
    counts = geodesic._closed_counts(opened)
    assert not geodesic._clear(opened, counts, 2, 7)
    assert not geodesic._clear(opened, counts, 7, 2)
    assert geodesic._clear(opened, counts, 6, 8)
    assert geodesic._clear(opened, counts, 4, 0)


def edge(begin: np.ndarray, row: int, col: int, opened: np.ndarray | None = None) -> bool:
    opened = np.ones(begin.shape, np.bool_) if opened is None else opened
    return bool(geodesic._is_edge(begin.astype(np.float32), opened, row, col))


def test_dye_goes_on_to_a_neighbour_that_begins_later_than_one_step_on():
    for row in range(5):
        for col in range(5):
            begin = np.zeros((5, 5))
            begin[row, col] = 1.05  # a step straight on is 1, a slanting one 1.41
            assert edge(begin, 2, 2) is (abs(row - 2) + abs(col - 2) == 1)
            begin[row, col] = 1.45
            assert edge(begin, 2, 2) is ((row, col) != (2, 2) and max(abs(row - 2), abs(col - 2)) == 1)
            opened = np.ones((5, 5), np.bool_)
            opened[row, col] = False
            assert not edge(begin, 2, 2, opened)
    assert not edge(np.array([[3.0, 4.0, 5.0]]), 0, 1)  # it would get there no sooner


@pytest.mark.parametrize(("row", "col"), [(0, 0), (0, 4), (4, 0), (4, 4), (0, 2), (2, 0), (4, 2), (2, 4)])
def test_the_far_side_of_the_cloth_is_no_neighbour(row, col):
    """At a border, only places within a step count."""
    y, x = np.mgrid[:5, :5]
    near = np.maximum(abs(y - row), abs(x - col)) <= 1
    assert not edge(np.where(near, 0.0, FAR), row, col)
    assert edge(np.where(near, FAR, 0.0) * ((y != row) | (x != col)), row, col)


@pytest.mark.parametrize(("row", "col"), [(0, 0), (0, 10), (8, 0), (8, 10), (4, 5), (0, 6), (3, 0), (8, 2), (5, 10)])
def test_in_open_cloth_lengths_are_straight(row, col):
    begin = np.full((9, 11), FAR, np.float32)
    begin[row, col] = 0.25
    y, x = np.mgrid[:9, :11]
    known = 0.25 + np.hypot(y - row, x - col)
    assert creep_distance(begin, np.ones((9, 11), np.bool_), 50.0) == pytest.approx(known, abs=1e-3)
    reached = creep_distance(begin, np.ones((9, 11), np.bool_), 5.25)
    assert ((reached < FROM) == (known <= 5.25)).all()  # 3 and 4 to the sides are 5: just within reach


def test_nothing_begins_on_wax_or_beyond_reach():
    begin = np.array([[2.0, FAR, FAR, 2.5, 0.0]], np.float32)
    opened = np.array([[True, True, True, True, False]])
    assert creep_distance(begin, opened, 2.0)[0].tolist() == [2.0, FROM, FROM, FROM, FROM]
    assert creep_distance(begin, opened, 3.0)[0].tolist() == [2.0, 3.0, FROM, 2.5, FROM]


def by_edges(
    begin: np.ndarray, opened: np.ndarray, neighbours: dict[tuple[int, int], list[tuple[float, tuple[int, int]]]]
) -> np.ndarray:
    """Dijkstra's shortest ways along given links."""
    far = np.full(begin.shape, math.inf)
    waiting = [(float(begin[place]), place) for place in neighbours if begin[place] < FAR]
    heapq.heapify(waiting)
    while waiting:
        length, place = heapq.heappop(waiting)
        if length < far[place]:
            far[place] = length
            for more, other in neighbours[place]:
                heapq.heappush(waiting, (length + more, other))
    return far


@pytest.mark.parametrize("seed", range(12))
def test_lengths_lie_between_the_best_straight_lines_and_the_way_from_neighbour_to_neighbour(seed):
    """Never shorter than along any clear lines, never longer than by steps to the eight neighbours."""
    random = np.random.default_rng(seed)
    shape = [(8, 9), (9, 7), (1, 12), (12, 1), (6, 6), (7, 10)][seed % 6]
    opened = random.random(shape) < (0.7, 0.85)[seed % 2]
    begin = np.where(random.random(shape) < 0.08, random.uniform(0, 3, shape), FAR).astype(np.float32)
    begin[tuple(random.integers(0, shape))] = 0
    places = [(int(row), int(col)) for row, col in np.argwhere(opened)]
    lines: dict[tuple[int, int], list[tuple[float, tuple[int, int]]]] = {}
    steps: dict[tuple[int, int], list[tuple[float, tuple[int, int]]]] = {}
    for place in places:
        seen = [(math.dist(place, other), other) for other in places if clear(opened, place, other)]
        seen_back = [(math.dist(place, other), other) for other in places if clear(opened, other, place)]
        lines[place] = seen + seen_back
        steps[place] = [(length, other) for length, other in seen if length < 1.5]
    lengths = creep_distance(begin, opened, 100.0).astype(float)
    lengths[lengths >= FAR] = math.inf
    least, most = by_edges(begin, opened, lines), by_edges(begin, opened, steps)
    assert (np.isfinite(lengths) == np.isfinite(most)).all()
    reached = np.isfinite(most)
    assert (lengths[reached] >= least[reached] - 1e-3).all()
    assert (lengths[reached] <= most[reached] + 1e-2).all()
    near = creep_distance(begin, opened, 4.0)
    assert (near[most <= 3.99] <= 4.0).all()
    assert (near[least > 4.01] == FROM).all()


def test_the_shorter_way_wins_though_the_longer_came_first():
    """Paint that begins late but near against paint that begins at once but far off."""
    begin = np.full((3, 30), FAR, np.float32)
    begin[:, 0], begin[:, 29] = 0.0, 12.5
    far = creep_distance(begin, np.ones((3, 30), np.bool_), 100.0)
    along = np.arange(30.0)
    for row in far:
        assert row.tolist() == pytest.approx(np.minimum(along, 12.5 + 29 - along).tolist(), abs=1e-3)
