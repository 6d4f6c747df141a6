"""Other lights against colour-science; pairs that part by lamp made from metameric blacks."""

import dataclasses
from types import SimpleNamespace

import colour
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from batiksim.checks.metamerism import Lamp, lamp
from batiksim.checks.scene.scene import Scene
from batiksim.cloth.dyes_on_cloth import cloth_dyes
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.differences import NO_DIFFERENCE
from batiksim.colour.kubelka_munk import reflectance_from_ks, wet_reflectance
from batiksim.colour.spaces import xyz_to_lab
from batiksim.colour.spectra import BANDS_NM, LIGHTS, light_weights, white_point
from batiksim.colour.viewing import seen_xyz
from batiksim.dyes.match import find_pots
from batiksim.dyes.match_report import match_data, matched, twins
from batiksim.dyes.metamerism import APART, SAME, metameric_pairs
from batiksim.dyes.pot_colour import pot_look
from batiksim.dyes.target_colour import wanted_dye_or_colour
from batiksim.errors import BatikError
from batiksim.values import Cloth, Dye, Pot, Region
from batiksim.values.light_words import seen_as

COLOURS = {"sun": "#f0d92e", "pink": "#d6246e", "sea": "#1aa7b8", "moss": "#76903a", "night": "#1d2030"}
DYES = cloth_dyes(Cloth(width_mm=100), [Dye(name=name, colour=shown) for name, shown in COLOURS.items()])
# The names that colour-science (CIE 15 and CIE 224) gives the lights; LED is its LED-B3.
OUTSIDE = {"D65": "D65", "D50": "D50", "A": "A", "LED": "LED-B3"}


def mixture(loads):
    ks = DYES.cloth_ks + sum(load * dye.ks for load, dye in zip(loads, DYES.dyes.values(), strict=True))
    return reflectance_from_ks(ks, surface=DYES.surface)


def outside_xyz(reflectance, light):
    """XYZ by colour-science: 1 nm from a smooth curve through the bands, white at Y = 1, Bradford to D65."""
    grid = colour.SpectralShape(400, 700, 1)
    curve = colour.SpectralDistribution(dict(zip(BANDS_NM, reflectance, strict=True))).align(grid)
    lamp = colour.SDS_ILLUMINANTS[OUTSIDE[light]].copy().align(grid)
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(grid)
    xyz = colour.sd_to_XYZ(curve, observer, lamp, method="Integration", shape=grid) / 100
    white = colour.sd_to_XYZ(colour.sd_ones(grid), observer, lamp, method="Integration") / 100
    day = colour.SDS_ILLUMINANTS["D65"].copy().align(grid)
    to = colour.sd_to_XYZ(colour.sd_ones(grid), observer, day, method="Integration") / 100
    return colour.adaptation.chromatic_adaptation_VonKries(xyz, white, to, transform="Bradford"), to


loads = st.tuples(*[st.floats(0, 1.5)] * len(COLOURS))


@pytest.mark.parametrize("light", LIGHTS)
@given(loads=loads)
@settings(max_examples=12, deadline=None)
def test_dye_mixes_under_each_light_agree_with_colour_science(light, loads):
    reflectance = mixture(loads)
    other, white = outside_xyz(reflectance, light)
    ours = xyz_to_lab(seen_xyz(reflectance, light=light))
    assert delta_e_2000(ours, xyz_to_lab(other, white)) < 0.2


@pytest.mark.parametrize("light", LIGHTS)
def test_white_stays_white_and_grey_stays_grey(light):
    labs = xyz_to_lab(seen_xyz(np.full((3, 31), [[1.0], [0.5], [0.1]]), light=light))
    assert_allclose(labs[:, 1:], 0, atol=0.01)


@given(loads=loads)
def test_wet_cloth_is_darker_under_every_light(loads):
    dry = mixture(loads)
    for light in LIGHTS:
        wet = seen_xyz(dry, light=light, look="wet")
        assert_allclose(wet, seen_xyz(wet_reflectance(dry), light=light))
        assert wet[1] < seen_xyz(dry, light=light)[1]


def metamer(reflectance, size):
    """Another reflectance with the same XYZ by day: added is what lamp light shows of red and daylight hides."""
    shape, seen = light_weights("A")[:, 0], light_weights("D65")
    hidden = shape - seen @ np.linalg.lstsq(seen, shape, rcond=None)[0]
    return reflectance + size * hidden / np.abs(hidden).max()


def test_metamers_are_found_with_the_lamp_that_parts_them_most():
    base = mixture([0.2, 0.1, 0.1, 0.0, 0.0])
    found = metameric_pairs([base, mixture([1, 0, 0, 0, 0]), metamer(base, 0.12)])
    assert [(pair.first, pair.second) for pair in found] == [(0, 2)]
    pair = found[0]
    labs = {light: xyz_to_lab(seen_xyz([base, metamer(base, 0.12)], light=light)) for light in ("D65", "A", "LED")}
    gaps = {light: float(delta_e_2000(lab[0], lab[1])) for light, lab in labs.items()}
    assert pair.lamp == max(("A", "LED"), key=gaps.get)
    assert_allclose([pair.by_day, pair.by_lamp], [gaps["D65"], gaps[pair.lamp]], atol=1e-9)
    assert pair.by_day <= SAME < APART <= pair.by_lamp


def test_many_pairs_are_all_found_as_by_trying_each():
    random = np.random.default_rng(4)
    base = np.stack([mixture(random.uniform(0, 0.8, 5)) for _ in range(12)])
    some = np.concatenate([base, np.clip([metamer(one, random.uniform(-0.08, 0.08)) for one in base], 0.001, 1)])
    labs = {light: xyz_to_lab(seen_xyz(some, light=light)) for light in ("D65", "A", "LED")}
    expected = set()
    for one in range(24):
        for other in range(one + 1, 24):
            gap = {light: delta_e_2000(lab[one], lab[other]) for light, lab in labs.items()}
            if gap["D65"] <= SAME and max(gap["A"], gap["LED"]) >= APART:
                expected.add((one, other))
    found = metameric_pairs(some)
    assert {(pair.first, pair.second) for pair in found} == expected
    assert expected
    assert [pair.by_lamp for pair in found] == sorted((pair.by_lamp for pair in found), reverse=True)


def test_equal_colours_never_part():
    assert metameric_pairs(np.stack([mixture([1, 0, 1, 0, 0])] * 3)) == ()
    assert metameric_pairs(np.zeros((0, 31))) == ()


def region(history, loads):
    keys = {"hex": "#000000", "lab": (0.0, 0.0, 0.0), "name": "black", "plain": "black"}
    return Region(share=0.5, history=history, loads=loads, **keys)


def test_regions_of_a_cloth_are_told_as_notes():
    dyes = with_twin()
    both = {"sea": 0.5, "moss": 0.5}
    cloth = [region(("reeds",), both), region(("twin",), {"twin": 1.0}), region((), {}), region(("edges",), both)]
    scene = SimpleNamespace(
        outcome=SimpleNamespace(regions=cloth),
        dyes=dyes,
        ops_with=lambda *pots: pots,
        concerned=lambda ops: {"pots": ops, "masks": ("leaves.png",)},
    )
    (finding,) = lamp(scene, Lamp())
    assert (finding.pots, finding.masks, list(finding.numbers)) == (
        ("reeds", "twin"),
        ("leaves.png",),
        ["by_day_de", "by_lamp_de"],
    )
    assert (finding.code, finding.severity) == ("lamp", "note")
    assert str(finding.message).startswith("Reeds and twin match by daylight, but look")
    assert not list(lamp(SimpleNamespace(outcome=SimpleNamespace(regions=cloth[:1]), dyes=dyes), Lamp()))


def test_lights_in_words():
    assert str(seen_as("D65", "dry")) == "by daylight"
    assert str(seen_as("A", "wet")) == "wet (approximate), under a filament lamp"
    with pytest.raises(BatikError, match="did you mean 'LED'"):
        seen_as("LEDs", "dry")


def test_the_whites_are_those_of_the_lights():
    for light in LIGHTS:
        assert_allclose(seen_xyz(np.ones(31), light=light), white_point("D65"), atol=1e-9)


@pytest.mark.parametrize("light", LIGHTS)
def test_a_pot_under_each_light_agrees_with_colour_science(light):
    pot = Pot(name="p", parts={"sun": 4, "sea": 1, "night": 1}, strength=0.8)
    look = pot_look(DYES, pot, light=light)
    dry = mixture([0.8 * 4 / 6, 0, 0.8 / 6, 0, 0.8 / 6])
    for shown, reflectance in ((look.dry, dry), (look.wet, wet_reflectance(dry)), (look.cloth, mixture([0] * 5))):
        other, white = outside_xyz(reflectance, light)
        assert delta_e_2000(np.array(shown.lab), xyz_to_lab(other, white)) < 0.2
    (lit,) = [one for one in look.lit if one.light == light]
    assert lit.colour == look.dry
    by_day = xyz_to_lab(seen_xyz(dry))
    assert lit.delta_e == pytest.approx(float(delta_e_2000(by_day, np.array(look.dry.lab))), abs=1e-9)
    assert (lit.words == NO_DIFFERENCE) == (lit.delta_e < 0.5)
    one_more = pot_look(DYES, dataclasses.replace(pot, parts={"sun": 5, "sea": 1, "night": 1}), light=light).dry
    assert look.shifts[0].colour == one_more


def with_twin():
    """Dyes, one of which looks by day as half sea and half moss do, and not by lamp."""
    twin = metamer(mixture([0, 0, 0.5, 0.5, 0]), 0.09)
    measured = Dye(name="twin", spectrum="twin.csv", samples=tuple(zip(BANDS_NM.tolist(), twin.tolist(), strict=True)))
    plain = [Dye(name=name, colour=COLOURS[name]) for name in ("sun", "sea", "moss")]
    return cloth_dyes(Cloth(width_mm=100), [*plain, measured])


def outside_gaps(one, other):
    labs = [[xyz_to_lab(*outside_xyz(some, light)) for some in (one, other)] for light in ("D65", "A", "LED")]
    return [float(delta_e_2000(*pair)) for pair in labs]


def test_matched_pots_that_part_by_lamp_are_told():
    """The pots found for a dye: its own and a mix of others that parts from it, as far as colour-science says."""
    dyes = with_twin()
    found = matched(dyes, wanted_dye_or_colour("twin", dyes), count=4)
    assert [set(one.pot.parts) for one in found.recipes[:2]] == [{"twin"}, {"sea", "moss"}]
    pair = found.metameric_pairs[0]
    both = [pot_look(dyes, one.pot).reflectance for one in (found.recipes[0], found.recipes[1])]
    by_day, by_filament, by_led = outside_gaps(*both)
    told = next(one for one in found.metameric_pairs if (one.first, one.second) == (0, 1))
    assert_allclose([told.by_day, told.by_lamp], [by_day, max(by_filament, by_led)], atol=0.3)
    assert pair.by_day <= SAME < APART <= pair.by_lamp
    assert any(str(note).startswith("Pot 1 and pot 2 match by daylight, but look") for note in found.notes)
    assert any("the colour you want match by daylight" in str(note) for note in found.notes)
    data = match_data(found)
    assert [1, 2] in [one["pots"] for one in data["partings"]]
    assert [2, "wanted"] in [one["pots"] for one in data["partings"]]


def test_a_pot_tells_of_other_dyes_that_would_part_from_it():
    dyes = with_twin()
    (words, *_) = twins(dyes, pot_look(dyes, Pot(name="p", parts={"sea": 1, "moss": 1})))
    assert str(words).startswith("This pot and twin at strength 1 match by daylight, but look")
    assert twins(DYES, pot_look(DYES, Pot(name="p", parts={"night": 1}))) == ()


def test_a_pot_can_be_matched_by_lamp():
    """Under the lamp the pot found is as near as it says, by colour-science; by daylight it would be another."""
    dyes = with_twin()
    wanted = wanted_dye_or_colour("twin", dyes, light="A")
    by_lamp = find_pots(dyes, wanted.lab, light="A", count=8)
    assert by_lamp[0].pot.parts == {"twin": 1}
    others = [one for one in by_lamp if "twin" not in one.pot.parts]
    for one in others[:2]:
        looks = [pot_look(dyes, pot).reflectance for pot in (one.pot, Pot(name="t", parts={"twin": 1}))]
        assert outside_gaps(*looks)[1] == pytest.approx(one.delta_e, abs=0.3)
    by_day = find_pots(dyes, wanted_dye_or_colour("twin", dyes).lab, count=8)
    assert others[0].pot != next(one.pot for one in by_day if "twin" not in one.pot.parts)


DRAWN = tuple(
    Dye(name=name, colour=colour)
    for name, colour in (("sun", "#f0d92e"), ("pink", "#d6246e"), ("coral", "#e2603a"), ("sea", "#1aa7b8"))
)


def test_colours_that_part_by_lamp_are_noted(draw):
    """A green mixed of two dyes, and its twin by day: the same colour by a reflectance that lamps see otherwise."""
    pots = (Pot(name="reeds", parts={"sea": 1, "coral": 1}, strength=0.3),)
    case = draw.case(("dye", "reeds", None), pots=pots)
    scene = Scene(design=case.design, dyes=case.dyes, masks=case.masks)
    reeds = reflectance_from_ks(scene.program.cloth_ks + scene.pot_ks("reeds"), surface=case.dyes.surface)
    lamp, day = light_weights("A")[:, 0], light_weights("D65")
    hidden = lamp - day @ np.linalg.lstsq(day, lamp, rcond=None)[0]  # daylight doesn't show it, a lamp does
    twin = reeds + 0.09 * hidden / np.abs(hidden).max()
    dyes = (
        *DRAWN,
        Dye(name="twin", spectrum="twin.csv", samples=tuple(zip(BANDS_NM.tolist(), twin.tolist(), strict=True))),
    )
    left, right = draw.box(0, 0, 60, 80), draw.box(60, 0, 120, 80)
    (found,) = draw.case(("dye", "reeds", left, "twin", right), pots=pots, dyes=dyes).check("lamp")
    assert found.severity == "note"
    assert "match by daylight, but look" in str(found.message)
    assert draw.case(("dye", "reeds", left, "sun", right), pots=pots).check("lamp") == ()
