"""What a public value says of itself: numpydoc's form, every parameter once, examples that run."""

from __future__ import annotations

import doctest
import importlib
import inspect

import pytest
from numpydoc.docscrape import ClassDoc
from numpydoc.validate import validate

import batiksim
from batiksim.values import Cloth
from batiksim.values.settings import Value

NAMES = (
    "BatikError",
    "BookDye",
    "BookDye.dye",
    "BuildUp",
    "BuildUp.load",
    "Cloth",
    "Design",
    "Design.mask_places",
    "Design.mask_uses",
    "Design.pot",
    "Discharge",
    "Dye",
    "Dye.from_reflectance",
    "DyeBath",
    "DyeBook",
    "DyeBook.entry",
    "Finding",
    "MaskUse",
    "Paint",
    "Place",
    "Pot",
    "Pot.loads",
    "Region",
    "Remedy",
    "RemoveWax",
    "Swatch",
    "Undyed",
    "Want",
    "Wax",
)
# needless: more words where one sentence says it, pointers to neighbours, a line end before the summary
NEEDLESS = {"ES01", "SA01", "GL01", "GL02"}


def public(name: str) -> object:
    found: object = batiksim
    for part in name.split("."):
        found = getattr(found, part)
    return found


@pytest.mark.parametrize("name", NAMES)
def test_a_docstring_is_in_numpydocs_form(name):
    kind, _, method = name.partition(".")
    home = public(kind).__module__
    told = validate(f"{home}.{name}")["errors"]
    assert [one for one in told if one[0] not in NEEDLESS] == []


@pytest.mark.parametrize("name", NAMES)
def test_its_examples_run(name, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    one = public(name)
    finder, runner = doctest.DocTestFinder(recurse=False), doctest.DocTestRunner(verbose=False)
    (examples,) = finder.find(one, name, module=importlib.import_module("batiksim"), globs={"batiksim": batiksim})
    said: list[str] = []
    runner.run(examples, out=said.append)
    assert examples.examples
    assert said == []


@pytest.mark.parametrize(
    "kind", [one for name in NAMES if isinstance(one := public(name), type) and issubclass(one, Value)]
)
def test_parameters_are_told_once_and_in_order(kind):
    told = [name.strip() for one in ClassDoc(kind)["Parameters"] for name in one.name.split(",")]
    assert told == list(inspect.signature(kind).parameters)
    assert inspect.getdoc(kind).count("Parameters\n-----") == 1


def test_a_parameter_is_told_as_its_rule_says():
    width, *_, weight, surface = ClassDoc(Cloth)["Parameters"]
    assert (width.name, width.type) == ("width_mm", "float")
    assert width.desc == ["Real width of the cloth that the pictures show.", "From 10 to 20,000 mm."]
    assert weight.type == "float, default 120.0"
    assert surface.type == "float, optional"
