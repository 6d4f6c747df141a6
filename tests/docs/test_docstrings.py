"""Every public name explains itself: in numpydoc's form, and its examples run."""

from __future__ import annotations

import doctest
import inspect
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from types import FunctionType
from typing import Any

import numpy as np
import pytest
from numpydoc.validate import validate

import batiksim

# What numpydoc can ask for, and isn't asked for here.
NOT_ASKED = {"ES01": "a summary may say it all", "SA01": "nothing else may be worth seeing"}
NOT_ASKED_OF_MEMBERS = {"EX01": "methods and properties are shown by the example of their class"}

# What rooms of the package ask of a value or an error, and nobody else: a line says it.
PLUMBING = {"agree", "together", "schema_more", "written", "in_file", "in_field", "at_argument", "spelt", "advised"}
NOT_ASKED_OF_RESULTS = {"PR01": "functions make them, nobody else", "EX01": "the function that makes one shows it"}


@dataclass(frozen=True)
class Told:
    """Something public. at : the name under which it is written; a base's, where the class only fills it in."""

    one: Any
    at: str
    member: bool = False


def _public(owner: Any, prefix: str) -> Iterator[tuple[str, Told]]:
    """All functions and classes by their dotted names, classes with the methods and properties of this package."""
    for name in owner.__all__:
        one, at = getattr(owner, name), f"{prefix}.{name}"
        if inspect.isclass(one):
            yield at, Told(one, at)
            yield from ((f"{at}.{member}", told) for member, told in _members(one))
        elif callable(one):
            yield at, Told(one, at)


def _members(owner: type) -> Iterator[tuple[str, Told]]:
    kinds = (FunctionType, property, cached_property, classmethod, staticmethod)
    for name in dir(owner):
        bases = [base for base in owner.__mro__ if name in vars(base) and base.__module__.startswith("batiksim.")]
        if not name.startswith("_") and name not in PLUMBING and bases and isinstance(vars(bases[0])[name], kinds):
            base = next((base for base in bases if vars(base)[name].__doc__), bases[0])
            yield name, Told(vars(base)[name], f"{base.__module__}.{base.__qualname__}.{name}", member=True)


def _surface() -> dict[str, Told]:
    """What several classes have from one base is told once."""
    every = [*_public(batiksim, "batiksim"), *_public(batiksim.colour, "batiksim.colour")]
    once = {told.at: name for name, told in reversed(every)}
    return {name: told for name, told in every if once[told.at] == name}


PUBLIC = _surface()


def _made(told: Told) -> bool:
    """Whether it is the result of a job."""
    return inspect.isclass(told.one) and told.one.__module__.startswith("batiksim.jobs.")


def test_all_of_the_public_surface_is_looked_at():
    some = {"preview", "Design", "BatikError", "colour.delta_e_2000", "colour.known_names"}
    assert {f"batiksim.{name}" for name in some} <= set(PUBLIC)
    assert {name.split(".")[1] for name in PUBLIC} == set(batiksim.__all__)


@pytest.mark.parametrize("name", PUBLIC)
def test_docstrings_are_in_the_form_of_numpydoc(name):
    told = PUBLIC[name]
    left_out = NOT_ASKED | (NOT_ASKED_OF_MEMBERS if told.member else {}) | (NOT_ASKED_OF_RESULTS if _made(told) else {})
    assert [f"{code}: {text}" for code, text in validate(told.at)["errors"] if code not in left_out] == []


@pytest.mark.parametrize("name", PUBLIC)
def test_examples_run(name, tmp_path, monkeypatch):
    """In a folder of its own."""
    monkeypatch.chdir(tmp_path)
    spoken = {"batiksim": batiksim, "np": np}
    text = inspect.getdoc(inspect.unwrap(PUBLIC[name].one)) or ""
    examples = doctest.DocTestParser().get_doctest(text, spoken, name, None, None)
    told: list[str] = []
    with np.printoptions(legacy=False):  # colour-science, where a test has loaded it, sets another
        doctest.DocTestRunner(optionflags=doctest.NORMALIZE_WHITESPACE | doctest.ELLIPSIS).run(
            examples, out=told.append
        )
    assert "".join(told) == ""


def test_examples_leave_the_repository_as_it_was():
    """None names a place outside the folder it runs in."""
    texts = [inspect.getdoc(inspect.unwrap(told.one)) or "" for told in PUBLIC.values()]
    assert not [text for text in texts if re.search(r">>> .*(/tmp|\.\./|~/|expanduser|__file__)", text)]
