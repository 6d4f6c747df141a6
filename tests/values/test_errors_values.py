"""The one exception family, and the frozen values: what exists is valid, what is not says what to do."""

from __future__ import annotations

import dataclasses
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from batiksim.errors import BatikError, nearest
from batiksim.texts.catalogue import say
from batiksim.texts.phrases import percent
from batiksim.values import (
    BuildUp,
    Cloth,
    Design,
    Discharge,
    Dye,
    DyeBath,
    MaskUse,
    Paint,
    Pot,
    RemoveWax,
    Undyed,
    Want,
    Wax,
)

SUN, SEA = Dye(name="sun", colour="#F0D92E"), Dye(name="sea", colour="#1aa7b8")
CLOTH = Cloth(width_mm=100)


# Errors


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({}, "out of range"),
        ({"got": 3}, "out of range (found 3)"),
        ({"got": "indgo"}, "out of range (found 'indgo')"),
        ({"got": 0, "fix": "worktable.error.no_dyes.fix"}, "out of range (found 0); add a dye first"),
        ({"file": "tide.toml"}, "tide.toml: out of range"),
        ({"field": "step 2"}, "step 2: out of range"),
        ({"file": "tide.toml", "field": "step 2: wax", "got": "a.png", "fix": nearest("a.png", ["b.png"])},
         "tide.toml: step 2: wax: out of range (found 'a.png'); did you mean 'b.png'?"),
    ],
)  # fmt: skip
def test_an_error_reads_as_one_line(given, message):
    assert str(BatikError("settings.error.out_of_range", **given)) == message


def test_what_was_found_is_cut_when_long():
    message = str(BatikError("settings.error.out_of_range", got="x" * 5000))
    assert len(message) < 120
    assert message.endswith("...)")


def test_the_file_is_added_once_and_fields_stack_up():
    error = BatikError("settings.error.out_of_range", got=1, fix="worktable.error.no_dyes.fix")
    error = error.in_field("wax").in_field("step 2").in_file("a.toml")
    assert str(error) == "a.toml: step 2: wax: out of range (found 1); add a dye first"
    assert error.in_file("b.toml") is error
    assert (str(error.problem), error.file, error.field, error.got, str(error.fix)) == (
        "out of range", "a.toml", "step 2: wax", 1, "add a dye first",
    )  # fmt: skip


def test_advice_is_changed_and_what_was_wrong_stays():
    error = BatikError("settings.error.needs_text", file="a.toml", field="title", got=3, example='title = "Tide"')
    assert str(error).endswith('needs text (found 3); write title = "Tide", with the quotes')
    bare = error.advised(None).in_field("step 2")
    assert (str(bare), bare.fix) == ("a.toml: step 2: title: needs text (found 3)", None)
    assert str(error.advised(say("error.no_choices"))).endswith("(found 3); there are none to choose from yet")


@pytest.mark.parametrize(
    ("word", "choices", "advice"),
    [
        ("indgo", ["indigo", "navy"], "did you mean 'indigo'?"),
        ("xyz", ["indigo", "navy"], "use one of 'indigo', 'navy'"),
        ("xyz", [f"dye {n}" for n in range(9)], "use one of 'dye 0', 'dye 1', 'dye 2', 'dye 3', 'dye 4', 'dye 5' ..."),
        ("xyz", [], "there are none to choose from yet"),
        (7, ["7", "8"], "did you mean '7'?"),
    ],
)
def test_nearest(word, choices, advice):
    assert str(nearest(word, choices)) == advice


# Values


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: Cloth(width_mm=0), "width_mm"),
        (lambda: Cloth(width_mm=math.nan), "width_mm"),
        (lambda: Cloth(width_mm=math.inf), "width_mm"),
        (lambda: Cloth(width_mm=True), "width_mm"),
        (lambda: Cloth(width_mm="450"), "width_mm"),
        (lambda: Cloth(width_mm=100, colour="white"), "colour"),
        (lambda: Cloth(width_mm=100, colour="#fff"), "colour"),
        (lambda: Cloth(width_mm=100, colour="#ffffff0"), "colour"),
        (lambda: Cloth(width_mm=100, grams_per_m2=-1), "grams_per_m2"),
        (lambda: Cloth(width_mm=100, surface=0.2), "surface"),
        (lambda: Undyed(surface=-0.1), "surface"),
        (lambda: BuildUp(law="cubic"), "law"),
        (lambda: BuildUp(law="power", bend=0), "bend"),
        (lambda: Dye(name=" ", colour="#ffffff"), "name"),
        (lambda: Dye(name="a\nb", colour="#ffffff"), "name"),
        (lambda: Dye(name="x" * 201, colour="#ffffff"), "name"),
        (lambda: Dye(name="sun"), "dye"),
        (lambda: Dye(name="sun", colour="#ffffff", spectrum="a.csv"), "dye"),
        (lambda: Dye(name="sun", spectrum="a.csv", book="b.toml"), "dye"),
        (lambda: Dye(name="sun", colour="yellow"), "colour"),
        (lambda: Want(colour="#112233", at_mm=(1.0, 2.0, 3.0)), "at"),
        (lambda: Pot(name="mix", parts={}), "parts"),
        (lambda: Pot(name="mix", parts={"sun": 0, "sea": 0}), "parts"),
        (lambda: Pot(name="mix", parts={"sun": -1}), "parts: sun"),
        (lambda: Pot(name="mix", parts={"sun": 1}, strength=4.1), "strength"),
        (lambda: Pot(name="mix", parts={"sun": 1}, drops={"sea": 3}), "ml"),
        (lambda: Pot(name="mix", parts={"sun": 1}, drops={"sea": -3}, ml=10), "drops: sea"),
        (lambda: MaskUse(picture=""), "picture"),
        (lambda: MaskUse(picture="a.png", marks="darkest"), "marks"),
        (lambda: MaskUse(picture="a.png", clean="yes"), "clean"),
        (lambda: Wax(mask=MaskUse(picture="a.png"), grey="thick"), "grey"),
        (lambda: Wax(mask=MaskUse(picture="a.png"), crackle=1.5), "crackle"),
        (lambda: Wax(mask=MaskUse(picture="a.png"), tool="spoon"), "tool"),
        (lambda: Paint(pot=""), "pot"),
        (lambda: DyeBath(paints=()), "dye"),
        (lambda: Discharge(strength=1.01), "strength"),
        (lambda: Design(title="", cloth=CLOTH), "title"),
        (lambda: Design(title="t", cloth=CLOTH, dyes=(SUN, SUN)), "name"),
        (lambda: Design(title="t", cloth=CLOTH, dyes=(SUN,), pots=(Pot(name="sun", parts={"sun": 1}),)), "name"),
        (lambda: Design(title="t", cloth=CLOTH, pots=(Pot(name="mix", parts={"sun": 1}),)), "pot 'mix': parts"),
        (lambda: Design(title="t", cloth=CLOTH, steps=(RemoveWax(), DyeBath(paints=(Paint(pot="sun"),)))),
         "step 2: dye"),
    ],
)  # fmt: skip
def test_what_is_not_valid_does_not_exist(make, field):
    with pytest.raises(BatikError) as caught:
        make()
    assert caught.value.field == field
    assert "\n" not in str(caught.value)


def test_a_wrong_name_gets_the_nearest():
    with pytest.raises(BatikError, match="did you mean 'sun'"):
        Design(title="t", cloth=CLOTH, dyes=(SUN, SEA), steps=(DyeBath(paints=(Paint(pot="sum"),)),))
    with pytest.raises(BatikError, match="did you mean 'sea'"):
        Design(title="t", cloth=CLOTH, dyes=(SUN, SEA)).pot("seaa")


def test_values_are_frozen_and_compare_by_what_they_hold():
    pot = Pot(name="mix", parts={"sun": 5, "sea": 1}, strength=0.5)
    assert pot == Pot(name="mix", parts={"sun": 5, "sea": 1}, strength=0.5)
    turned = Pot(name="mix", parts={"sea": 1, "sun": 5}, strength=0.5)
    assert pot == turned
    assert hash(pot) == hash(turned)
    with pytest.raises(TypeError):
        pot.parts["sun"] = 7
    with pytest.raises(dataclasses.FrozenInstanceError):
        pot.strength = 1
    given = {"sun": 1.0}
    kept = Pot(name="mix", parts=given)
    given["sun"] = 9.0
    assert kept.parts["sun"] == 1.0


def test_colours_are_kept_in_small_letters():
    assert SUN.colour == "#f0d92e"
    assert Cloth(width_mm=100, colour="#FFFFFF").colour == "#ffffff"


def test_a_dyes_name_is_a_pot_of_it_alone():
    design = Design(title="t", cloth=CLOTH, dyes=(SUN, SEA), pots=(Pot(name="mix", parts={"sun": 1, "sea": 1}),))
    assert design.pot("mix") is design.pots[0]
    assert design.pot("sea") == Pot(name="sea", parts={"sea": 1.0}, strength=1.0)


def test_every_mask_with_its_step():
    one, two, three = (MaskUse(picture=f"{name}.png") for name in "abc")
    design = Design(
        title="t",
        cloth=CLOTH,
        dyes=(SUN, SEA),
        steps=(
            Wax(mask=one),
            DyeBath(paints=(Paint(pot="sun", where=two), Paint(pot="sea"), Paint(pot="sun", where=one))),
            Discharge(where=three),
            Discharge(),
            RemoveWax(),
        ),
    )
    assert list(design.mask_uses()) == [(1, one), (2, two), (2, one), (3, three)]


@given(parts=st.dictionaries(st.sampled_from("abcdef"), st.floats(0.01, 100), min_size=1), strength=st.floats(0, 4))
def test_the_loads_of_a_pot_add_up_to_its_strength(parts, strength):
    loads = Pot(name="mix", parts=parts, strength=strength).loads()
    assert sum(loads.values()) == pytest.approx(strength)
    assert set(loads) == set(parts)


# Shares in words


@pytest.mark.parametrize(
    ("share", "fine", "whole"),
    [
        (0.0, "0%", "0%"),
        (0.00003, "under 0.01%", "under 1%"),
        (0.0003, "0.03%", "under 1%"),
        (0.004, "0.4%", "under 1%"),
        (0.0341, "3.4%", "3%"),
        (0.05, "5%", "5%"),
        (0.0997, "10%", "10%"),
        (0.12, "12%", "12%"),
        (0.124, "12%", "12%"),
        (0.964, "96%", "96%"),
        (0.9964, "99.6%", "100%"),
        (1.0, "100%", "100%"),
        (1.5, "150%", "150%"),
    ],
)
def test_shares_have_the_digits_they_need(share, fine, whole):
    assert (str(percent(share)), str(percent(share, whole=True))) == (fine, whole)


@given(st.floats(min_value=0.0001, max_value=0.9999))
def test_a_share_in_percent_is_near_and_never_rounds_something_to_nothing(share):
    told = float(str(percent(share)).removesuffix("%"))
    assert abs(told - 100 * share) <= max(0.05, 0.005 * 100) * 1.001
    assert told > 0
    assert told < 100 or share > 0.9999 - 1e-9
