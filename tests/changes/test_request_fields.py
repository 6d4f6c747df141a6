"""What a page may send: every kind of value at its bounds."""

from __future__ import annotations

import pytest

from batiksim.changes.request_fields import RequestFields
from batiksim.errors import BatikError
from batiksim.values import Cloth, MaskUse, Pot


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
        ("text", (), "  ", r"k: needs text \(found '  '\)$"),
        ("text", (), 3, r"k: needs text \(found 3\)$"),
        ("text", (), "x" * 401, "k: is too long .*400"),
        ("number", (1, 5), 0.99, "k: out of range .*from 1 to 5"),
        ("number", (1, 5), 5.01, "k: out of range"),
        ("number", (0, 5), True, "k: needs a number .*from 0 to 5"),
        ("number", (0, 5), "3", "k: needs a number .*from 0 to 5"),
        ("number", (0, 5), float("nan"), "k: needs a number .*from 0 to 5"),
        ("number", (0, 5), float("inf"), "k: needs a number .*from 0 to 5"),
        ("integer", (1, 5), 3.5, "k: needs a whole number .*from 1 to 5"),
        ("flag", (), 1, r"k: needs true or false \(found 1\)$"),
        ("choice", (("wax", "dye"),), "waxx", "k: isn't one of the choices .*did you mean 'wax'"),
        ("sequence", (), [1] * 51, "k: needs a list .*use at most 50 entries"),
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
    with pytest.raises(BatikError, match="^k: needs text$"):
        fields().text("k")


# What is declared of a value


def test_settings_that_were_sent_are_read_by_their_declarations():
    sent = fields(strength=0.5, parts={"sun": 0, "sea": 10_000}, ml=None, pot="x")
    assert sent.settings(Pot) == {"strength": 0.5, "parts": {"sun": 0.0, "sea": 10_000.0}}
    assert sent.settings(Pot, without=("parts",)) == {"strength": 0.5}
    assert fields().settings(Pot) == {}


def test_one_setting_has_to_be_sent():
    assert fields(colour="#F0D92E").setting(Cloth, "colour") == "#f0d92e"
    with pytest.raises(BatikError, match="^colour: needs a colour"):
        fields(width_mm=9).setting(Cloth, "colour")


def test_a_value_is_read_with_the_rest_at_their_defaults():
    assert fields(picture="a.png", clean=True, do="set_mask").read(MaskUse) == MaskUse(picture="a.png", clean=True)
    assert fields(picture="a.png", marks=None).read(MaskUse) == MaskUse(picture="a.png")
    for sent in ({}, {"clean": True}, {"picture": None}):
        with pytest.raises(BatikError, match="^picture: needs text$"):
            fields(**sent).read(MaskUse)


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("parts", {"sun": 10_001}, "parts: sun: out of range .*from 0 to 10000"),
        ("parts", {"sun": -1}, "parts: sun: out of range .*from 0 to 10000"),
        ("parts", {"sun": "1"}, r"parts: sun: needs a number \(found '1'\)$"),
        ("parts", None, "parts: needs a group of settings$"),
        ("parts", [1], "parts: needs a group of settings"),
        ("strength", 4.01, "strength: out of range .*from 0 to 4"),
        ("strength", 80, "strength: out of range .*write 0.8 for 80%"),
        ("strength", None, "strength: needs a number; use a number from 0 to 4"),
        ("strength", True, "strength: needs a number .*from 0 to 4"),
        ("ml", 0, "ml: out of range .*above 0"),
        ("name", " ", r"name: needs text \(found ' '\)$"),
    ],
)
def test_settings_that_are_none(name, value, said):
    """What is told says nothing of how a line of a file is written."""
    with pytest.raises(BatikError, match=f"^{said}"):
        fields(**{name: value}).setting(Pot, name)
