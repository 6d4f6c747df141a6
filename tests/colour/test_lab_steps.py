"""Slopes held against small steps, weights against CIEDE2000 itself."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from batiksim.colour.ciede2000 import ciede2000_weights, delta_e_2000
from batiksim.colour.spaces import lab_jacobian, lab_to_xyz, xyz_to_lab

labs = st.tuples(st.floats(15, 95), st.floats(-60, 60), st.floats(-60, 60)).map(np.array)
ways = st.tuples(st.floats(-1, 1), st.floats(-1, 1), st.floats(-1, 1)).map(np.array)


@given(labs, ways)
def test_the_slope_foretells_small_steps(lab, way):
    xyz = np.maximum(lab_to_xyz(lab), 0.02)  # above the straight foot of the CIELAB curve
    step = 1e-5 * way
    changed = (xyz_to_lab(xyz + step) - xyz_to_lab(xyz - step)) / 2
    assert np.allclose(lab_jacobian(xyz) @ step, changed, atol=1e-6)


@given(labs, ways)
def test_weighed_steps_are_about_ciede2000(lab, way):
    """Within 0.7 and 1.4 times, away from near-greys and from blues, where CIEDE2000 turns hue against chroma."""
    hue, chroma = np.degrees(np.arctan2(lab[2], lab[1])) % 360, np.hypot(lab[1], lab[2])
    if chroma < 25 or 215 < hue < 335 or np.linalg.norm(way) < 0.3:
        return
    step = 0.05 * way
    seen = float(delta_e_2000(lab, lab + step))
    assert 0.7 * seen < float(np.linalg.norm(ciede2000_weights(lab) @ step)) < 1.4 * seen


def test_many_at_once_are_the_same_as_one_by_one():
    rng = np.random.default_rng(3)
    lab = rng.uniform((10, -60, -60), (95, 60, 60), (4, 5, 3))
    xyz = lab_to_xyz(lab)
    for place in np.ndindex(4, 5):
        assert np.allclose(ciede2000_weights(lab)[place], ciede2000_weights(lab[place]))
        assert np.allclose(lab_jacobian(xyz)[place], lab_jacobian(xyz[place]))
