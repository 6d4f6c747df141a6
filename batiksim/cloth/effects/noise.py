"""Chance for compiled loops: numbers that one seed decides, and smooth noise that one key decides at every place.

`uniform` and `smooth_noise` are the same on every machine. `normal` takes the system's logarithm and cosine, whose last
digit may differ from one kind of machine to another, and with it the course of a crack.
"""

from math import cos, floor, log, pi, sqrt

import numpy as np

from batiksim.cloth.compiling import compiled_function


@compiled_function()
def mixed(state):  # type: ignore[no-untyped-def]
    """SplitMix64 (Steele, Lea and Flood 2014): the next state's bits, well mixed."""
    z = state
    z = (z ^ (z >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    z = (z ^ (z >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return z ^ (z >> np.uint64(31))


@compiled_function()
def uniform(state):  # type: ignore[no-untyped-def]
    """A number 0 <= u < 1; state uint64 (1,) moves on."""
    state[0] += np.uint64(0x9E3779B97F4A7C15)
    return float(mixed(state[0]) >> np.uint64(11)) / 9007199254740992.0


@compiled_function()
def normal(state):  # type: ignore[no-untyped-def]
    """A number about 0 with a standard deviation of 1 (Box and Muller 1958); state uint64 (1,) moves on."""
    u = max(uniform(state), 1e-300)
    return sqrt(-2.0 * log(u)) * cos(2.0 * pi * uniform(state))


@compiled_function()
def smooth_noise(x, y, key):  # type: ignore[no-untyped-def]
    """Smooth noise about -1..1 at a place in units of its own grain; the same for the same key."""
    col = floor(x)
    row = floor(y)
    u = x - col
    v = y - row
    u = u * u * u * (u * (u * 6.0 - 15.0) + 10.0)
    v = v * v * v * (v * (v * 6.0 - 15.0) + 10.0)
    total = 0.0
    for i in range(2):
        for j in range(2):
            at = np.uint64(np.int64(col) + j + 1000003) * np.uint64(0x9E3779B97F4A7C15)
            at += np.uint64(np.int64(row) + i + 1000003) * np.uint64(0xC2B2AE3D27D4EB4F)
            at += np.uint64(key) * np.uint64(0x165667B19E3779F9)
            value = float(mixed(at) >> np.uint64(11)) / 4503599627370496.0 - 1.0
            total += value * (u if j else 1.0 - u) * (v if i else 1.0 - v)
    return total
