"""Measurements in CGATS.17 text, as spectrophotometers export them: field names between BEGIN_DATA_FORMAT and
END_DATA_FORMAT, one sample a row between BEGIN_DATA and END_DATA. Only reflectance is read; all else is passed over.

Format: ANSI CGATS.17; the spellings of spectral fields are common practice, no source.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from batiksim.errors import BatikError, nearest
from batiksim.files.measurements.numbers import finite
from batiksim.texts.catalogue import say

Rows = list[tuple[int, float, float]]

# NM400, nm_400, SPECTRAL_NM400, SPECTRAL_NM_400, SPECTRAL_PCT_400, SPEC_400, R_400, 400, 400nm
_SPECTRAL = re.compile(r"(?:SPECTRAL_?)?(?:NM_?|SPEC_?|PCT_?|DEC_?|R_?)?(\d{3,4}(?:\.\d+)?)(?:_?NM)?", re.IGNORECASE)
_NAMED = ("SAMPLE_NAME", "SAMPLENAME", "SAMPLE_LABEL", "SAMPLE_ID", "SAMPLEID")
_TOKEN = re.compile(r'"[^"]*"|\'[^\']*\'|[^\s"\']+')
_DECIMAL_COMMA = re.compile(r"[-+]?\d+,\d+")
_MOST_FIELDS = 5_000


@dataclass(frozen=True, kw_only=True)
class _Sample:
    """One row of data: its line, the names it answers to, its cells by field."""

    line: int
    names: tuple[str, ...]
    cells: tuple[str, ...]
    fields: tuple[str, ...]

    def spectral(self) -> Iterator[tuple[str, float, str]]:
        """(field, nm, cell) of what was measured at wavelengths."""
        for field, cell in zip(self.fields, self.cells, strict=True):
            nm = _wavelength(field)
            if nm is not None:
                yield field, nm, cell


def is_cgats(lines: Sequence[str]) -> bool:
    """Whether lines of text are such a file."""
    return any(line.strip().upper().startswith("BEGIN_DATA_FORMAT") for line in lines)


def sample_rows(lines: Sequence[str], sample: str | None) -> tuple[Rows, bool]:
    """One sample's reflectance, and whether the file's values are percent.

    sample : its SAMPLE_NAME or SAMPLE_ID; may be None where the file has one sample
    returns : [(line, nm, value), ...] as in the file
    errors : BatikError (without file) for a file without spectra, and for a sample that isn't there or isn't clear
    """
    samples = [candidate for candidate in _samples(lines) if any(map(_wavelength, candidate.fields))]
    if not samples:
        raise BatikError("files.error.no_spectra", field="BEGIN_DATA_FORMAT")
    chosen = _chosen(samples, sample)
    rows = list(_spectrum(chosen))
    percent = any(field.upper().startswith("SPECTRAL_PCT") for field in chosen.fields)
    return rows, percent or any((_number(cell) or 0) > 1.5 for one in samples for _, _, cell in one.spectral())


def _samples(lines: Sequence[str]) -> Iterator[_Sample]:
    fields: tuple[str, ...] = ()
    part = ""
    held: list[str] = []
    start, first = 0, 0
    for number, line in enumerate(lines, start=1):
        tokens = [token.strip("\"'") for token in _TOKEN.findall(line)]
        word = tokens[0].upper() if tokens else "#"
        if word in ("BEGIN_DATA_FORMAT", "BEGIN_DATA"):
            part, held = word, []
            fields = () if word == "BEGIN_DATA_FORMAT" else fields
            tokens = tokens[1:]
        if word in ("END_DATA_FORMAT", "END_DATA"):
            if held:
                raise _miscount(start, first, len(fields))
            part, held = "", []
        elif part and not line.lstrip().startswith("#"):
            if part == "BEGIN_DATA_FORMAT":
                fields = (*fields, *tokens)
                if len(fields) > _MOST_FIELDS:
                    at = say("files.line", number=number)
                    raise BatikError("files.error.too_many_fields", field=at, most=_MOST_FIELDS)
                continue
            if tokens and not held:
                start, first = number, len(tokens)
            held += tokens
            if len(held) > len(fields):  # a value too many, or a line too short that swallowed the next
                raise _miscount(start, first, len(fields))
            if held and len(held) == len(fields):
                yield _sample(held, fields, start)
                held = []
    if part:
        at = say("files.line", number=len(lines))
        raise BatikError("files.error.breaks_off", field=at, end=part.replace("BEGIN", "END"))


def _sample(cells: list[str], fields: tuple[str, ...], line: int) -> _Sample:
    at = {field.upper(): place for place, field in reversed(list(enumerate(fields)))}
    names = tuple(cells[at[key]] for key in _NAMED if key in at and cells[at[key]])
    return _Sample(line=line, names=names, cells=tuple(cells), fields=fields)


def _miscount(line: int, count: int, expected: int) -> BatikError:
    values = say("files.values", count=count)
    fields = say("files.fields", count=expected)
    return BatikError("files.error.miscount", field=say("files.line", number=line), values=values, fields=fields)


def _chosen(samples: list[_Sample], name: str | None) -> _Sample:
    if name is None:
        if len(samples) == 1:
            return samples[0]
        first = [label for sample in samples for label in sample.names[:1]]
        named = ", ".join(repr(label) for label in first[:8]) + (" ..." if len(first) > 8 else "")
        fix = f"files.error.several_samples.{'named' if named else 'unnamed'}"
        held = say("files.samples", count=len(samples))
        raise BatikError("files.error.several_samples", fix=fix, samples=held, names=named)
    exact = [sample for sample in samples if name in sample.names]
    matches = exact or [sample for sample in samples if name.casefold() in map(str.casefold, sample.names)]
    if not matches:
        known = [label for sample in samples for label in sample.names]
        raise BatikError("files.error.no_such_sample", field="sample", got=name, fix=nearest(name, known))
    if len(matches) > 1:
        numbers = tuple(sample.line for sample in matches[:3])
        raise BatikError("files.error.same_sample_name", field="sample", got=name, lines=numbers)
    return matches[0]


def _spectrum(sample: _Sample) -> Iterator[tuple[int, float, float]]:
    for field, nm, cell in sample.spectral():
        value = _number(cell)
        if value is None:
            at = say("files.line", number=sample.line)
            raise BatikError("files.error.no_field_number", field=at, got=cell, name=field)
        yield sample.line, nm, value


def _wavelength(field: str) -> float | None:
    match = _SPECTRAL.fullmatch(field)
    return float(match.group(1)) if match else None


def _number(cell: str) -> float | None:
    text = cell.removesuffix("%")
    return finite(text.replace(",", ".") if _DECIMAL_COMMA.fullmatch(text) else text)
