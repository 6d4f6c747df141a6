"""How a crack grows, step by step on small grids; and what the whole network amounts to."""

from __future__ import annotations

import math

import numpy as np
import pytest

from batiksim.cloth.effects import crackle
from batiksim.cloth.effects import crackle_growth as growth
from batiksim.cloth.effects import crackle_growth as module
from batiksim.cloth.effects.crackle import crack_network
from batiksim.cloth.effects.crackle_growth import FREE, MET, OUT
from batiksim.cloth.effects.noise import mixed, normal, uniform
from tests.cloth.noise_twin import smooth_noise

CELL = 0.5


@pytest.fixture
def wall():
    """A grid of 20 by 30 cells of half a millimetre with an upright crack in column 16, its points from 1."""
    grid = np.zeros((20, 30), np.int32)
    grid[:, 16] = np.arange(1, 21)
    return grid


@pytest.mark.parametrize(
    ("angle", "turned"), [(0, 0), (4, 4 - 2 * math.pi), (-4, 2 * math.pi - 4), (7, 7 - 2 * math.pi), (3.1, 3.1)]
)
def test_angles_are_brought_into_one_turn(angle, turned):
    assert growth._turned(float(angle)) == pytest.approx(turned)


def test_folds_run_in_three_families():
    x, y, key = 30.0, 40.0, 7
    base = 6 * smooth_noise(0.5, 0.5, key + 77)
    bent = 0.6 * smooth_noise(x / 140, y / 140, key) + 0.2 * smooth_noise(x / 45, y / 45, key + 1)
    for family, more in enumerate((0.0, 1.15, -0.95)):
        assert growth._fold(x, y, key, family) == pytest.approx(base + bent + more, abs=1e-12)


def test_a_ray_looks_in_steps_of_four_fifths_of_a_cell(wall):
    """From 6.25 mm the crack's cell begins at 8.0: the fifth step of .4 mm is in it, at 8.25."""
    length, point = growth._ray(wall, CELL, 6.25, 4.25, 0.0, 5.0)
    assert (length, point) == (pytest.approx(2.0), 9)  # row 8 has point 9
    assert growth._ray(wall, CELL, 6.25, 4.25, math.pi, 3.0) == (3.0, 0)
    assert growth._ray(wall, CELL, 6.25, 4.25, 0.0, 1.9) == (1.9, 0)
    assert growth._ray(wall, CELL, 6.25, 4.25, math.pi / 2, 9.0) == (9.0, 0)  # off the cloth
    edge = np.zeros((20, 30), np.int32)
    edge[8, 0], edge[0, 12] = 5, 6  # in the first column and in the first row
    assert growth._ray(edge, CELL, 6.25, 4.25, math.pi, 9.0) == (pytest.approx(6.0), 5)
    assert growth._ray(edge, CELL, 6.25, 4.25, -math.pi / 2, 9.0) == (pytest.approx(4.0), 6)
    slanting, point = growth._ray(wall, CELL, 6.25, 4.25, math.pi / 4, 9.0)
    assert (slanting, point) == (pytest.approx(2.8), 13)  # 7 steps: 1.98 right and down, row 12
    up, point = growth._ray(wall, CELL, 6.25, 4.25, -math.pi / 4, 9.0)
    assert (up, point) == (pytest.approx(2.8), 5)


def test_the_nearest_crack_is_looked_for_all_round(wall):
    assert growth._nearest(wall, CELL, 6.25, 4.25, 5.0, 0.0) == (pytest.approx(2.0), 0.0)
    far, angle = growth._nearest(wall, CELL, 10.25, 4.25, 5.0, 0.0)  # from the other side
    assert (far, angle) == (pytest.approx(2.0), pytest.approx(math.pi, abs=0.3))  # the first ray that meets it
    assert growth._nearest(wall, CELL, 6.25, 4.25, 1.5, 0.0) == (1.5, 0.0)
    turned, angle = growth._nearest(wall, CELL, 6.25, 4.25, 5.0, math.pi / 12)
    assert (turned, math.cos(angle)) == (pytest.approx(2.0), pytest.approx(1, abs=0.04))


def test_a_tip_turns_to_meet_a_crack_squarely(wall):
    """The crack runs down (angle a quarter), so it is met level; 2 mm off, by 1.6 * .6 / (2 + .3) of the way."""
    angles = np.full(20, math.pi / 2)
    part = 1.6 * 0.6 / (2.0 + 0.3)
    for heading in (0.4, -0.4):
        steered = growth._steered(wall, CELL, 6.25, 4.25, heading, 3.0, angles, 0.6)
        assert abs(steered) < 0.4
        assert math.copysign(1, steered) == math.copysign(1, heading)
    assert growth._steered(wall, CELL, 6.25, 4.25, 0.36, 3.0, angles, 0.6) == pytest.approx(0.36 * (1 - part))
    elsewhere = np.zeros(20)
    elsewhere[7] = math.pi / 2  # of row 7: by a ray slightly to the left, the first of those that are as short
    assert growth._steered(wall, CELL, 6.25, 4.25, 0.0, 3.0, elsewhere, 0.6) == pytest.approx(0.0)
    away = growth._steered(wall, CELL, 6.25, 4.25, 3.0, 3.0, angles, 0.6)
    assert away == 3.0  # nothing ahead
    assert growth._steered(wall, CELL, 6.25, 4.25, 0.36, 1.5, angles, 0.6) == 0.36  # not felt yet
    backwards = np.full(20, -math.pi / 2)
    assert growth._steered(wall, CELL, 6.25, 4.25, 0.36, 3.0, backwards, 0.6) == pytest.approx(0.36 * (1 - part))
    near = growth._steered(wall, CELL, 7.85, 4.25, 0.36, 3.0, angles, 0.9)
    assert near == pytest.approx(0.0)  # close by it turns all the way


def test_a_step_leaves_no_gap_at_a_corner():
    grid = np.zeros((4, 6), np.int32)
    growth._mark(grid, CELL, 0.75, 0.25, 1.25, 0.75, 7)  # from row 0, column 1 to row 1, column 2
    assert np.argwhere(grid == 7).tolist() == [[0, 1], [0, 2], [1, 2]]
    growth._mark(grid, CELL, 1.25, 0.75, 1.75, 0.75, 8)
    assert grid[1].tolist() == [0, 0, 7, 8, 0, 0]  # what is marked stays
    growth._mark(grid, CELL, -0.1, 0.25, 0.2, 0.25, 9)  # a hair off the cloth
    growth._mark(grid, CELL, 2.75, 1.75, 3.1, 2.1, 9)
    assert grid[0, 0] == 9
    assert grid[3, 5] == 9
    assert (grid == 9).sum() == 2


def widths(ends, *, met=(-1, -1), room=10.0, before=(0.2, 0.4), seed=99):
    """The widths of a level crack of 21 points a millimetre apart; two older points stand before it."""
    xs = np.concatenate([[0.0, 0.0], np.arange(21.0)])
    ys = np.zeros(23)
    width = np.concatenate([before, np.zeros(21)])
    state = np.array([seed], np.uint64)
    growth._widths(width, xs, ys, 2, 23, room, np.array(ends), np.array(met), state)
    return width[2:]


def test_widths_run_out_at_free_ends_and_chip_where_cracks_meet():
    plain = widths((OUT, OUT))
    along = np.arange(21.0)
    taper = min(0.5 * 20 + 0.1, 0.5 * 10 + 2)  # 7 mm
    assert widths((FREE, OUT)) == pytest.approx(plain * np.minimum(1, along / taper))
    assert widths((OUT, FREE)) == pytest.approx(plain * np.minimum(1, (20 - along) / taper))
    assert widths((MET, OUT), met=(0, -1)) == pytest.approx(plain + 0.6 * 0.2 * np.exp(-along / 0.5))
    assert widths((OUT, MET), met=(-1, 1)) == pytest.approx(plain + 0.6 * 0.4 * np.exp(-(20 - along) / 0.5))


def test_a_crack_shorter_than_its_room_runs_out_over_half_its_length():
    plain = widths((OUT, OUT), room=60.0)
    taper = 0.5 * 20 + 0.1  # less than .5 * 60 + 2
    assert widths((FREE, OUT), room=60.0) == pytest.approx(plain * np.minimum(1, np.arange(21.0) / taper))


def test_widths_by_their_formula():
    for room, seed in ((10.0, 99), (20.0, 99), (60.0, 99), *((30.0, seed) for seed in range(90))):
        state = np.array([seed], np.uint64)
        key = int(uniform(state) * 1e9)
        base = (0.115 + 0.0062 * min(room, 42.0)) * math.exp(0.3 * normal(state))
        base *= 1.7 if room > 20 and uniform(state) < 0.15 else 1.0
        wanted = [
            base * (1 + 0.55 * smooth_noise(s / 5, 0.3, key) + 0.35 * smooth_noise(s / 1.3, 7.3, key))
            for s in range(21)
        ]
        assert widths((OUT, OUT), room=room, seed=seed) == pytest.approx(wanted)


# The network, by its figures as judged by eye: lengths in mm, within what another order of chance gives


@pytest.fixture(scope="module")
def network():
    return crack_network(190.0, 140.0, spacing_mm=8.0, seed=3)


def length(cracks):
    steps = np.hypot(np.diff(cracks.x), np.diff(cracks.y))
    steps[cracks.starts[1:-1] - 1] = 0
    return float(steps.sum())


def test_points_lie_about_a_third_of_a_millimetre_apart(network):
    """1.1 cells of .3 mm, a little more where the line is rough."""
    steps = np.hypot(np.diff(network.x), np.diff(network.y))
    steps = np.delete(steps, network.starts[1:-1] - 1)
    assert np.median(steps) == pytest.approx(0.33, abs=0.02)


def test_rounds_need_four_fifths_of_the_room_before(network):
    rooms = np.unique(network.room)[::-1]
    assert rooms[0] == pytest.approx(70)
    assert rooms == pytest.approx([70 * 0.8**n for n in np.rint(np.log(rooms / 70) / np.log(0.8))])
    assert rooms[-1] > 0.6 * 8
    assert rooms[-1] * 0.8 <= 0.6 * 8 or len(rooms) < 12


def test_it_covers_whole_blocks_of_five_centimetres(network):
    """190 and .37 of a block are 208.5: five blocks; 140 are 158.5: four."""
    assert 230 < network.x.max() < 251
    assert 180 < network.y.max() < 201
    assert (network.x.min(), network.y.min()) >= (-0.5, -0.5)


def test_ends_name_what_they_met(network):
    ends, met = network.ends, network.met
    assert set(np.unique(ends)) == {FREE, MET, OUT}
    assert ((met >= 0) == (ends == MET)).all()
    for crack in range(len(network)):
        first, last = network.starts[crack], network.starts[crack + 1] - 1
        for point, at in ((first, met[crack, 0]), (last, met[crack, 1])):
            if at >= 0:
                assert at < first
                assert (network.x[point], network.y[point]) == (network.x[at], network.y[at])


def test_figures_of_the_network(network):
    """A crack for about every 85 mm2, 18.5 mm long; seven of ten ends meet another; a quarter of a millimetre wide."""
    assert (module.FREE, module.MET, module.OUT) == (0, 1, 2)
    assert 250 * 200 / len(network) == pytest.approx(85.0, rel=0.03)
    assert length(network) / len(network) == pytest.approx(18.5, rel=0.03)
    assert (network.ends == MET).mean() == pytest.approx(0.707, abs=0.02)
    assert (network.ends == FREE).mean() == pytest.approx(0.219, abs=0.02)
    assert network.width.mean() == pytest.approx(0.2485, rel=0.03)


# One arm, walked once more in plain steps: what a step adds, and how an arm ends

STEP = 0.55


def walked(grid, owner, angles, x, y, heading, room, family, state, most):
    """An arm as (points, how it ended, the point met), by the stated lengths and shares."""
    reach, lasts = min(3.0, 0.4 * room), room * (9.0 if room > 20 else 2.6)
    bend, crossed, first, points = 0.0, -1, heading, []
    for n in range(1, most + 1):
        bend += -bend * STEP / 9.0 + 0.028 * math.sqrt(STEP / 9.0) * normal(state)  # forgets a bend over 9 mm
        heading += bend * STEP
        if uniform(state) < STEP / 4.0:  # a kink in every 4 mm
            heading += 0.2 * normal(state)
        if family >= 0:
            heading += 0.4 * 0.1 * STEP * math.sin(2 * (growth._fold(x, y, 7, family) - heading))
        if abs(heading - first) > 1.3:
            return points, FREE, -1
        if n % 2 == 0:
            heading = growth._steered(grid, CELL, x, y, heading, reach, angles, 2 * STEP)
        x, y = x + STEP * math.cos(heading), y + STEP * math.sin(heading)
        row, col = math.floor(y / CELL), math.floor(x / CELL)
        if not (0 <= row < grid.shape[0] and 0 <= col < grid.shape[1]):
            return points, OUT, -1
        point = int(grid[row, col])
        if point and owner[point - 1] != crossed:
            if room < 20 or uniform(state) > 0.06:
                return points, MET, point - 1
            crossed = owner[point - 1]
        points.append((x, y, heading))
        if uniform(state) < STEP / lasts:
            return points, FREE, -1
    return points, FREE, -1


@pytest.mark.parametrize("family", [-1, 0, 1, 2])
@pytest.mark.parametrize("room", [5.0, 20.0, 20.5, 60.0])
def test_an_arm_goes_step_by_step(room, family):
    grid = np.zeros((40, 50), np.int32)
    grid[:, 33:36] = np.arange(1, 41)[:, None]  # as broad as two steps: what is crossed is not met again
    grid[8, :33] = np.arange(41, 74)
    owner = np.concatenate([np.arange(40) % 3, np.full(33, 6)]).astype(np.int32)  # many short cracks, a long one
    angles = np.repeat([math.pi / 2, 0.0], [40, 33])
    endings = set()
    for seed in range(60):
        heading = 2 * math.pi * seed / 60 - 1
        most = 60 if seed % 3 else 6
        path = np.zeros((most, 3))
        state, again = np.array([seed + 1], np.uint64), np.array([seed + 1], np.uint64)
        place = (8.0 + 0.13 * seed, 12.0)
        count, end, met = growth._arm(grid, CELL, STEP, owner, angles, path, *place, heading, room, 7, family, state)
        points, wanted_end, wanted_met = walked(grid, owner, angles, *place, heading, room, family, again, most)
        assert (count, end, met) == (len(points), wanted_end, wanted_met)
        assert path[:count].ravel() == pytest.approx(np.array(points).ravel(), abs=1e-9)
        assert state[0] == again[0]
        endings.add((end, count == most))
    assert {(OUT, False), (MET, False)} <= endings


def grown(rows, cols, cell, step, rounds, spacing, most, seed):
    """The network once more, trial after trial, from the parts that are held above: the fields of `Cracks`."""
    grid, wide, high = np.zeros((rows, cols), np.int32), cols * cell, rows * cell
    x, y, width, angles = np.zeros((4, most))
    owner, paths = np.zeros(most, np.int32), np.zeros((2, 6000, 3))
    starts, room, ends, met = [0], [], [], []
    key = int(uniform(np.array([seed], np.uint64)) * 1e9)
    for number, near in enumerate(rounds):
        for trial in range(int(3.0 * wide * high / near**2) + 4):
            state = np.array([seed ^ int(mixed(np.uint64(number * 100_000_000 + trial + 1)))], np.uint64)
            at_x, at_y = uniform(state) * wide, uniform(state) * high
            start, choice, lean = uniform(state) * math.pi, uniform(state), normal(state)
            crowd = smooth_noise(at_x / 33, at_y / 33, key + 5) + 0.6 * smooth_noise(at_x / 14, at_y / 14, key + 6)
            if near < spacing * math.exp(0.55 * crowd):
                continue  # here cracks stand further apart
            clear, towards = growth._nearest(grid, cell, at_x, at_y, 1.4 * near, start)
            if clear < 0.4 * near:
                continue
            family, heading = -1, towards + 0.16 * lean  # across the gap
            if near > 20 or clear >= 1.4 * near or choice < 0.22:  # alone, or one of some that follow the folds
                family = 0 if choice < 0.11 or choice > 0.62 else 1 if choice > 0.4 else 2
                heading = growth._fold(at_x, at_y, key, family) + 0.12 * lean
            arms = [
                growth._arm(grid, cell, step, owner, angles, path, at_x, at_y, turned, near, key, family, state)
                for path, turned in zip(paths, (heading, heading + math.pi), strict=True)
            ]
            (back, _, met_back), (ahead, _, met_ahead) = arms
            first = starts[-1]
            if (back + ahead) * step < 0.5 * near or first + back + ahead + 3 > most or len(room) + 1 >= most // 8 + 1:
                continue
            line = [(x[at], y[at]) for at in (met_back,) if at >= 0]
            line += [*map(tuple, paths[0, :back, :2][::-1]), (at_x, at_y), *map(tuple, paths[1, :ahead, :2])]
            line += [(x[at], y[at]) for at in (met_ahead,) if at >= 0]
            last = first + len(line)
            x[first:last], y[first:last] = np.array(line).T
            owner[first:last] = len(room)
            along = np.clip(np.arange(first, last)[:, None] + (-1, 1), first, last - 1)
            angles[first:last] = np.arctan2(*(np.diff(axis[along])[:, 0] for axis in (y, x)))
            for p in range(first + 1, last - 1):
                rough = 0.13 * smooth_noise(x[p] / 1.1, y[p] / 1.1, key + 9)
                rough += 0.07 * smooth_noise(x[p] / 0.45, y[p] / 0.45, key + 10)
                x[p] -= rough * math.sin(angles[p])
                y[p] += rough * math.cos(angles[p])
            for p in range(first + 1, last):
                growth._mark(grid, cell, x[p - 1], y[p - 1], x[p], y[p], p + 1)
            room.append(near)
            ends.append([arm[1] for arm in arms])
            met.append([arm[2] for arm in arms])
            growth._widths(width, x, y, first, last, near, np.array(ends[-1]), np.array(met[-1]), state)
            starts.append(last)
    used = starts[-1]
    return x[:used], y[:used], width[:used], starts, room, ends, met


@pytest.mark.parametrize(
    ("cells", "rounds", "spacing", "most", "seed"),
    [
        ((90, 130), [30.0, 20.0, 12.0, 6.0], 6.0, 9000, 3),
        ((60, 60), [20.5, 9.0], 4.0, 9000, 2**62 + 5),
        ((130, 90), [12.0, 6.0], 5.0, 400, 8),  # no room for more points
        ((130, 90), [12.0, 6.0], 5.0, 72, 9),
    ],
)
def test_the_network_trial_after_trial(cells, rounds, spacing, most, seed):
    made = growth.grow(*cells, 0.4, 0.44, np.array(rounds), spacing, most, seed)
    for field, wanted in zip(made, grown(*cells, 0.4, 0.44, rounds, spacing, most, seed), strict=True):
        assert np.ravel(field) == pytest.approx(np.ravel(wanted), abs=1e-7)
    assert len(made[4]) >= 2


def same(made, wanted):
    return all(np.array_equal(getattr(made, name), getattr(wanted, name)) for name in ("x", "y", "width", "starts"))


def test_a_cloths_network_is_grown_in_cells_of_three_tenths_of_a_millimetre():
    """40 by 20 mm take 100 by 50; thirteen rounds, from 70 mm by four fifths down to 4.81, more than .6 of 8."""
    made = crack_network(40.0, 20.0, spacing_mm=8, seed=2**63 + 2**62 + 5)
    rounds = 70 * 0.8 ** np.arange(13)
    grown_in_cells = growth.grow(167, 334, 0.3, 0.33, rounds, 8.0, 100_000, 2**62 + 5)
    for name, field in zip(("x", "y", "width", "starts", "room", "ends", "met"), grown_in_cells, strict=True):
        assert np.asarray(getattr(made, name)) == pytest.approx(field, abs=1e-6)
    assert len(made) == len(made.room)


def test_a_block_more_from_three_fifths_on():
    """31.5 mm and 18.5 are one block of 50, a hair more needs two."""
    small = crack_network(20.0, 20.0, spacing_mm=12, seed=3)
    assert same(small, crack_network(31.5, 31.5, spacing_mm=12, seed=3))
    assert not same(small, crack_network(31.6, 20.0, spacing_mm=12, seed=3))
    assert not same(small, crack_network(20.0, 31.6, spacing_mm=12, seed=3))


def test_a_large_cloth_has_coarser_cells(monkeypatch):
    monkeypatch.setattr(crackle, "MOST_CELLS", 2500)
    coarse = crack_network(20.0, 20.0, spacing_mm=12, seed=3)  # 50 by 50 mm: cells of a millimetre
    steps = np.hypot(np.diff(coarse.x), np.diff(coarse.y))
    assert np.median(steps) == pytest.approx(1.1, abs=0.05)
