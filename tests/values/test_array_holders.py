"""What holds arrays compares and hashes by identity: numpy's == gives an array, and no array hashes."""

from __future__ import annotations

import dataclasses
import importlib
import pkgutil
import sys
import typing
from dataclasses import dataclass
from types import SimpleNamespace

import numpy as np
import pytest

import batiksim
from batiksim.types import Bytes, Floats

MODULES = sorted(
    found.name for found in pkgutil.walk_packages(batiksim.__path__, "batiksim.") if not found.name.endswith("__main__")
)


@dataclass
class Plain:
    held: tuple[float, ...] | None


@dataclass(frozen=True, eq=False)
class Right:
    held: Floats


@dataclass(frozen=True)
class Wrong:
    held: dict[str, tuple[Bytes, ...]] | None


@dataclass(frozen=True)
class Inherits(Right):
    name: str


def annotations(kind: type) -> list[object]:
    """The types of a dataclass's fields that are compared; a name that only type checkers know is left out."""
    known = vars(sys.modules[kind.__module__])
    resolved = []
    for field in (field for field in dataclasses.fields(kind) if field.compare):
        try:
            found = typing.get_type_hints(SimpleNamespace(__annotations__={"held": field.type}), known, vars(typing))
        except NameError:
            continue
        resolved.append(found["held"])
    return resolved


def has_array(hint: object) -> bool:
    return np.ndarray in (hint, typing.get_origin(hint)) or any(map(has_array, typing.get_args(hint)))


def compared_by_arrays(module: object) -> list[str]:
    """The dataclasses of a module that hold an array somewhere and yet have an == by what they hold."""
    kinds = [one for one in vars(module).values() if isinstance(one, type) and dataclasses.is_dataclass(one)]
    own = [kind for kind in kinds if kind.__module__ == module.__name__ and kind.__eq__ is not object.__eq__]
    return [kind.__name__ for kind in own if any(map(has_array, annotations(kind)))]


def test_the_search_finds_arrays_wherever_they_lie():
    assert compared_by_arrays(sys.modules[__name__]) == ["Wrong", "Inherits"]


@pytest.mark.parametrize("name", MODULES)
def test_array_holders_compare_by_identity(name):
    assert compared_by_arrays(importlib.import_module(name)) == []
