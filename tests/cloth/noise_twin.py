"""Chance and smooth noise written out plainly: SplitMix64 in whole numbers, lattice noise with numpy."""

from __future__ import annotations

import math

import numpy as np

WORD = (1 << 64) - 1


def mixed(z: int) -> int:
    """SplitMix64's output for a state (Steele, Lea and Flood 2014)."""
    z = ((z ^ (z >> 30)) * 0xBF58476D1CE4E5B9) & WORD
    z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & WORD
    return z ^ (z >> 31)


def corner(col: int, row: int, key: int) -> float:
    """What the noise is at whole numbers: 53 bits, -1 to 1."""
    at = (col + 1_000_003) * 0x9E3779B97F4A7C15 + (row + 1_000_003) * 0xC2B2AE3D27D4EB4F + key * 0x165667B19E3779F9
    return (mixed(at & WORD) >> 11) / 2**52 - 1


def fade(t: float) -> float:
    """Perlin's 6 t^5 - 15 t^4 + 10 t^3."""
    return 6 * t**5 - 15 * t**4 + 10 * t**3


def smooth_noise(x: float, y: float, key: int) -> float:
    """Between the four corners around a place, by `fade`."""
    col, row = math.floor(x), math.floor(y)
    u, v = fade(x - col), fade(y - row)
    top = corner(col, row, key) * (1 - u) + corner(col + 1, row, key) * u
    low = corner(col, row + 1, key) * (1 - u) + corner(col + 1, row + 1, key) * u
    return top * (1 - v) + low * v


def noise_over(x, y, key: int) -> np.ndarray:
    """The noise at arrays of places."""
    return np.vectorize(smooth_noise, otypes=[float])(x, y, key)
