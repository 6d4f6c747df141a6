"""What design files and dye books write alike about a dye."""

from __future__ import annotations

import datetime
from collections.abc import Mapping

from batiksim.errors import BatikError
from batiksim.files.measurements.spectra import check_samples
from batiksim.files.toml.tables import Table, placed
from batiksim.files.toml.writing import stated
from batiksim.values import BUILD_UPS, BookDye, BuildUp, Undyed

__all__ = ["DYE_KEYS", "book_dye", "book_dye_entries", "build_up", "build_up_entries"]

DYE_KEYS = (
    "name",
    "colour",
    "spectrum",
    "sample",
    "reflectance",
    "build_up",
    "cloth",
    "provenance",
    "date",
    "expected_error",
    "grams_per_litre",
    "price_per_100_g",
)
_Samples = tuple[tuple[float, float], ...]
_NUMBERS = {"expected_error": 2.5, "grams_per_litre": 30, "price_per_100_g": 8.5}


def build_up(table: Table) -> BuildUp:
    """How colour grows with strength, from `build_up = { law = "power", bend = 0.8 }`; linear where left out."""
    if "build_up" not in table:
        return BuildUp()
    example = 'build_up = { law = "power", bend = 0.8 }'
    where = table.field("build_up") or "build_up"
    inner = Table(table.table("build_up", example=example), where, ("law", "bend"))
    law = inner.choice("law", BUILD_UPS)
    if law is None:
        raise BatikError("is missing", field=inner.field("law"), fix=f"write {example}")
    if law == "linear" and "bend" not in inner:
        return BuildUp()
    with placed(where):
        return BuildUp(law=law, bend=inner.number("bend", example="bend = 0.8"))


def build_up_entries(value: BuildUp) -> dict[str, object]:
    """The key that `build_up` reads; none for a plain linear one."""
    return {} if value == BuildUp() else {"build_up": {"law": value.law, "bend": value.bend}}


def book_dye(table: Table, spectrum: _Samples) -> BookDye:
    """One [[dye]] of a book; `spectrum` is what its reflectance file holds, empty where it names none."""
    numbers = {key: table.number(key, example=f"{key} = {x}") if key in table else None for key, x in _NUMBERS.items()}
    with placed(table.where):
        return BookDye(
            name=table.text("name", example='name = "lemon"'),
            colour=table.text("colour", example='colour = "#f0d92e"') if "colour" in table else None,
            samples=spectrum or _reflectance(table),
            build_up=build_up(table),
            seen_on=_undyed(table),
            provenance=table.text("provenance", example='provenance = "my strip"') if "provenance" in table else "",
            date=_date(table),
            **numbers,
        )


def book_dye_entries(dye: BookDye) -> dict[str, object]:
    """One dye as a [[dye]] table holds it, what is not known left out; `book_dye` gives the same dye back."""
    entries = stated(dye, "name", "colour") | build_up_entries(dye.build_up)
    if dye.seen_on is not None:
        entries["cloth"] = {"colour": dye.seen_on.colour} | stated(dye.seen_on, "surface", "note")
    entries |= stated(dye, "provenance", "date", *_NUMBERS)
    return entries | ({"reflectance": [list(pair) for pair in dye.samples]} if dye.samples else {})


def _reflectance(table: Table) -> _Samples:
    if "reflectance" not in table:
        return ()
    example = "reflectance = [[400, 0.052], [410, 0.055], ...]"
    rows = table.any("reflectance", example=example)
    pairs = rows if isinstance(rows, list) else []
    if not pairs or not all(_is_pair(pair) for pair in pairs):
        raise table.wrong("reflectance", "needs pairs of wavelength and reflectance", f"write {example}")
    where = table.field("reflectance") or "reflectance"
    with placed(where):
        return check_samples([(float(nm), float(value)) for nm, value in pairs])


def _is_pair(pair: object) -> bool:
    return (
        isinstance(pair, list)
        and len(pair) == 2
        and all(isinstance(part, int | float) and not isinstance(part, bool) and abs(part) < 1e9 for part in pair)
    )


def _undyed(table: Table) -> Undyed | None:
    if "cloth" not in table:
        return None
    example = 'cloth = { colour = "#f1ede2", note = "poplin" }'
    where = table.field("cloth") or "cloth"
    entries: Mapping[str, object] = table.table("cloth", example=example)
    inner = Table(entries, where, ("colour", "surface", "note"))
    with placed(where):
        return Undyed(
            colour=inner.text("colour", example='colour = "#f1ede2"'),
            surface=inner.number("surface", example="surface = 0.015") if "surface" in inner else None,
            note=inner.text("note", example='note = "poplin"') if "note" in inner else "",
        )


def _date(table: Table) -> datetime.date | None:
    if "date" not in table:
        return None
    value = table.any("date", example="date = 2026-11-25")
    if isinstance(value, datetime.datetime):
        return value.date()
    if isinstance(value, datetime.date):
        return value
    raise table.wrong("date", "needs a date", "write date = 2026-11-25, without quotes")
