"""Values that a notebook shows as more than their fields."""

from importlib import import_module


class ShownInNotebooks:
    """A value with a picture of its own in a notebook.

    How it is drawn is known further up than values are: `batiksim.sheets.notebook` is loaded when a notebook asks.
    """

    __slots__ = ()

    def _repr_html_(self) -> str:
        return str(import_module("batiksim.sheets.notebook").html_of(self))
