"""How a crack grows, step by step on small grids; and what the whole network amounts to."""

from __future__ import annotations

import math

import numpy as np
import pytest

from batiksim.cloth.effects import crackle_growth as growth
from batiksim.cloth.effects import crackle_growth as module
from batiksim.cloth.effects.crackle import FREE, MET, OUT, crack_network
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


def widths(ends, *, met=(-1, -1), room=10.0, before=(0.2, 0.4)):
    """The widths of a level crack of 21 points a millimetre apart; two older points stand before it."""
    xs = np.concatenate([[0.0, 0.0], np.arange(21.0)])
    ys = np.zeros(23)
    width = np.concatenate([before, np.zeros(21)])
    state = np.array([99], np.uint64)
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


def test_widths_by_their_formula():
    from batiksim.cloth.effects.noise import normal, uniform

    for room in (10.0, 30.0, 60.0):
        state = np.array([99], np.uint64)
        key = int(uniform(state) * 1e9)
        base = (0.115 + 0.0062 * min(room, 42.0)) * math.exp(0.3 * normal(state))
        base *= 1.7 if room > 20 and uniform(state) < 0.15 else 1.0
        wanted = [
            base * (1 + 0.55 * smooth_noise(s / 5, 0.3, key) + 0.35 * smooth_noise(s / 1.3, 7.3, key))
            for s in range(21)
        ]
        assert widths((OUT, OUT), room=room) == pytest.approx(wanted)


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
