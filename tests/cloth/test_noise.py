"""Chance in compiled loops: the published generator, and noise against plain arithmetic."""

from __future__ import annotations

import math

import numpy as np
import pytest

from batiksim.cloth.effects.noise import mixed, normal, smooth_noise, uniform
from tests.cloth import noise_twin

# the first outputs of SplitMix64 from state 0, as printed with the reference code
PUBLISHED = (0xE220A8397B1DCDAF, 0x6E789E6AA1B965F4, 0x06C45D188009454F, 0xF88BB8A8724C81EC)
GOLDEN = 0x9E3779B97F4A7C15


def test_the_published_numbers():
    state = np.zeros(1, np.uint64)
    for place, bits in enumerate(PUBLISHED, start=1):
        assert int(mixed(np.uint64(place * GOLDEN & noise_twin.WORD))) == bits
        assert uniform(state) == (bits >> 11) / 2**53
    assert int(state[0]) == 4 * GOLDEN & noise_twin.WORD


def test_normal_numbers_are_of_box_and_muller():
    state, again = np.zeros(1, np.uint64), np.zeros(1, np.uint64)
    for _ in range(3):
        u, v = uniform(again), uniform(again)
        assert normal(state) == pytest.approx(math.sqrt(-2 * math.log(u)) * math.cos(2 * math.pi * v), rel=1e-12)
    drawn = np.array([normal(state) for _ in range(4000)])
    assert (drawn.mean(), drawn.std()) == (pytest.approx(0, abs=0.06), pytest.approx(1, abs=0.05))


@pytest.mark.parametrize("key", [0, 1, 999_999])
def test_noise_at_whole_numbers_and_between(key):
    for x, y in ((0, 0), (3, -2), (0.5, 0.5), (-1.25, 7.75), (12.1, 0.9)):
        assert smooth_noise(x, y, key) == pytest.approx(noise_twin.smooth_noise(x, y, key), abs=1e-12)
    assert smooth_noise(3.0, -2.0, key) == pytest.approx(noise_twin.corner(3, -2, key), abs=1e-15)
