"""Mud against what dyers see happen (common practice, no source), with dyes of example colours."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from batiksim.cloth.dyes_on_cloth import cloth_dyes
from batiksim.colour.kubelka_munk import reflectance_from_ks
from batiksim.colour.spaces import hex_to_lab, xyz_to_lab
from batiksim.colour.spectra import reflectance_to_xyz
from batiksim.dyes.mud import DEFAULT_RULE, is_clear, is_dull, is_mud, mud_flags
from batiksim.values import Cloth, Dye

COLOURS = {
    "yellow": "#f0d92e",
    "orange": "#e2681f",
    "red": "#c92c2a",
    "wine": "#a41e40",
    "pink": "#d6246e",
    "violet": "#5b347f",
    "blue": "#1f4fa8",
    "turquoise": "#1aa7b8",
    "green": "#2e8b57",
    "moss": "#76903a",
    "brown": "#6f4023",
    "navy": "#20284a",
    "blush": "#f0dcd8",
}
DYES = cloth_dyes(Cloth(width_mm=100), [Dye(name=name, colour=colour) for name, colour in COLOURS.items()])


def lab(*names: str, strength: float = 1.0) -> np.ndarray:
    ks = DYES.cloth_ks + sum(strength * DYES.dyes[name].ks for name in names)
    return xyz_to_lab(reflectance_to_xyz(reflectance_from_ks(ks, surface=DYES.surface)))


def muddy(*names: str, strength: float = 1.0) -> bool:
    return is_mud(lab(*names, strength=strength), [lab(name, strength=strength) for name in names])


@pytest.mark.parametrize("strength", [0.5, 1.0])
@pytest.mark.parametrize(
    "pair", [("pink", "green"), ("pink", "moss"), ("orange", "turquoise"), ("red", "green"), ("red", "turquoise")]
)
def test_complements_go_muddy(pair, strength):
    assert muddy(*pair, strength=strength)


@pytest.mark.parametrize("strength", [0.5, 1.0])
@pytest.mark.parametrize(
    "pair",
    [
        ("yellow", "turquoise"),  # vivid green
        ("blue", "green"),  # dark blue-green
        ("yellow", "pink"),  # red
        ("pink", "turquoise"),  # purple
        ("red", "wine"),  # neighbours only deepen
        ("yellow", "moss"),
        ("blue", "violet"),
    ],
)
def test_neighbours_and_clear_mixtures_do_not(pair, strength):
    assert not muddy(*pair, strength=strength)


@pytest.mark.parametrize("other", ["pink", "yellow", "turquoise"])
def test_a_brown_dye_or_a_strong_dark_one_explains_itself(other):
    assert not muddy("brown", other)
    assert not muddy("navy", other)


def test_a_pale_tint_neither_makes_mud_nor_excuses_it():
    assert not muddy("blush", "turquoise")
    assert muddy("blush", "pink", "green")


def test_one_parent_is_never_enough():
    assert not is_mud(hex_to_lab("#6f5a3a"), [hex_to_lab("#d6246e")])
    assert not is_mud(hex_to_lab("#6f5a3a"), np.zeros((0, 3)))


@pytest.mark.parametrize("colour", ["#808080", "#6b4a2f", "#5f5a2c", "#7a6f5f"])
def test_grey_brown_and_olive_are_dull(colour):
    assert is_dull(hex_to_lab(colour))
    assert not is_clear(hex_to_lab(colour))


@pytest.mark.parametrize("colour", ["#101010", "#f4f2ea", "#7a1a1e", "#1f5d45", "#33285c", "#d98a1f", "#9acd32"])
def test_black_white_deep_and_bright_colours_are_not(colour):
    assert not is_dull(hex_to_lab(colour))


channel = st.integers(0, 255)


@given(st.tuples(channel, channel, channel), st.tuples(channel, channel, channel), st.tuples(channel, channel, channel))
def test_order_of_parents_does_not_matter_and_mud_is_dull(result, one, other):
    labs = [hex_to_lab("#" + bytes(colour).hex()) for colour in (result, one, other)]
    found = is_mud(labs[0], labs[1:])
    assert found == is_mud(labs[0], labs[:0:-1])
    assert not found or is_dull(labs[0])


def test_the_rule_can_be_eased():
    eased = replace(DEFAULT_RULE, loss=0.0)
    assert not is_mud(lab("pink", "green"), [lab("pink"), lab("green")], rule=eased)


def test_many_at_once_are_judged_as_one_by_one():
    random = np.random.default_rng(3)
    labs = np.stack([random.uniform(5, 95, 4000), *random.uniform(-60, 60, (2, 4000))], axis=-1).reshape(1000, 4, 3)
    found = mud_flags(labs[:, 0], labs[:, 1:])
    assert 5 < found.sum() < 995
    assert found.tolist() == [is_mud(one[0], one[1:]) for one in labs]
