"""Colour-vision deficiencies against colour-science's Machado, Oliveira and Fernandes 2009, severity 1."""

from __future__ import annotations

import colour
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.colour_vision import COMMON, MATRICES, seen_with
from batiksim.colour.spaces import hex_to_lab, linear_srgb_to_xyz, xyz_to_lab

NAMES = {"protanopia": "Protanomaly", "deuteranopia": "Deuteranomaly", "tritanopia": "Tritanomaly"}


@pytest.mark.parametrize("vision", MATRICES)
def test_matrices_are_those_of_the_paper(vision):
    table = colour.blindness.CVD_MATRICES_MACHADO2010[NAMES[vision]]
    assert_allclose(MATRICES[vision], table[1.0], atol=1e-6)


@pytest.mark.parametrize("vision", MATRICES)
@given(linear=st.tuples(*[st.floats(0, 1)] * 3))
def test_colours_agree_with_colour_science(vision, linear):
    outside = colour.algebra.vecmul(colour.blindness.CVD_MATRICES_MACHADO2010[NAMES[vision]][1.0], np.array(linear))
    wanted = xyz_to_lab(linear_srgb_to_xyz(np.clip(outside, 0, 1)))
    assert delta_e_2000(seen_with(xyz_to_lab(linear_srgb_to_xyz(np.array(linear))), vision), wanted) < 0.01


@pytest.mark.parametrize("vision", COMMON)
def test_greys_stay_and_red_nears_green(vision):
    greys = hex_to_lab("#808080")
    assert delta_e_2000(seen_with(greys, vision), greys) < 0.5
    red, green = hex_to_lab("#b0664a"), hex_to_lab("#7d7a3c")
    assert delta_e_2000(seen_with(red, vision), seen_with(green, vision)) < 0.5 * delta_e_2000(red, green)
