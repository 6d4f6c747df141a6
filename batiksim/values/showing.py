"""Values that a notebook shows as more than their fields."""

import dataclasses
from importlib import import_module
from typing import Any


class ShownInNotebooks:
    """A value with a picture of its own in a notebook.

    How it is drawn is known further up than values are: `batiksim.sheets.notebook` is loaded when a notebook asks.
    """

    __slots__ = ()

    def _repr_html_(self) -> str:
        return str(import_module("batiksim.sheets.notebook").html_of(self))


def short_repr(value: Any) -> str:
    """A value by those fields that aren't at their default; a long row by how many there are."""
    shown = []
    for field in dataclasses.fields(value):
        held = getattr(value, field.name)
        made = field.default_factory() if field.default_factory is not dataclasses.MISSING else field.default
        if field.repr and held != made:
            many = isinstance(held, tuple) and len(held) > 4
            shown.append(f"{field.name}={f'<{len(held)} of them>' if many else repr(held)}")
    return f"{type(value).__name__}({', '.join(shown)})"
