"""Measured reflectance from a text file: two columns (wavelength in nm, reflectance), or CGATS.17 text."""

import csv
from collections.abc import Iterator
from pathlib import Path

from batiksim.errors import BatikError, in_file
from batiksim.files.disk.reading import read_small
from batiksim.files.measurements.cgats import Rows, is_cgats, sample_rows
from batiksim.files.measurements.numbers import finite
from batiksim.texts.catalogue import say
from batiksim.values import MOST_REFLECTANCE

_LARGEST_BYTES = 1_000_000
_FIRST_NM, _LAST_NM, _WIDEST_STEP_NM = 400.0, 700.0, 20.0
_LIKELY_NM = (100.0, 3_000.0)


def read_spectrum(path: Path, sample: str | None = None) -> tuple[tuple[float, float], ...]:
    """Read a reflectance file: CGATS.17 text, or two columns with comma, semicolon or tab between them.

    path : wavelength in nm and reflectance, either 0..1 or percent (a % sign, or any value above 1.5, means percent);
        two columns may have one line of headings, lines that begin with # are left out, rows may run up or down
    sample : which sample of a CGATS.17 file, by SAMPLE_NAME or SAMPLE_ID; not needed where there is one
    returns : ((nm, reflectance 0..1), ...), rising in nm, covering 400..700 nm in steps of at most 20 nm
    errors : BatikError naming the file and line
    """
    with in_file(path):
        lines = _lines(path)
        if is_cgats(lines):
            return _measured(*sample_rows(lines, sample))
        rows = list(_rows(lines))
        if sample is not None:
            raise BatikError("files.error.no_samples", field="sample", got=sample)
        return _measured(rows, any("%" in line for line in lines if not line.lstrip().startswith("#")))


def check_samples(pairs: list[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """Values written in a file of another kind, (nm, reflectance 0..1), under the same rules as `read_spectrum`."""
    return _measured([(at, nm, value) for at, (nm, value) in enumerate(pairs, start=1)], False)


def _measured(rows: Rows, percent: bool) -> tuple[tuple[float, float], ...]:
    if not rows:
        raise BatikError("files.error.no_values")
    _check_wavelengths(rows)
    scale = 0.01 if percent or max(value for _, _, value in rows) > 1.5 else 1.0
    return tuple(sorted((nm, _reflectance(line, value, scale)) for line, nm, value in rows))


def _lines(path: Path) -> list[str]:
    raw = read_small(path, _LARGEST_BYTES, problem="files.error.spectrum_too_large")
    if b"\0" in raw:
        raise BatikError("files.error.spectrum_not_text")
    try:
        return raw.decode("utf-8-sig").splitlines()
    except UnicodeDecodeError:
        return raw.decode("latin-1").splitlines()  # headings in an older spelling; the figures are plain in both


def _rows(lines: list[str]) -> Iterator[tuple[int, float, float]]:
    started = False
    separator = _separator(lines)
    for number, line in enumerate(lines, start=1):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        cells = _cells(line, separator)
        values = [_number(cell, separator) for cell in cells]
        if len(values) == 2 and None not in values:
            started = True
            nm, value = values
            yield number, nm or 0.0, value or 0.0
        elif started or any(value is not None for value in values):
            at = say("files.line", number=number)
            raise BatikError("files.error.not_two_numbers", field=at, got=line.strip())
        else:
            started = True


def _separator(lines: list[str]) -> str:
    """Tab or semicolon where the first line of values has one, else a comma."""
    return next((mark for line in lines for mark in "\t;" if mark in line and not line.lstrip().startswith("#")), ",")


def _cells(line: str, separator: str) -> list[str]:
    try:
        cells = [cell.strip() for row in csv.reader([line], delimiter=separator) for cell in row]
    except csv.Error:
        return [line]
    while len(cells) > 2 and not cells[-1]:
        cells.pop()
    return cells


def _number(cell: str, separator: str) -> float | None:
    return finite((cell if separator == "," else cell.replace(",", ".")).removesuffix("%"))


def _check_wavelengths(rows: Rows) -> None:
    ordered = sorted(nm for _, nm, _ in rows)
    for line, nm, _ in rows:
        if not _LIKELY_NM[0] <= nm <= _LIKELY_NM[1]:
            raise BatikError("files.error.not_a_wavelength", field=say("files.line", number=line), got=nm)
    gaps = [(right - left, left) for left, right in zip(ordered, ordered[1:], strict=False)]
    twice = next((left for gap, left in gaps if gap == 0), None)
    if twice is not None:
        raise BatikError("files.error.wavelength_twice", got=say("files.nm", nm=twice))
    if ordered[0] > _FIRST_NM or ordered[-1] < _LAST_NM:
        covered = say("files.nm_range", first=ordered[0], last=ordered[-1])
        raise BatikError("files.error.range_too_short", got=covered)
    widest, after = max(gap for gap in gaps if gap[1] < _LAST_NM and gap[0] + gap[1] > _FIRST_NM)
    if widest > _WIDEST_STEP_NM:
        raise BatikError("files.error.gap", gap=widest, after=after)


def _reflectance(line: int, value: float, scale: float) -> float:
    reflectance = value * scale
    if not 0 <= reflectance <= MOST_REFLECTANCE:
        raise BatikError("files.error.not_a_reflectance", field=say("files.line", number=line), got=value)
    return min(reflectance, 1.0)
