"""Dyes and pots on a cloth: what they show alone, how they add up, how they grow with strength."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from batiksim.cloth.dyes_on_cloth import cloth_dyes, dyes_on_cloth
from batiksim.colour import kubelka_munk, spaces, spectra
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.gamut import xyz_to_hex
from batiksim.errors import BatikError
from batiksim.values import DROP_ML, BuildUp, Cloth, Dye, Pot, Undyed

CLOTH = Cloth(width_mm=100)
FLAT = tuple((float(nm), 0.2) for nm in range(400, 701, 20))


def shown(dyes, ks):
    """Hex and CIELAB of dyes of this K/S on a cloth."""
    xyz = spectra.reflectance_to_xyz(kubelka_munk.reflectance_from_ks(dyes.cloth_ks + ks, surface=dyes.surface))
    return xyz_to_hex(xyz), spaces.xyz_to_lab(xyz)


@pytest.mark.parametrize("surface", [0.0, 0.015, 0.05])
@pytest.mark.parametrize("cloth", ["#ffffff", "#f1ede2", "#d9c7a3"])
def test_load_one_shows_the_given_colour(cloth, surface):
    """Within 0.5 CIEDE2000 of colours that such a cloth can show."""
    colours = ["#b8a31e", "#a03060", "#1f6f7a", "#3f7a45"]
    fitted = cloth_dyes(
        Cloth(width_mm=100, colour=cloth, surface=surface), [Dye(name=one, colour=one) for one in colours]
    )
    assert shown(fitted, 0)[0] == cloth
    for one in colours:
        _, lab = shown(fitted, fitted.dyes[one].ks)
        assert delta_e_2000(lab, spaces.hex_to_lab(one)) < 0.5
        assert fitted.dyes[one].residual == pytest.approx(delta_e_2000(lab, spaces.hex_to_lab(one)), abs=0.02)


@pytest.mark.parametrize("beyond", ["#ffffff", "#000000", "#00ffff"])
def test_a_colour_out_of_reach_says_how_far(beyond):
    fitted = cloth_dyes(CLOTH, [Dye(name="beyond", colour=beyond)]).dyes["beyond"]
    assert fitted.residual > 1
    assert np.all(fitted.ks >= 0)
    assert np.all(np.isfinite(fitted.ks))


def test_a_measured_dye_keeps_its_reflectance():
    fitted = cloth_dyes(CLOTH, [Dye(name="grey", spectrum="grey.csv", samples=FLAT)])
    dyed = kubelka_munk.reflectance_from_ks(fitted.cloth_ks + fitted.dyes["grey"].ks, surface=0.015)
    assert_allclose(dyed, 0.2, atol=1e-12)
    assert fitted.dyes["grey"].residual == pytest.approx(0, abs=1e-9)


def test_a_dye_measured_paler_than_the_cloth_adds_nothing_there_and_says_so():
    pale = tuple((nm, 0.99) for nm, _ in FLAT)
    fitted = cloth_dyes(CLOTH, [Dye(name="pale", spectrum="pale.csv", samples=pale)]).dyes["pale"]
    assert_allclose(fitted.ks, 0, atol=1e-3)
    assert fitted.residual > 2


def test_a_dye_measured_below_the_surface_is_black_and_finite():
    dark = tuple((nm, 0.001) for nm, _ in FLAT)
    fitted = cloth_dyes(CLOTH, [Dye(name="dark", spectrum="dark.csv", samples=dark)]).dyes["dark"]
    assert_allclose(fitted.ks, 0.985 / (2 * 1e-4), rtol=0.002)  # as of a ten-thousandth above the surface: 1/(2R)
    assert fitted.residual > 1


def test_a_dye_seen_on_another_cloth_adds_the_same_to_this_one():
    other = Undyed(colour="#ffffff", surface=0.03)
    there = cloth_dyes(Cloth(width_mm=100, colour="#ffffff", surface=0.03), [Dye(name="rose", colour="#c0507a")])
    here = cloth_dyes(
        Cloth(width_mm=100, colour="#f1ede2", surface=0.015), [Dye(name="rose", colour="#c0507a", seen_on=other)]
    )
    assert np.array_equal(here.dyes["rose"].ks, there.dyes["rose"].ks)
    assert not np.allclose(here.cloth_ks, there.cloth_ks)


def test_parts_are_shares_of_the_pot(build):
    fitted = dyes_on_cloth(build.design())
    table = fitted.pot_table(Pot(name="mix", parts={"sun": 3, "pink": 1, "sea": 0}, strength=2))
    shares = {name: at for at, name in enumerate(fitted.dyes)}
    full = np.zeros(len(shares))
    full[[shares["sun"], shares["pink"]]] = 1.5, 0.5
    assert_allclose(table, np.arange(256)[:, None] / 255 * full)


def test_drops_come_on_top(build):
    """100 ml of half-strength sun and 200 drops (10 ml) of pink."""
    pot = Pot(name="mix", parts={"sun": 1}, strength=0.5, ml=100, drops={"pink": 10 / DROP_ML})
    loads = dyes_on_cloth(build.design()).pot_loads(pot)
    assert loads == pytest.approx({"sun": 0.5 * 100 / 110, "pink": 10 / 110})


LAWS = st.builds(BuildUp, law=st.sampled_from(["linear", "saturating", "power"]), bend=st.floats(0.05, 5))


@given(law=LAWS, strength=st.floats(0, 4), more=st.floats(0, 4))
def test_load_grows_with_strength_and_is_one_at_one(law, strength, more):
    assert law.load(0) == 0
    assert law.load(1) == pytest.approx(1)
    assert law.load(strength) >= 0
    assert law.load(strength + more) >= law.load(strength) * (1 - 1e-12)


@pytest.mark.parametrize(
    ("law", "bend", "half"),
    [("linear", 1.0, 0.5), ("power", 0.5, 0.5**0.5), ("saturating", 2.0, (1 - np.exp(-1)) / (1 - np.exp(-2)))],
)
def test_build_up_by_hand(law, bend, half):
    """A pot at half strength, and a pot at full strength brushed on at half, both take the load of a half."""
    dye = Dye(name="rose", colour="#c0507a", build_up=BuildUp(law=law, bend=bend))
    fitted = cloth_dyes(CLOTH, [dye])
    assert fitted.pot_loads(Pot(name="weak", parts={"rose": 1}, strength=0.5)) == pytest.approx({"rose": half})
    assert fitted.pot_loads(Pot(name="full", parts={"rose": 1}), 0.5) == pytest.approx({"rose": half})
    table = fitted.pot_table(Pot(name="weak", parts={"rose": 1}, strength=0.5))
    assert table[255] == pytest.approx([half])
    assert table[0] == 0


def test_a_dye_without_any_colour_is_an_error():
    with pytest.raises(BatikError, match="'lost'.*needs a colour or measured values"):
        cloth_dyes(CLOTH, [Dye(name="lost", book="mine.toml")])
