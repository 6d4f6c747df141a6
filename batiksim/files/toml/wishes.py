"""Wants of a design as the design file writes them, both ways."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from batiksim.errors import BatikError
from batiksim.files.toml.steps import mask_entries, read_mask_use
from batiksim.files.toml.tables import Table, called, placed
from batiksim.files.toml.writing import stated
from batiksim.values import Want

__all__ = ["read_want", "want_entries"]

_KEYS = ("name", "at", "where", "marks", "clean", "colour", "weight")


def read_want(folder: Path, entries: Mapping[str, object], number: int) -> Want:
    """Read one [[want]] table. folder : the design's folder, where its picture must be."""
    where = called("want", entries, number)
    table = Table(entries, where, _KEYS)
    for key in ("marks", "clean"):
        if key in table and "where" not in table:
            raise BatikError("has no picture to go with", field=where, got=key, fix='add where = "leaves.png"')
    with placed(where):
        return Want(
            colour=table.text("colour", example='colour = "strong yellow green"'),
            at_mm=_spot(table) if "at" in table else None,
            where=read_mask_use(folder, table, "where") if "where" in table else None,
            name=table.text("name", example='name = "leaves"') if "name" in table else None,
            weight=table.number("weight", Want.weight, example="weight = 2"),
        )


def _spot(table: Table) -> tuple[float, float]:
    value = table.any("at", example="at = [120, 80]")
    numbers = value if isinstance(value, list) else []
    if len(numbers) != 2 or not all(_is_number(number) for number in numbers):
        raise table.wrong("at", "needs x and y in mm from the top left corner", "write at = [120, 80]")
    return float(numbers[0]), float(numbers[1])


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e300


def want_entries(want: Want) -> dict[str, object]:
    """A want as one [[want]] table holds it, defaults left out; `read_want` gives the same want back."""
    entries = stated(want, "name")
    entries |= {} if want.at_mm is None else {"at": list(want.at_mm)}
    entries |= {} if want.where is None else mask_entries("where", want.where)
    return entries | stated(want, "colour", "weight")
