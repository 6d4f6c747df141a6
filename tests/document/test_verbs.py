"""Changes by their names: in words, one after another, with dyes of the maker's own."""

from __future__ import annotations

import pytest

from batiksim.document.verbs import VERBS, apply_changes, change_words, insert_own_dyes
from batiksim.errors import BatikError
from batiksim.values import Dye


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"do": "set_title", "title": "x"}, "the title"),
        ({"do": "set_cloth", "width_mm": 3, "colour": "#ffffff"}, "the cloth's width and the undyed colour"),
        ({"do": "set_cloth", "grams_per_m2": 90}, "the cloth's weight"),
        ({"do": "set_cloth"}, "the cloth"),
        ({"do": "set_strength", "pot": "leaf"}, "the strength of leaf"),
        ({"do": "set_parts", "pot": "leaf"}, "the mix of leaf"),
        ({"do": "set_drops", "pot": "leaf"}, "drops into leaf"),
        ({"do": "set_recipe", "pot": "leaf"}, "leaf mixed anew"),
        ({"do": "add_pot", "name": "leaf"}, "the new pot leaf"),
        ({"do": "remove_pot", "pot": "leaf"}, "putting leaf away"),
        ({"do": "rename_pot", "pot": "leaf"}, "the name of leaf"),
        ({"do": "add_dye", "name": "sun"}, "the dye sun"),
        ({"do": "swap_dye", "name": "sun", "dye": "sea"}, "sun instead of sea"),
        ({"do": "remove_dye", "dye": "sun"}, "putting sun away"),
        ({"do": "add_step", "step": {"kind": "wax"}}, "the new waxing"),
        ({"do": "add_step", "step": {"kind": "dye"}}, "the new dyeing"),
        ({"do": "add_step", "step": {"kind": "discharge"}}, "the new discharge"),
        ({"do": "add_step", "step": {"kind": "remove_wax"}}, "the new step"),
        ({"do": "add_step"}, "the new step"),
        ({"do": "set_discharge"}, "the strength of the discharge"),
        ({"do": "add_paint", "pot": "leaf"}, "leaf in this dyeing"),
        ({"do": "remove_paint"}, "taking a pot out of a dyeing"),
        ({"do": "move_step", "step": 1}, "moving “a step”"),
    ],
)
def test_changes_in_words(build, change, words):
    assert change_words(build.design(), [change]) == words


def test_a_step_is_called_by_its_title(plain_design):
    said = change_words(plain_design, [{"do": "remove_step", "step": 4}])
    assert said.startswith("taking out “")
    assert "night" in said.lower()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"do": "set_wax", "step": 1}, "how the wax of “Wax 1: lines” lies"),
        ({"do": "set_paint", "step": 2}, "the dyeing “Leaf and pink”"),
        ({"do": "set_mask", "step": 1}, "the picture of “Wax 1: lines”"),
        ({"do": "move_step", "step": 4}, "moving “Night”"),
        ({"do": "remove_step", "step": 3}, "taking out “Wax 2”"),
    ],
)
def test_a_change_of_a_step_names_it(plain_design, change, words):
    assert change_words(plain_design, [change, {"do": "set_title", "title": "x"}]) == words


def test_changes_follow_one_another(plain_design):
    after = apply_changes(
        plain_design,
        [{"do": "set_title", "title": "One"}, {"do": "remove_step", "step": 1}, {"do": "remove_step", "step": 1}],
    )
    assert (after.title, after.steps) == ("One", plain_design.steps[2:])
    assert apply_changes(plain_design, []) == plain_design
    with pytest.raises(BatikError, match="do: is not a known choice .*did you mean 'set_title'"):
        apply_changes(plain_design, [{"do": "set_titel", "title": "One"}])
    assert all(name == verb.__name__ for name, (verb, _) in VERBS.items())


def test_own_dyes_stand_in_changes_that_are_marked():
    rust = Dye(name="rust", colour="#aa5533")
    changes = [
        {"do": "add_dye", "name": "rust", "own": True},
        {"do": "add_dye", "name": "rust"},
        {"do": "add_dye", "name": "moss", "own": True},
        "odd",
    ]
    assert insert_own_dyes(changes, {"rust": rust}) == [changes[0] | {"made": rust}, *changes[1:]]
