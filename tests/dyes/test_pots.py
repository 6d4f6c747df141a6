"""One pot looked at: recipes in words, amounts by hand, colours as the engine shows them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from batiksim.cloth import render
from batiksim.cloth.dyes_on_cloth import cloth_dyes, dyes_on_cloth
from batiksim.cloth.loads import LOAD_KNEE, load_held
from batiksim.cloth.stages import pot_hex
from batiksim.colour import kubelka_munk, spaces, spectra
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.gamut import xyz_to_hex
from batiksim.dyes.match_report import match_data, matched
from batiksim.dyes.pot_colour import amounts_ml, pot_look, read_pot
from batiksim.dyes.recipes import dilution_words, pot_data, recipe_words
from batiksim.dyes.target_colour import ground_of, wanted_colour, wanted_dye_or_colour
from batiksim.errors import BatikError
from batiksim.files.toml.dyebooks import read_book
from batiksim.values import BuildUp, Cloth, Dye, Pot

CLOTH = Cloth(width_mm=100)
DYES = cloth_dyes(
    CLOTH,
    [
        Dye(name="lemon", colour="#f3de3c", build_up=BuildUp(law="saturating", bend=0.6)),
        Dye(name="sea blue", colour="#1391b2", build_up=BuildUp(law="power", bend=0.8)),
        Dye(name="navy", colour="#2c3550"),
    ],
)


def test_a_recipe_in_words():
    pot = read_pot("Lemon=5, sea blue = 1,navy=3 drops", DYES.dyes, strength=0.6)
    assert pot == Pot(name="pot", parts={"lemon": 5, "sea blue": 1}, strength=0.6, ml=100, drops={"navy": 3})
    assert str(recipe_words(pot)) == "5 parts lemon, 1 part sea blue and 3 drops navy"
    assert read_pot("lemon", DYES.dyes).parts == {"lemon": 1}
    assert read_pot("lemon=0.5, lemon=1.5, navy", DYES.dyes).parts == {"lemon": 2, "navy": 1}
    assert read_pot("navy=1 drop", DYES.dyes, ml=50) == Pot(name="pot", parts={}, ml=50, drops={"navy": 1})


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("lemn=5", "'lemn' isn't a dye in this book; did you mean 'lemon'?"),
        ("lemon=five", "'lemon=five' isn't an amount of a dye"),
        ("lemon=5 spoons", "isn't an amount of a dye"),
        ("lemon=-1", "isn't an amount of a dye"),
        ("lemon=1=2", "isn't an amount of a dye"),
        ("", "isn't an amount of a dye"),
        ("lemon=5,", "isn't an amount of a dye"),
        ("lemon=0", "adds up to nothing"),
        ("lemon=99999", "out of range"),
    ],
)
def test_slips_in_a_recipe(text, told):
    with pytest.raises(BatikError) as caught:
        read_pot(text, DYES.dyes)
    assert told in str(caught.value)


@given(st.text(max_size=40))
def test_any_text_is_a_pot_or_one_clear_error(text):
    try:
        pot = read_pot(text, DYES.dyes)
    except BatikError:
        return
    assert set(pot.dyes) <= set(DYES.dyes)


def by_name(amounts):
    return {str(what): ml for what, ml in amounts}


def test_amounts_by_hand():
    """100 ml at .6: 60 ml of mix as 5 : 1, 40 ml water; three drops of .05 ml on top."""
    pot = Pot(name="p", parts={"lemon": 5, "sea blue": 1}, strength=0.6, ml=100, drops={"navy": 3})
    expected = {"lemon": 50, "sea blue": 10, "chemical water": 40, "navy": 0.15}
    assert by_name(amounts_ml(pot)) == pytest.approx(expected)
    assert by_name(amounts_ml(Pot(name="p", parts={"lemon": 1}, strength=1.5))) == pytest.approx({"lemon": 100})
    assert by_name(amounts_ml(Pot(name="p", parts={}, ml=50, drops={"navy": 4}))) == pytest.approx(
        {"chemical water": 50, "navy": 0.2}
    )


def test_loads_of_a_pot_by_hand():
    """.6 of 5 : 1 is .5 and .1, thinned by .15 ml of drops; the drops are .15 of 100.15. Then each by its build-up."""
    pot = Pot(name="p", parts={"lemon": 5, "sea blue": 1}, strength=0.6, ml=100, drops={"navy": 3})
    thin = 100 / 100.15
    expected = {
        "lemon": (1 - np.exp(-0.6 * 0.5 * thin)) / (1 - np.exp(-0.6)),
        "sea blue": (0.1 * thin) ** 0.8,
        "navy": 0.15 / 100.15,
    }
    look = pot_look(DYES, pot)
    assert dict(look.loads) == pytest.approx(expected)
    ks = sum(load * DYES.dyes[dye].ks for dye, load in expected.items())
    reflectance = kubelka_munk.reflectance_from_ks(DYES.cloth_ks + ks, surface=0.015)
    assert look.dry.hex == xyz_to_hex(spectra.reflectance_to_xyz(reflectance))
    assert look.wet.hex == xyz_to_hex(spectra.reflectance_to_xyz(kubelka_munk.wet_reflectance(reflectance)))


@pytest.mark.parametrize(
    ("strength", "words"),
    [
        (1.0, "full strength, no water"),
        (0.5, "50 ml dye solution, 50 ml chemical water"),
        (0.6, "60 ml dye solution, 40 ml chemical water"),
        (0.05, "5 ml dye solution, 95 ml chemical water"),
        (0.06, "6 ml dye solution, 94 ml chemical water"),
        (1.25, "dye solution made 1.25 times as strong"),
        (0.0, "chemical water only"),
    ],
)
def test_how_to_thin(strength, words):
    assert str(dilution_words(Pot(name="p", parts={"lemon": 5, "navy": 1}, strength=strength))) == words


def test_wet_is_darker_and_the_solution_darker_still():
    for text in ("lemon", "lemon=5, sea blue=1", "navy"):
        look = pot_look(DYES, read_pot(text, DYES.dyes, strength=0.6))
        assert look.dry.lab[0] > look.wet.lab[0] > look.solution.lab[0]


def test_one_part_more():
    look = pot_look(DYES, read_pot("lemon=5, sea blue=1, navy=2 drops", DYES.dyes))
    assert [(one.by, one.dye) for one in look.shifts] == [("part", "lemon"), ("part", "sea blue"), ("drop", "navy")]
    for one in look.shifts:
        assert one.delta_e == pytest.approx(
            float(delta_e_2000(np.array(look.dry.lab), np.array(one.colour.lab))), abs=1e-9
        )
    assert "yellower" in str(look.shifts[0].words)
    assert "darker" in str(look.shifts[1].words)
    more = pot_look(DYES, read_pot("lemon=5, sea blue=2, navy=2 drops", DYES.dyes))
    assert look.shifts[1].colour == more.dry
    assert pot_look(DYES, read_pot("lemon", DYES.dyes)).shifts == ()


def test_notes():
    assert "more powder" in str(pot_look(DYES, read_pot("lemon", DYES.dyes, strength=2)).notes[0])
    assert any("wash out again" in str(note) for note in pot_look(DYES, read_pot("navy", DYES.dyes, strength=4)).notes)
    assert pot_look(DYES, read_pot("lemon, navy", DYES.dyes)).notes == ()
    far = cloth_dyes(CLOTH, [Dye(name="neon", colour="#00ff40")])
    assert any("neon" in str(note) for note in pot_look(far, read_pot("neon", far.dyes)).notes)
    with pytest.raises(BatikError, match="isn't a dye"):
        pot_look(far, Pot(name="p", parts={"lemon": 1}))


def test_late_pots_barely_take():
    """Two pots of 2 full strengths: together they hold what the engine's rule says of 4."""
    pot = Pot(name="p", parts={"navy": 1}, strength=2)
    held = load_held(4.0)
    assert LOAD_KNEE < held < 4
    assert DYES.taken_ks([pot, pot]) == pytest.approx(held * DYES.dyes["navy"].ks)
    assert DYES.taken_ks([pot]) + DYES.taken_ks([pot], before=2.0) == pytest.approx(held * DYES.dyes["navy"].ks)
    assert DYES.taken_ks([replace(pot, strength=0)]) == pytest.approx(0)


@pytest.mark.parametrize("strength", [0.5, 2.5, 3.0, 4.0])
def test_the_colour_beside_a_pots_name_is_the_one_it_dries_to(build, strength):
    """Also of a pot so strong that cotton doesn't take all of it."""
    planned = build.design(build.dye("deep"), pots=(Pot(name="deep", parts={"sea": 1}, strength=strength),))
    dried = render.render(build.program(planned), np.zeros((0, 1, 1), np.uint8))[1, 0, 0]
    told = bytes.fromhex(pot_hex(planned, dyes_on_cloth(planned), "deep")[1:])
    assert np.abs(dried.astype(int) - list(told)).max() <= 1


def test_a_ground_by_its_pot_and_by_its_colour():
    by_pot = ground_of("lemon=1", DYES)
    assert by_pot.load == pytest.approx(1)
    assert by_pot.ks == pytest.approx(DYES.dyes["lemon"].ks)
    by_colour = ground_of("F3DE3C", DYES)
    shown = kubelka_munk.reflectance_from_ks(DYES.cloth_ks + by_colour.ks, surface=0.015)
    away = delta_e_2000(spaces.xyz_to_lab(spectra.reflectance_to_xyz(shown)), spaces.hex_to_lab("#f3de3c"))
    assert away < 1
    assert ground_of("#ffffff", DYES).load == 0


def test_a_ground_by_names():
    """A dye, a pot of the design, several dyes, and what colours are called: as the wanted colour may be."""
    leaf = Pot(name="Leaf", parts={"lemon": 2, "navy": 1}, strength=0.8)
    assert ground_of("Lemon", DYES).ks == pytest.approx(DYES.dyes["lemon"].ks)
    assert ground_of(" leaf", DYES, [leaf]).ks == pytest.approx(DYES.taken_ks([leaf]))
    assert ground_of("lemon, navy", DYES).ks == pytest.approx(DYES.taken_ks([read_pot("lemon=1, navy=1", DYES.dyes)]))
    weak = cloth_dyes(CLOTH, [Dye(name="black", colour="#666666")])
    assert ground_of("black", weak).ks == pytest.approx(weak.dyes["black"].ks)  # the dye, not the colour of that name
    green = ground_of("Strong yellow-green", DYES)
    assert green.ks == pytest.approx(ground_of(wanted_colour("strong yellow green").hex, DYES).ks, rel=0.02, abs=0.01)
    assert green.load == 1


@pytest.mark.parametrize("text", ["#C05F7A", "c05f7a", "  #c05f7a "])
def test_a_wanted_colour_as_figures(text):
    wanted = wanted_colour(text)
    assert (wanted.hex, wanted.from_name) == ("#c05f7a", None)
    assert wanted.lab == pytest.approx(spaces.hex_to_lab("#c05f7a"))


@pytest.mark.parametrize("text", ["deep yellowish pink", "Deep Yellowish Pink", "dark gray", "light greenish-blue"])
def test_a_wanted_colour_by_name(text):
    name = text.lower().replace("gray", "grey").replace("-", " ")
    assert wanted_colour(text).from_name == name


@pytest.mark.parametrize("text", ["navy", " Navy", "navy=1"])
def test_a_wanted_dye_or_pot(text):
    wanted = wanted_dye_or_colour(text, DYES)
    assert wanted.lab == pot_look(DYES, read_pot("navy", DYES.dyes)).dry.lab
    assert wanted.reflectance is not None
    leaf = Pot(name="Leaf", parts={"lemon": 5, "navy": 1})
    assert wanted_dye_or_colour("leaf", DYES, [leaf]).lab == pot_look(DYES, leaf).dry.lab
    assert wanted_dye_or_colour("vivid red", DYES).lab == wanted_colour("vivid red").lab


def test_a_colour_word_that_is_neither_gets_advice_that_is_near_or_none():
    with pytest.raises(BatikError, match="did you mean the dye or pot 'lemon'"):
        wanted_dye_or_colour("lemn", DYES)
    for text in ("mosss", "", "qqq"):
        with pytest.raises(BatikError, match="isn't a colour that batiksim knows") as caught:
            wanted_dye_or_colour(text, DYES)
        assert str(caught.value.fix).startswith("write a colour like")
    with pytest.raises(BatikError, match="isn't a dye in this book"):
        wanted_dye_or_colour("lemn=2", DYES)
    with pytest.raises(BatikError, match="did you mean the dye or pot 'MOSS TOP'"):
        wanted_dye_or_colour("moss tip", DYES, [Pot(name="MOSS TOP", parts={"lemon": 1})])


@pytest.mark.parametrize(
    ("text", "near"),
    [
        ("deep yelowish pink", "'deep yellowish pink'"),
        ("pinkish", "pink"),
        ("turquoise", '"#c05f7a"'),
        ("#12345", '"#c05f7a"'),
        ("", '"#c05f7a"'),
    ],
)
def test_unknown_colours_get_advice(text, near):
    with pytest.raises(BatikError, match="isn't a colour that batiksim knows") as caught:
        wanted_colour(text)
    assert near in str(caught.value.fix)


def test_matches_in_words():
    found = matched(DYES, wanted_colour("#6f9f58"))
    assert found.recipes[0].delta_e == min(one.delta_e for one in found.recipes)
    assert not found.dyed_ground
    data = match_data(found)
    assert data["pots"][0]["delta_e"] == found.recipes[0].delta_e
    assert data["wanted"]["hex"] == "#6f9f58"
    for one, entry in zip(found.recipes, data["pots"], strict=True):
        look = pot_look(DYES, one.pot)
        assert look.dry.hex == one.colour.hex == entry["hex"]


def test_notes_on_what_cannot_be():
    neon = matched(DYES, wanted_colour("#00ff40"))
    assert "can't make this colour" in str(neon.notes[0])
    paler = matched(DYES, wanted_colour("#e8e0c8"), ground=ground_of("navy", DYES))
    assert "paler than this ground" in str(paler.notes[-1])
    assert "Wax that spot" in str(paler.notes[-1])
    white_on_navy = matched(DYES, wanted_colour("#ffffff"), ground=ground_of("navy", DYES))
    assert "stays as pale as this cloth can be" in str(white_on_navy.notes[1])
    white = matched(DYES, wanted_colour("#ffffff"))
    assert "No pot comes closer to your colour than the bare cloth" in str(white.notes[0])
    assert "use a whiter cloth" in str(white.notes[1])
    assert not any(" wax " in str(note).lower() for note in white.notes)  # wax makes nothing paler than the cloth is
    near = matched(DYES, wanted_colour("#f3de3c"))
    assert near.recipes[0].delta_e < 0.1
    assert near.notes == ()


def test_pots_of_the_demo_book_as_data():
    dyes = cloth_dyes(CLOTH, read_book("demo").dyes)
    data = pot_data(pot_look(dyes, read_pot("lemon=5, turquoise=1", dyes.dyes, strength=0.6)))
    assert data["dry"]["plain"] in ("green", "yellow-green")
    assert data["wet"]["approximate"] is True
    assert sum(entry["ml"] for entry in data["amounts_ml"]) == pytest.approx(100)
