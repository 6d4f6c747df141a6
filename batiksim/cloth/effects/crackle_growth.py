"""The compiled loops of crack growth; `cracks.py` says what they are about.

A grid of cells of some 0.3 mm tells where cracks are: it holds the number of the point that passed there, from 1.
"""

from math import atan2, cos, exp, floor, hypot, pi, sin, sqrt

import numpy as np

from batiksim.cloth.compiling import compiled_function
from batiksim.cloth.effects.noise import mixed, normal, smooth_noise, uniform

FREE, MET, OUT = 0, 1, 2
RAYS = 24
FEELERS = 7  # looks ahead of a tip, over a right angle to each side at most
AHEAD_MM = 3.0  # how far a tip feels an older crack, at most
TURN_MM = 9.0  # length over which a crack forgets a bend
BEND = 0.028  # bends, radians per mm
KINK_MM = 4.0  # mean length between small kinks: wax breaks from crystal to crystal
KINK = 0.2  # their size, radians
MOST_TURN = 1.3  # radians: a crack never turns back
CROSSES = 0.06  # share of long cracks that run on across another: cloth is crumpled more than once
CHIP_MM = 0.5  # wax chips off in the corners where cracks meet, about this far
FOLLOWS = 0.4  # how strongly a long crack keeps to the folds, per cm


@compiled_function()
def _turned(angle):  # type: ignore[no-untyped-def]
    """An angle brought into -pi .. pi."""
    return angle - 2.0 * pi * floor((angle + pi) / (2.0 * pi))


@compiled_function()
def _fold(x, y, key, family):  # type: ignore[no-untyped-def]
    """The direction of the cloth's folds at a place; they come in three families that cross."""
    base = 6.0 * smooth_noise(0.5, 0.5, key + 77)
    bent = 0.6 * smooth_noise(x / 140.0, y / 140.0, key) + 0.2 * smooth_noise(x / 45.0, y / 45.0, key + 1)
    return base + bent + (0.0, 1.15, -0.95)[family]


@compiled_function()
def _ray(grid, cell, x, y, angle, reach):  # type: ignore[no-untyped-def]
    """The length from a place to the next crack in a direction, and its point (from 1); reach and 0 without one."""
    rows, cols = grid.shape
    step = 0.8 * cell
    dx = cos(angle) * step
    dy = sin(angle) * step
    for k in range(1, int(reach / step) + 1):
        row = int((y + k * dy) / cell)
        col = int((x + k * dx) / cell)
        if row < 0 or col < 0 or row >= rows or col >= cols:
            return reach, 0
        if grid[row, col]:
            return k * step, grid[row, col]
    return reach, 0


@compiled_function()
def _nearest(grid, cell, x, y, reach, start):  # type: ignore[no-untyped-def]
    """Distance and direction of the nearest crack within reach."""
    best = reach
    angle = 0.0
    for k in range(RAYS):
        turn = start + 2.0 * pi * k / RAYS
        length, _ = _ray(grid, cell, x, y, turn, best)
        if length < best:
            best = length
            angle = turn
    return best, angle


@compiled_function()
def _steered(grid, cell, x, y, heading, reach, angles, step):  # type: ignore[no-untyped-def]
    """The heading of a tip that feels an older crack ahead: turned towards meeting it squarely."""
    best = reach
    at = 0
    for k in range(FEELERS):
        length, point = _ray(grid, cell, x, y, heading + (k - FEELERS // 2) * 0.36, best)
        if point and length < best:
            best = length
            at = point
    if not at:
        return heading
    square = angles[at - 1] + pi / 2
    if cos(square - heading) < 0.0:
        square += pi
    return heading + _turned(square - heading) * min(1.0, 1.6 * step / (best + 0.5 * step))


@compiled_function()
def _arm(grid, cell, step, owner, angles, path, x, y, heading, room, key, family, state):  # type: ignore[no-untyped-def]
    """Grow one arm of a crack from a seed into path (n, 3): x, y, heading. Returns n, how it ended, the point met."""
    rows, cols = grid.shape
    reach = min(AHEAD_MM, 0.4 * room)
    lasts = room * (9.0 if room > 20.0 else 2.6)
    bend = 0.0
    since = 0
    count = 0
    crossed = -1
    first = heading
    while count < len(path):
        bend += -bend * step / TURN_MM + BEND * sqrt(step / TURN_MM) * normal(state)
        heading += bend * step
        if uniform(state) < step / KINK_MM:
            heading += KINK * normal(state)
        if family >= 0:
            away = 2.0 * (_fold(x, y, key, family) - heading)
            heading += FOLLOWS * 0.1 * step * sin(away)
        if abs(heading - first) > MOST_TURN:
            return count, FREE, -1
        since += 1
        if since >= 2:
            since = 0
            heading = _steered(grid, cell, x, y, heading, reach, angles, 2.0 * step)
        x += step * cos(heading)
        y += step * sin(heading)
        row = int(floor(y / cell))
        col = int(floor(x / cell))
        if row < 0 or col < 0 or row >= rows or col >= cols:
            return count, OUT, -1
        point = grid[row, col]
        if point and owner[point - 1] != crossed:
            if room < 20.0 or uniform(state) > CROSSES:
                return count, MET, point - 1
            crossed = owner[point - 1]
        path[count, 0] = x
        path[count, 1] = y
        path[count, 2] = heading
        count += 1
        if uniform(state) < step / lasts:
            return count, FREE, -1
    return count, FREE, -1


@compiled_function()
def _mark(grid, cell, x0, y0, x1, y1, point):  # type: ignore[no-untyped-def]
    """Mark the cells of a step so that no other tip can slip between them at a corner."""
    row0 = int(floor(y0 / cell))
    col0 = int(floor(x0 / cell))
    row1 = int(floor(y1 / cell))
    col1 = int(floor(x1 / cell))
    # a rough line may stray off the cloth by a hair
    for row, col in ((row0, col1), (row1, col1), (row0, col0)):
        if 0 <= row < grid.shape[0] and 0 <= col < grid.shape[1] and not grid[row, col]:
            grid[row, col] = point


@compiled_function()
def _widths(width, xs, ys, first, last, room, ends, met, state):  # type: ignore[no-untyped-def]
    """Widths along a crack: broad for main folds, hair-fine for the last; uneven; thin towards ends that run out."""
    key = np.int64(uniform(state) * 1e9)
    base = (0.115 + 0.0062 * min(room, 42.0)) * exp(0.3 * normal(state))
    if room > 20.0 and uniform(state) < 0.15:
        base *= 1.7
    run = 0.0
    whole = 0.0
    for p in range(first + 1, last):
        whole += hypot(xs[p] - xs[p - 1], ys[p] - ys[p - 1])
    for p in range(first, last):
        if p > first:
            run += hypot(xs[p] - xs[p - 1], ys[p] - ys[p - 1])
        w = base * (1.0 + 0.55 * smooth_noise(run / 5.0, 0.3, key) + 0.35 * smooth_noise(run / 1.3, 7.3, key))
        taper = min(0.5 * whole + 0.1, 0.5 * room + 2.0)
        if ends[0] == FREE:
            w *= min(1.0, run / taper)
        if ends[1] == FREE:
            w *= min(1.0, (whole - run) / taper)
        if ends[0] == MET:
            w += 0.6 * width[met[0]] * exp(-run / CHIP_MM)
        if ends[1] == MET:
            w += 0.6 * width[met[1]] * exp(-(whole - run) / CHIP_MM)
        width[p] = max(w, 0.0)


@compiled_function()
def grow(rows, cols, cell, step, rounds, spacing, most, seed):  # type: ignore[no-untyped-def]
    """The whole network; the results are the fields of `cracks.Cracks`."""
    grid = np.zeros((rows, cols), np.int32)
    wide = cols * cell
    high = rows * cell
    xs = np.empty(most)
    ys = np.empty(most)
    width = np.empty(most)
    angles = np.empty(most)
    owner = np.empty(most, np.int32)
    most_cracks = most // 8
    starts = np.zeros(most_cracks + 1, np.int64)
    room = np.empty(most_cracks)
    ends = np.zeros((most_cracks, 2), np.int64)
    met = np.full((most_cracks, 2), -1, np.int64)
    paths = np.empty((2, 6000, 3))
    state = np.zeros(1, np.uint64)
    state[0] = np.uint64(seed)
    key = np.int64(uniform(state) * 1e9)
    used = 0
    cracks = 0
    for r in range(len(rounds)):
        near = rounds[r]
        for trial in range(int(3.0 * wide * high / (near * near)) + 4):
            state[0] = np.uint64(seed) ^ mixed(np.uint64(r * 100_000_000 + trial + 1))
            x = uniform(state) * wide
            y = uniform(state) * high
            start = uniform(state) * pi
            choice = uniform(state)
            lean = normal(state)
            crowd = smooth_noise(x / 33.0, y / 33.0, key + 5) + 0.6 * smooth_noise(x / 14.0, y / 14.0, key + 6)
            if near < spacing * exp(0.55 * crowd):
                continue
            clear, towards = _nearest(grid, cell, x, y, 1.4 * near, start)
            if clear < 0.4 * near:
                continue
            family = -1
            if near > 20.0 or clear >= 1.4 * near or choice < 0.22:
                family = 0 if choice < 0.11 or choice > 0.62 else (1 if choice > 0.4 else 2)
                heading = _fold(x, y, key, family) + 0.12 * lean
            else:
                heading = towards + 0.16 * lean
            one, end1, met1 = _arm(grid, cell, step, owner, angles, paths[0], x, y, heading, near, key, family, state)
            two, end2, met2 = _arm(
                grid, cell, step, owner, angles, paths[1], x, y, heading + pi, near, key, family, state
            )
            if (one + two) * step < 0.5 * near or used + one + two + 3 > most or cracks == most_cracks:
                continue
            first = used
            if met1 >= 0:
                xs[used] = xs[met1]
                ys[used] = ys[met1]
                used += 1
            for k in range(one - 1, -1, -1):
                xs[used] = paths[0, k, 0]
                ys[used] = paths[0, k, 1]
                used += 1
            xs[used] = x
            ys[used] = y
            used += 1
            for k in range(two):
                xs[used] = paths[1, k, 0]
                ys[used] = paths[1, k, 1]
                used += 1
            if met2 >= 0:
                xs[used] = xs[met2]
                ys[used] = ys[met2]
                used += 1
            for p in range(first, used):
                low = max(first, p - 1)
                top = min(used - 1, p + 1)
                angles[p] = atan2(ys[top] - ys[low], xs[top] - xs[low])
                owner[p] = cracks
            for p in range(first + 1, used - 1):
                rough = 0.13 * smooth_noise(xs[p] / 1.1, ys[p] / 1.1, key + 9)
                rough += 0.07 * smooth_noise(xs[p] / 0.45, ys[p] / 0.45, key + 10)
                xs[p] -= rough * sin(angles[p])
                ys[p] += rough * cos(angles[p])
            for p in range(first + 1, used):
                _mark(grid, cell, xs[p - 1], ys[p - 1], xs[p], ys[p], p + 1)
            room[cracks] = near
            ends[cracks, 0] = end1
            ends[cracks, 1] = end2
            met[cracks, 0] = met1
            met[cracks, 1] = met2
            _widths(width, xs, ys, first, used, near, ends[cracks], met[cracks], state)
            cracks += 1
            starts[cracks] = used
    return (
        xs[:used].copy(),
        ys[:used].copy(),
        width[:used].copy(),
        starts[: cracks + 1].copy(),
        room[:cracks].copy(),
        ends[:cracks].copy(),
        met[:cracks].copy(),
    )
