"""Pots called by what is in them."""

from __future__ import annotations

import pytest

from batiksim.values.pot_words import described_pot


@pytest.mark.parametrize(
    ("loads", "name"),
    [
        ({"orange": 0.22}, "pale orange 22%"),
        ({"navy": 0.1, "rust": 0.0, "lemon": 0.4}, "light lemon with navy 50%"),
        ({"lemon": 0.8}, "lemon 80%"),
        ({"navy": 1.5}, "strong navy 150%"),
    ],
)
def test_pots_are_called_by_their_depth(loads, name):
    assert described_pot(loads) == name
