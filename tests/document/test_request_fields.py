"""What a page may send: every kind of value at its bounds."""

from __future__ import annotations

import pytest

from batiksim.document.request_fields import RequestFields
from batiksim.errors import BatikError


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
        ("text", (), "  ", "k: needs some text"),
        ("text", (), 3, "k: needs some text"),
        ("text", (), "x" * 401, "k: text is too long .*400"),
        ("number", (1, 5), 0.99, "k: out of range .*from 1 to 5"),
        ("number", (1, 5), 5.01, "k: out of range"),
        ("number", (0, 5), True, "k: needs a number .*from 0 to 5"),
        ("number", (0, 5), "3", "k: needs a number"),
        ("number", (0, 5), float("nan"), "k: needs a number"),
        ("number", (0, 5), float("inf"), "k: needs a number"),
        ("integer", (1, 5), 3.5, "k: needs a whole number"),
        ("flag", (), 1, "k: needs yes or no"),
        ("choice", (("wax", "dye"),), "waxx", "k: isn't one of the choices .*did you mean 'wax'"),
        ("amounts", (), {"sun": 10_001}, "sun: out of range"),
        ("amounts", (), {"sun": -1}, "sun: out of range"),
        ("amounts", (), None, "needs named values"),
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
    with pytest.raises(BatikError, match="needs some text"):
        fields().text("k")
