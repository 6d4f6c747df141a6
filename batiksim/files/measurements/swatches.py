"""Tables of measured swatches: what each was dyed with, and its CIELAB, colour or reflectance."""

import csv
import re
from collections.abc import Iterable
from pathlib import Path

from batiksim.errors import BatikError, in_file, nearest
from batiksim.files.disk.reading import read_small
from batiksim.files.measurements.layers import check_plain, dye_names, layers_text, read_layers
from batiksim.files.measurements.numbers import finite
from batiksim.files.reports import table_text
from batiksim.texts.catalogue import say
from batiksim.types import StrPath
from batiksim.values import MOST_REFLECTANCE, Swatch
from batiksim.values.rules import placed

_LARGEST_BYTES, _MOST_ROWS = 2_000_000, 2_000
_COMMENT = re.compile(r"\s*#(?![0-9a-fA-F]{6}\b)")  # a line may begin with a colour
_FIRST = say("files.line", number=1)
_SAME = {"l": "L", "l*": "L", "a*": "a", "b*": "b", "colour": "hex"}


def read_swatches(path: StrPath, *, known: Iterable[str] = ()) -> tuple[Swatch, ...]:
    """Read a table of measured swatches: CSV with a line of headings.

    Headings: dyes ("sun yellow 1 + sea blue 0.5", "undyed"), and L, a, b (CIELAB, D65) or hex or wavelengths in nm;
    name may be added. Each row fills in one kind of measurement; reflectances are 0..1, or percent throughout.
    known : names of existing dyes, to know whether a number ends a dye's name or is its strength
    errors : BatikError naming file, line and column
    """
    file = Path(path)
    with in_file(file):
        rows = _csv_rows(file)
        columns = _Columns([cell.strip() for cell in rows[0][1]])
        columns.read_names(rows[1:], known)
        percent = any(value > 1.5 for _, row in rows[1:] for value in columns.rough(row))
        swatches = []
        for line, row in rows[1:]:
            with placed(str(say("files.line", number=line))):
                swatches.append(columns.swatch(row, percent))
    if not any(swatch.layers for swatch in swatches):
        raise BatikError("files.error.no_dyed_swatch", file=file)
    return tuple(swatches)


def _csv_rows(file: Path) -> list[tuple[int, list[str]]]:
    raw = read_small(file, _LARGEST_BYTES, problem="files.error.swatches_too_large")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BatikError("files.error.swatches_not_text") from None
    lines = [(number, line) for number, line in enumerate(text.splitlines(), start=1) if line.strip(" ,;\t")]
    lines = [(number, line) for number, line in lines if not _COMMENT.match(line)]
    mark = next((mark for mark in "\t;" if lines and mark in lines[0][1]), ",")
    try:
        rows = [(number, _cells(line, mark)) for number, line in lines]
    except csv.Error:
        raise BatikError("files.error.not_a_table") from None
    if not 2 <= len(rows) <= _MOST_ROWS:
        found = say("files.lines", count=len(rows)) if rows else say("files.nothing")
        raise BatikError("files.error.no_rows", got=found)
    return rows


def _cells(line: str, mark: str) -> list[str]:
    return [cell.strip() for cell in next(csv.reader([line], delimiter=mark, skipinitialspace=True))]


class _Columns:
    """Which column holds what."""

    def __init__(self, headings: list[str]) -> None:
        self.headings = headings
        self.known: dict[str, int] = {}
        self.nm: list[tuple[float, int]] = []
        self.names: frozenset[str] = frozenset()
        for at, heading in enumerate(headings):
            key = _SAME.get(heading.casefold(), heading.casefold())
            if (wavelength := finite(heading.removesuffix("nm").strip())) is not None and 300 <= wavelength <= 900:
                self.nm.append((wavelength, at))
            elif key in ("name", "dyes", "L", "a", "b", "hex"):
                self.known[key] = at
            else:
                choices = ("name", "dyes", "L", "a", "b", "hex", "400", "700")
                raise BatikError("files.error.heading", field=_FIRST, got=heading, fix=nearest(heading, choices))
        self.nm.sort()
        if "dyes" not in self.known:
            raise BatikError("files.error.no_dyes_column", field=_FIRST)

    def read_names(self, rows: list[tuple[int, list[str]]], known: Iterable[str]) -> None:
        """Learn which names end in a number. Raises BatikError for one that could be a name or a strength."""
        texts = [(line, self.cell(row, "dyes")) for line, row in rows]
        self.names = dye_names((text for _, text in texts), known)
        for line, text in texts:
            with placed(str(say("files.line", number=line))):
                check_plain(text, self.names)

    def cell(self, row: list[str], key: str) -> str:
        at = self.known.get(key)
        return row[at] if at is not None and at < len(row) else ""

    def rough(self, row: list[str]) -> list[float]:
        """The reflectances that can be read, to tell percent from shares."""
        cells = [finite(row[at]) for _, at in self.nm if at < len(row)]
        return [value for value in cells if value is not None]

    def number(self, row: list[str], at: int) -> float:
        given = row[at] if at < len(row) else ""
        value = finite(given)
        if value is None:
            pointed = given.replace(",", ".")
            fix = f"files.error.not_a_number.{'fix' if finite(pointed) is None else 'fix_point'}"
            found = given or say("files.nothing")
            raise BatikError("files.error.not_a_number", field=self.headings[at], got=found, fix=fix, pointed=pointed)
        return value

    def swatch(self, row: list[str], percent: bool) -> Swatch:
        layers = read_layers(self.cell(row, "dyes"), known=self.names)
        name = self.cell(row, "name") or layers_text(layers)
        if self.cell(row, "hex"):
            return Swatch(name=name, layers=layers, colour=self.cell(row, "hex"))
        if self.cell(row, "L"):
            if not all(letter in self.known for letter in "Lab"):
                raise BatikError("files.error.no_lab_columns", field=_FIRST)
            light, a, b = (self.number(row, self.known[letter]) for letter in "Lab")
            return Swatch(name=name, layers=layers, lab=(light, a, b))
        if not self.nm:
            raise BatikError("files.error.no_colour")
        scale = 0.01 if percent else 1.0
        samples = tuple((nm, self.number(row, at) * scale) for nm, at in self.nm)
        for nm, value in samples:
            if not 0 <= value <= MOST_REFLECTANCE:
                raise BatikError("files.error.not_a_reflectance", field=f"{nm:g}", got=value)
        if samples[0][0] > 420 or samples[-1][0] < 680 or len(samples) < 8:
            raise BatikError("files.error.columns_too_short", field=_FIRST)
        return Swatch(name=name, layers=layers, samples=samples)


def swatch_rows(swatches: tuple[Swatch, ...]) -> str:
    """A table that `read_swatches` reads, of swatches known by CIELAB."""
    rows = [
        (swatch.name, layers_text(swatch.layers), *(f"{part:.2f}" for part in swatch.lab))
        for swatch in swatches
        if swatch.lab is not None
    ]
    return table_text([("name", "dyes", "L", "a", "b"), *rows])
