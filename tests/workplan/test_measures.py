"""Kitchen measures: sizes against a units library, rounding that never falls below need, words that say the amount."""

from __future__ import annotations

import re
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from batiksim.errors import BatikError
from batiksim.workplan.measures import _LADDERS, SYSTEMS, UNITS, amount_words, measured, spoons, systems, together_words

UREG = pint.UnitRegistry()
# what the units library calls ours; a metric spoon has no name there but its size
NAMES = {
    "ml": "milliliter",
    "l": "liter",
    "US tsp": "teaspoon",
    "US tbsp": "tablespoon",
    "US cup": "cup",
    "US pint": "pint",
    "US quart": "quart",
    "imp fl oz": "imperial_fluid_ounce",
    "imp pint": "imperial_pint",
    "g": "gram",
    "kg": "kilogram",
    "oz": "ounce",
    "lb": "pound",
    "cm": "centimeter",
    "m": "meter",
    "inch": "inch",
    "yard": "yard",
}
BASES = {"[length] ** 3": "milliliter", "[mass]": "gram", "[length]": "millimeter"}
QUANTITIES = sorted(_LADDERS)
AMOUNT = st.floats(0.01, 200_000)


@pytest.mark.parametrize("unit", NAMES)
def test_sizes_are_those_of_a_units_library(unit):
    theirs = UREG.Quantity(1, NAMES[unit])
    base = BASES[str(theirs.dimensionality)]
    assert UNITS[unit] == pytest.approx(theirs.to(base).magnitude, rel=1e-9)


def test_every_unit_is_checked_or_defined_by_its_own_size():
    own = {"tsp": 5.0, "tbsp": 15.0, "drop": 0.05}
    assert set(UNITS) == set(NAMES) | set(own)
    assert {unit: UNITS[unit] for unit in own} == own


def test_a_pint_is_not_a_pint():
    assert UNITS["US pint"] == pytest.approx(473, abs=0.5)
    assert UNITS["imp pint"] == pytest.approx(568, abs=0.5)
    assert str(measured(1000, "volume", "us").text) == "2 pints + ¼ cup"
    assert str(measured(1000, "volume", "imperial").text) == "1⅞ pints"
    assert measured(2.125 * 473.176473, "volume", "us").amount == pytest.approx(1005.5, abs=0.1)


@given(AMOUNT, st.sampled_from(QUANTITIES), st.sampled_from(SYSTEMS))
def test_never_less_than_needed_and_less_than_a_measure_more(need, quantity, system):
    found = measured(need, quantity, system)
    assert need * (1 - 1e-9) <= found.amount < need + found.step * (1 + 1e-9)
    assert found.amount == pytest.approx(found.count * UNITS[found.unit])


@given(AMOUNT, st.sampled_from(QUANTITIES), st.sampled_from(SYSTEMS))
def test_a_measured_amount_is_measured_as_itself(need, quantity, system):
    once = measured(need, quantity, system)
    assert measured(once.amount, quantity, system).amount == pytest.approx(once.amount, rel=0.02)


@given(AMOUNT, AMOUNT, st.sampled_from(QUANTITIES), st.sampled_from(SYSTEMS))
def test_more_needed_is_never_less_measured(one, other, quantity, system):
    low, high = sorted((one, other))
    assert measured(low, quantity, system).amount <= measured(high, quantity, system).amount * (1 + 1e-9)


FRACTIONS = {"⅛": "1/8", "¼": "1/4", "⅜": "3/8", "½": "1/2", "⅝": "5/8", "¾": "3/4", "⅞": "7/8"}
SPOKEN = {"drops": "drop", "cups": "cup", "pints": "pint", "quarts": "quart", "yards": "yard", "inches": "inch"}


def said(text: str, system: str) -> float:
    """The amount that words say, in ml, g or mm."""
    total = 0.0
    for part in text.split(" + "):
        number, word = re.fullmatch(r"([\d.⅛¼⅜½⅝¾⅞]+) (.+)", part).groups()
        count = sum(float(Fraction(FRACTIONS.get(piece, piece))) for piece in re.findall(r"[\d.]+|[⅛¼⅜½⅝¾⅞]", number))
        word = SPOKEN.get(word, word)
        own = {"us": f"US {word}", "imperial": f"imp {word}"}.get(system, word)
        total += count * UNITS[own if own in UNITS else word]
    return total


@given(AMOUNT, st.sampled_from(QUANTITIES), st.sampled_from(SYSTEMS))
def test_words_say_no_less_than_needed_and_just_what_is_reckoned_with(need, quantity, system):
    found = measured(need, quantity, system)
    assert said(str(found.text), system) == pytest.approx(found.amount, rel=1e-6)
    assert said(str(found.text), system) >= need * (1 - 1e-9)


@given(st.floats(0.05, 500), st.floats(1, 6), st.sampled_from(SYSTEMS))
def test_spoons_of_powder_hold_the_grams(grams, per_tsp, system):
    found = spoons(grams, per_tsp, system)
    assert found.amount / 5 * per_tsp >= grams * (1 - 1e-9)


@pytest.mark.parametrize(
    ("need", "quantity", "system", "words"),
    [
        (2.5, "volume", "metric", "2.6 ml"),
        (2.4, "volume", "metric", "2.4 ml"),
        (51, "volume", "metric", "55 ml"),
        (1001, "volume", "metric", "1.05 l"),
        (240, "volume", "us", "1 cup + 1 tbsp"),
        (236.5, "volume", "us", "1 cup"),
        (15, "volume", "imperial", "1 tbsp"),
        (50, "volume", "imperial", "3 tbsp + 1 tsp"),
        (100, "volume", "imperial", "3¾ fl oz"),
        (568, "volume", "imperial", "1 pint"),
        (28.3, "weight", "us", "1 oz"),
        (454, "weight", "us", "1⅛ lb"),
        (914, "length", "us", "1 yard"),
        (0.5, "volume", "metric", "10 drops"),
    ],
)
def test_worked_examples(need, quantity, system, words):
    assert str(measured(need, quantity, system).text) == words


def test_powders_go_by_spoon_and_weight():
    assert str(amount_words(2.5, "powder", "metric", 2.5)) == "1 tsp (2.5 g)"
    assert str(amount_words(20, "powder", "us", 4)) == "1 tbsp + 2½ tsp (¾ oz)"
    assert str(amount_words(2.5, "powder", "us", 2.5)) == "1¼ tsp"  # a US spoon is a little smaller


def test_systems_by_name():
    assert systems("all") == SYSTEMS
    assert systems("us") == ("metric", "us")
    assert systems("metric") == ("metric",)
    with pytest.raises(BatikError, match="isn't a system of measures"):
        systems("furlongs")


@given(st.lists(st.floats(0.2, 4000), min_size=1, max_size=5))
def test_a_pot_comes_to_just_what_is_poured_into_it(needs) -> None:
    """The words of the parts add up to the words of the whole, whatever each was rounded to."""

    def said(words: str) -> Fraction:
        count, unit = words.split()
        return Fraction(count) * {"drop": Fraction(1, 20), "drops": Fraction(1, 20), "ml": 1, "l": 1000}[unit]

    parts = [measured(need, "volume") for need in needs]
    whole = said(str(together_words(part.amount for part in parts)))
    poured = sum(said(str(part.text)) for part in parts)
    assert abs(whole - poured) <= (0 if poured < 1000 else Fraction(1, 2)), "to half a ml of a litre and more"
