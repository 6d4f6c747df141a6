"""Changes by their names: in words, one after another, with dyes of the maker's own."""

from __future__ import annotations

import doctest

import pytest

from batiksim.changes.verbs import VERBS, apply_changes, change_words, insert_own_dyes
from batiksim.errors import BatikError
from batiksim.values import Dye


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"do": "set_title", "title": "x"}, "Changed the title"),
        ({"do": "set_cloth", "width_mm": 3, "colour": "#ffffff"}, "Changed the cloth's width and the undyed colour"),
        ({"do": "set_cloth", "grams_per_m2": 90}, "Changed the cloth's weight"),
        ({"do": "set_cloth"}, "Changed the cloth"),
        ({"do": "set_strength", "pot": "leaf"}, "Changed the strength of leaf"),
        ({"do": "set_parts", "pot": "leaf"}, "Changed the mix of leaf"),
        ({"do": "set_drops", "pot": "leaf"}, "Changed the drops in leaf"),
        ({"do": "set_recipe", "pot": "leaf"}, "Remixed leaf"),
        ({"do": "add_pot", "name": "leaf"}, "Added the pot leaf"),
        ({"do": "remove_pot", "pot": "leaf"}, "Removed the pot leaf"),
        ({"do": "rename_pot", "pot": "leaf"}, "Renamed leaf"),
        ({"do": "add_dye", "name": "sun"}, "Added the dye sun"),
        ({"do": "swap_dye", "name": "sun", "dye": "sea"}, "Replaced sea with sun"),
        ({"do": "remove_dye", "dye": "sun"}, "Removed the dye sun"),
        ({"do": "add_step", "step": {"kind": "wax"}}, "Added a waxing"),
        ({"do": "add_step", "step": {"kind": "dye"}}, "Added a dyeing"),
        ({"do": "add_step", "step": {"kind": "discharge"}}, "Added a discharge"),
        ({"do": "add_step", "step": {"kind": "remove_wax"}}, "Added a wax removal"),
        ({"do": "set_discharge"}, "Changed the strength of the discharge"),
        ({"do": "add_paint", "pot": "leaf"}, "Added leaf to a dyeing"),
        ({"do": "remove_paint"}, "Took a pot out of a dyeing"),
    ],
)
def test_changes_in_words(build, change, words):
    assert str(change_words(build.design(), [change])) == words


def test_a_step_is_called_by_its_title(plain_design):
    said = str(change_words(plain_design, [{"do": "remove_step", "step": 4}]))
    assert said.startswith("Removed “")
    assert "night" in said.lower()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"do": "set_wax", "step": 1}, "Changed the wax of “Wax 1: lines”"),
        ({"do": "set_paint", "step": 2}, "Changed the dyeing “Leaf and pink”"),
        ({"do": "set_mask", "step": 1}, "Changed the picture of “Wax 1: lines”"),
        ({"do": "move_step", "step": 4}, "Moved “Night”"),
        ({"do": "remove_step", "step": 3}, "Removed “Wax 2”"),
    ],
)
def test_a_change_of_a_step_names_it(plain_design, change, words):
    assert str(change_words(plain_design, [change, {"do": "set_title", "title": "x"}])) == words


def test_changes_follow_one_another(plain_design):
    after = apply_changes(
        plain_design,
        [{"do": "set_title", "title": "One"}, {"do": "remove_step", "step": 1}, {"do": "remove_step", "step": 1}],
    )
    assert (after.title, after.steps) == ("One", plain_design.steps[2:])
    assert apply_changes(plain_design, []) == plain_design
    with pytest.raises(BatikError, match="do: isn't one of the choices .*did you mean 'set_title'"):
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


def test_changes_are_a_list(build):
    for wrong in ({"do": "set_title", "title": "x"}, "set_title"):
        with pytest.raises(TypeError, match="changes needs a list of changes, not (dict|str)"):
            apply_changes(build.design(), wrong)


def test_the_example_of_changes_holds():
    (example,) = doctest.DocTestFinder().find(apply_changes, globs={})
    assert doctest.DocTestRunner().run(example) == (0, len(example.examples))
