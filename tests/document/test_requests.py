"""What a page may send: every kind of value at its bounds, verbs in words, names of pots that were."""

from __future__ import annotations

import pytest

from batiksim.document.renamed_pots import PotNames, by_names
from batiksim.document.request_fields import RequestFields
from batiksim.document.verbs import VERBS, apply_changes, change_words, insert_own_dyes
from batiksim.errors import BatikError
from batiksim.values import Dye, Pot


def fields(**entries):
    return RequestFields(entries)


def test_a_request_holds_named_values():
    assert "a" in fields(a=0)
    assert "a" not in fields(a=None)
    assert "b" not in fields(a=0)
    RequestFields({str(n): 1 for n in range(500)})
    for wrong in ([1], "a", None, {str(n): 1 for n in range(501)}):
        with pytest.raises(BatikError, match="needs named values"):
            RequestFields(wrong)


@pytest.mark.parametrize(
    ("method", "arguments", "value", "made"),
    [
        ("text", (), " a ", "a"),
        ("text", (), "x" * 400, "x" * 400),
        ("number", (1, 5), 1, 1.0),
        ("number", (1, 5), 5.0, 5.0),
        ("integer", (1, 5), 3.0, 3),
        ("flag", (), True, True),
        ("choice", (("a", "b"),), "b", "b"),
        ("amounts", (), {"sun": 0, "sea": 10_000}, {"sun": 0.0, "sea": 10_000.0}),
        ("sequence", (), [1] * 50, [1] * 50),
        ("sequence", (), None, []),
        ("points", (), [[1, 2.5], [-3, 4]], [(1.0, 2.5), (-3.0, 4.0)]),
    ],
)
def test_values_are_read(method, arguments, value, made):
    assert getattr(fields(k=value), method)("k", *arguments) == made


@pytest.mark.parametrize(
    ("method", "arguments", "value", "said"),
    [
        ("text", (), "  ", "k: needs a text"),
        ("text", (), 3, "k: needs a text"),
        ("text", (), "x" * 401, "k: text is too long .*400"),
        ("number", (1, 5), 0.99, "k: out of range .*from 1 to 5"),
        ("number", (1, 5), 5.01, "k: out of range"),
        ("number", (0, 5), True, "k: needs a number .*from 0 to 5"),
        ("number", (0, 5), "3", "k: needs a number"),
        ("number", (0, 5), float("nan"), "k: needs a number"),
        ("number", (0, 5), float("inf"), "k: needs a number"),
        ("integer", (1, 5), 3.5, "k: needs a whole number"),
        ("flag", (), 1, "k: needs yes or no"),
        ("choice", (("wax", "dye"),), "waxx", "k: is not a known choice .*did you mean 'wax'"),
        ("amounts", (), {"sun": 10_001}, "sun: out of range"),
        ("amounts", (), {"sun": -1}, "sun: out of range"),
        ("amounts", (), None, "needs named values"),
        ("sequence", (), [1] * 51, "k: needs a list .*of at most 50"),
        ("sequence", (), "ab", "k: needs a list"),
        ("points", (), [[1, 2, 3]], "k: needs pairs of numbers"),
        ("points", (), [[1, "2"]], "k: needs pairs of numbers"),
        ("points", (), [[1, 1e300]], "k: needs pairs of numbers"),
        ("points", (), [(1, 2)], "k: needs pairs of numbers"),
    ],
)
def test_values_that_are_none(method, arguments, value, said):
    with pytest.raises(BatikError, match=said):
        getattr(fields(k=value), method)("k", *arguments)


def test_what_is_left_out():
    assert fields().flag("k") is False
    assert fields().sequence("k") == []
    assert len(fields(k=[[0, 0]] * 20_000).points("k")) == 20_000
    with pytest.raises(BatikError, match="needs a list"):
        fields(k=[[0, 0]] * 20_001).points("k")
    with pytest.raises(BatikError, match="needs a text"):
        fields().text("k")


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


def test_old_names_lead_to_the_pots_of_now(build):
    def named(*names):
        return build.design(pots=tuple(Pot(name=name, parts={"sun": 1}) for name in names))

    names = PotNames()
    assert names.note(named("a", "b"), named("a", "c")) == {"b": "c"}
    assert names.now(named("a", "c")) == {"b": "c"}
    assert names.note(named("a", "c"), named("a", "d")) == {"c": "d"}
    assert names.now(named("a", "d")) == {"b": "d", "c": "d"}
    assert names.now(named("a", "b", "d")) == {"c": "d"}  # b is a pot again
    assert names.now(named("a")) == {}
    assert names.note(named("a"), named("a", "x")) == {}
    assert names.now(
        build.design(
            pots=(Pot(name="d", parts={"sun": 1}),),
            dyes=(Dye(name="b", colour="#ffffff"), Dye(name="sun", colour="#ffff00")),
        )
    ) == {"c": "d"}


def test_changes_by_the_names_of_now():
    changes = [{"do": "x", "pot": "old"}, {"do": "x", "pot": "other"}, {"do": "x"}, "odd", {"pot": 3}]
    assert by_names(changes, {"old": "new"}) == [{"do": "x", "pot": "new"}, *changes[1:]]
