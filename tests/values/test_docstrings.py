"""What a public value says of its parameters: each once, in order, as its rule says.

That docstrings are in form, and their examples run, is tested in tests/docs/test_docstrings.py.
"""

from __future__ import annotations

import inspect

import pytest
from numpydoc.docscrape import ClassDoc

import batiksim
from batiksim.values import Cloth
from batiksim.values.settings import Value

PUBLIC = [getattr(batiksim, name) for name in batiksim.__all__]


@pytest.mark.parametrize("kind", [one for one in PUBLIC if isinstance(one, type) and issubclass(one, Value)])
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
