"""Mixing: published Kubelka-Munk values, the wet cloth table, and the Fresnel integral behind it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from batiksim.colour import kubelka_munk
from batiksim.colour.kubelka_munk import ks_from_reflectance, reflectance_from_ks, waxed_reflectance, wet_reflectance

# K/S = (1-R)^2 / 2R (Kubelka & Munk 1931), worked by hand
REFLECTANCE_KS = [
    (0.01, 49.005), (0.05, 9.025), (0.10, 4.05), (0.20, 1.6), (0.30, 0.816667), (0.50, 0.25), (0.70, 0.064286),
    (0.90, 0.005556),
]  # fmt: skip
KS_REFLECTANCE = [
    (0.1, 0.641742), (0.5, 0.381966), (1, 0.267949), (2, 0.171573), (5, 0.083920), (10, 0.045549), (20, 0.023823),
]  # fmt: skip
# Lekner & Dorf, Applied Optics 1988: water 1.333, fibre 1.55, without the film's shine
DRY_WET = [
    (0.05, 0.0246), (0.10, 0.0506), (0.20, 0.1069), (0.30, 0.1701), (0.40, 0.2414), (0.50, 0.3225), (0.60, 0.4155),
    (0.70, 0.5231), (0.80, 0.6493), (0.90, 0.7990),
]  # fmt: skip

shares = st.floats(0, 1)


@pytest.mark.parametrize(("reflectance", "ks"), REFLECTANCE_KS)
def test_ks_of_published_reflectances(reflectance, ks):
    assert ks_from_reflectance(reflectance) == pytest.approx(ks, abs=6e-7)


@pytest.mark.parametrize(("ks", "reflectance"), KS_REFLECTANCE)
def test_reflectance_of_published_ks(ks, reflectance):
    assert reflectance_from_ks(ks) == pytest.approx(reflectance, abs=6e-7)


@given(st.floats(1e-9, 4e5), st.floats(0, 0.1))
def test_the_two_ways_undo_each_other(ks, surface):
    back = ks_from_reflectance(reflectance_from_ks(ks, surface=surface), surface=surface)
    assert back == pytest.approx(ks, rel=1e-6, abs=1e-12)


def test_nothing_is_blacker_than_the_surface():
    """At or below it, reflectance counts as a millionth above it: K/S is then (1 - r)² / 2 r of a millionth."""
    assert ks_from_reflectance(0.0) == pytest.approx((1 - 1e-6) ** 2 / 2e-6, rel=1e-9)
    assert ks_from_reflectance([0.0, 0.015], surface=0.015).tolist() == [ks_from_reflectance(0.0)] * 2


def test_surface_is_the_deepest_black_and_no_dye_is_white():
    assert reflectance_from_ks(1e12, surface=0.015) == pytest.approx(0.015)
    assert reflectance_from_ks(0.0, surface=0.015) == 1.0
    assert np.isfinite(ks_from_reflectance([0.0, 0.015, -1.0], surface=0.015)).all()
    assert ks_from_reflectance(1.2) == 0


@given(st.floats(0, 100), st.floats(1e-3, 10))
def test_more_dye_never_brightens(ks, more):
    assert reflectance_from_ks(ks + more, surface=0.015) < reflectance_from_ks(ks, surface=0.015)


@pytest.mark.parametrize(("dry", "wet"), DRY_WET)
def test_wet_cloth_of_the_published_table(dry, wet):
    assert wet_reflectance(dry) == pytest.approx(wet, abs=6e-5)


def fresnel_integral(n, steps=200_000):
    """Transmittance into index n of light from a whole hemisphere, summed ray by ray from Fresnel's formulas."""
    sine2 = (np.arange(steps) + 0.5) / steps  # equal parts of sin^2 are equal parts of Lambertian light
    inside, outside = np.sqrt(1 - sine2 / n**2), np.sqrt(1 - sine2)
    across = ((outside - n * inside) / (outside + n * inside)) ** 2
    along = ((n * outside - inside) / (n * outside + inside)) ** 2
    return 1 - float(np.mean(across + along)) / 2


@pytest.mark.parametrize("n", [1.333, 1.435, 1.55, 1.55 / 1.333, 1.55 / 1.435])
def test_closed_form_is_the_fresnel_integral(n):
    assert kubelka_munk._through(n) == pytest.approx(fresnel_integral(n), abs=2e-6)


def test_film_constants_of_water():
    # p, q and shine as published by Lekner & Dorf 1988; T(1.333) = .93359
    assert kubelka_munk._through(1.333) == pytest.approx(0.93359, abs=5e-6)
    assert kubelka_munk._film(1.333) == pytest.approx((0.47459, 1.0683, 0.02037), abs=5e-5)


def test_film_constants_of_wax_from_the_integral():
    n = kubelka_munk.WAX_INDEX
    assert pytest.approx(1 - fresnel_integral(n) / n**2, abs=2e-6) == kubelka_munk.WAX_P
    assert pytest.approx(fresnel_integral(1.55 / n) / fresnel_integral(1.55), abs=4e-6) == kubelka_munk.WAX_Q
    assert pytest.approx(((n - 1) / (n + 1)) ** 2) == kubelka_munk.WAX_R


@given(st.floats(0.001, 0.999))
def test_wet_is_darker_and_waxed_darker_still(dry):
    wet, waxed = wet_reflectance(dry), waxed_reflectance(np.full(31, dry))
    assert 0 <= wet < dry
    assert np.all((waxed >= 0) & (waxed < wet))


def test_wax_warms_faintly():
    from batiksim.colour.spaces import xyz_to_lab
    from batiksim.colour.spectra import reflectance_to_xyz

    waxed = waxed_reflectance(np.full((2, 31), 0.8))
    light, red, yellow = xyz_to_lab(reflectance_to_xyz(waxed))[0]
    assert light < xyz_to_lab(np.full(3, 0.8) * [0.9505, 1, 1.089])[0]
    assert 0.5 < yellow < 5
    assert abs(red) < 1.5
    assert np.all(np.diff(kubelka_munk.WAX_TINT) > 0)


def test_kernel_form_of_waxed_cloth():
    """The formula, written out as a kernel would with the constants given away."""
    dry = np.linspace(0, 1, 31)
    taken = 1 - dry
    taken = taken * ((1 - taken) * kubelka_munk.WAX_Q + taken)
    shown = 1 - (1 - kubelka_munk.WAX_R) * taken / (1 - kubelka_munk.WAX_P * (1 - taken)) - kubelka_munk.WAX_R
    assert_allclose(waxed_reflectance(dry), kubelka_munk.WAX_TINT * shown, atol=1e-14)


def test_shapes_and_types():
    many = np.full((2, 3, 31), 0.5, dtype=np.float32)
    for made in (ks_from_reflectance(many), reflectance_from_ks(many), wet_reflectance(many), waxed_reflectance(many)):
        assert made.shape == (2, 3, 31)
        assert made.dtype == np.float64
    with pytest.raises(ValueError, match="last axis of 31"):
        waxed_reflectance(np.ones(30))
