"""TOML from disk, and tables of it that are read key by key, every mistake placed where the maker finds it."""

import contextlib
import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import TypeVar

from batiksim.errors import BatikError, nearest
from batiksim.files.disk.reading import read_small
from batiksim.values import FORMAT

LARGEST_BYTES = 1_000_000
"""A hand-written design is a few thousand bytes; anything far above this is some other file."""

_MOST_TABLES = 1_000
_Choice = TypeVar("_Choice", bound=str)
_MANY_PARTS = re.compile(r"""(?<![\w-])(?:(?:[\w-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+){40}""", re.ASCII)
_SLIPS = (
    (re.compile(r"[“”„‘’«»]"), 'write straight quotes: "lines.png"'),
    (re.compile(r"=\s*[-+]?\d+,\d"), "write a point, not a comma: 0.5"),
    (re.compile(r"=\s*[\d.]+\s*%"), "write 0.8 for 80%"),
    (re.compile(r"=\s*[-+]?[\d.]+\s*[A-Za-z]"), "write the number alone, without a unit"),
    (re.compile(r"=\s*(yes|no|on|off|True|False)\b"), "write true or false"),
    (re.compile(r"^\[(dye|pot|step|want|patch)\]"), "write double brackets, such as [[dye]], above each of them"),
    (re.compile(r"=\s*#"), 'put the colour in quotes: "#f0d92e"'),
    (re.compile(r"=\s*(?!true\b|false\b)[A-Za-z]"), 'put words in quotes: "lines.png"'),
)
"""Slips of the pen that makers often make, and what to write instead."""
_REASONS = {
    "Expected newline or end of document after a statement": (
        "something is left over at its end",
        "write one key on a line; a remark comes after #",
    ),
    "Invalid value": ("what stands after the = is not in a form that I know", "check its quotes and brackets"),
    "Cannot overwrite a value": ("that key stands there twice", "keep one of them"),
    "Illegal character '\\n'": ("a quote is not closed", 'write "..." with a quote at both ends'),
    "Expected '=' after a key in a key/value pair": ("the = is missing", 'write it like title = "Tide"'),
}
"""What the parser says, for those who have never heard of one, and what to do unless a slip is seen."""
_AT_LINE = re.compile(r" \(at (?:line (\d+), column \d+|end of document)\)$")


def read_toml(path: Path) -> dict[str, object]:
    """Read a TOML file of at most `LARGEST_BYTES`, UTF-8 with or without a byte order mark.

    errors : BatikError naming the file, and the line where there is one
    """
    fix = f"a file of at most {LARGEST_BYTES:,} bytes is expected here"
    text = _text(path, read_small(path, LARGEST_BYTES, fix=fix))
    _check_keys(path, text)
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _syntax(path, text, str(error)) from None
    except (ValueError, RecursionError):
        fix = "a number is too long or brackets are nested too deep in it"
        raise BatikError("can't be read", file=path, fix=fix) from None


def check_format(entries: Mapping[str, object]) -> None:
    """BatikError unless a file's first line says that it is of the format that is read here."""
    stated = entries.get("format")
    if stated is None:
        raise BatikError("is missing", field="format", fix=f"write format = {FORMAT} as the first line")
    if isinstance(stated, bool) or stated != FORMAT:
        fix = f"write format = {FORMAT}"
        raise BatikError("is not a format that this batiksim reads", field="format", got=stated, fix=fix)


def _check_keys(path: Path, text: str) -> None:
    """Refuse a.b.c... with very many parts: the time and memory that the parser takes grow with their square."""
    match = _MANY_PARTS.search(text)
    if match:
        line = text.count("\n", 0, match.start()) + 1
        raise BatikError("has a key of far too many parts", file=path, field=f"line {line}", fix="write a short key")


def _text(path: Path, raw: bytes) -> str:
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise BatikError(
            "is not UTF-8 text",
            file=path,
            field=f"line {line}",
            got=f"byte {raw[error.start]:#04x}",
            fix="save it again as plain text in UTF-8",
        ) from None


def _syntax(path: Path, text: str, message: str) -> BatikError:
    place = _AT_LINE.search(message)
    reason = message[: place.start()] if place else message
    lines = text.splitlines() or [""]
    number = int(place.group(1)) if place and place.group(1) else len(lines)
    line = lines[number - 1].strip() if number <= len(lines) else ""
    plain = (reason[:1].lower() + reason[1:], "check the quotes, brackets and = signs there")
    what, usual = _REASONS.get(reason, plain)
    if "escape" in reason or "\\" in line:
        fix = 'write "/" instead of "\\" between folder and file'
    else:
        fix = next((fix for slip, fix in _SLIPS if slip.search(line)), usual)
    return BatikError(f"can't be read: {what}", file=path, field=f"line {number}", got=line or "nothing more", fix=fix)


class Table:
    """One TOML table; `where` is how errors call it ("step 2")."""

    def __init__(self, entries: Mapping[str, object], where: str, keys: Iterable[str]) -> None:
        self.where = where
        self._entries = entries
        known = dict.fromkeys(keys)
        for key in entries:
            if key not in known:
                raise BatikError("is not a known key", field=self.field(), got=key, fix=nearest(key, known))

    def field(self, key: str | None = None) -> str | None:
        """How errors call one of its keys: "step 2: wax"."""
        return ": ".join(part for part in (self.where, key) if part) or None

    def __contains__(self, key: str) -> bool:
        return key in self._entries

    def any(self, key: str, *, example: str) -> object:
        """Whatever stands there; `example` shows what to write when nothing does."""
        if key not in self._entries:
            raise BatikError("is missing", field=self.field(key), fix=f"write {example}")
        return self._entries[key]

    def text(self, key: str, *, example: str) -> str:
        """A text that must be there."""
        value = self.any(key, example=example)
        if not isinstance(value, str):
            raise self.wrong(key, "needs a text", f"write {example}")
        return value

    def number(self, key: str, default: float | None = None, *, example: str) -> float:
        """A number; one that must be there has no default."""
        value = self._entries.get(key, default) if default is not None else self.any(key, example=example)
        if isinstance(value, bool) or not isinstance(value, int | float) or abs(value) > 1e300:
            raise self.wrong(key, "needs a number", f"write {example}, without quotes")
        return float(value)

    def flag(self, key: str, default: bool = False) -> bool:
        """A true or false."""
        value = self._entries.get(key, default)
        if not isinstance(value, bool):
            raise self.wrong(key, "needs true or false", f"write {key} = true, without quotes")
        return value

    def choice(self, key: str, choices: tuple[_Choice, ...]) -> _Choice | None:
        """One of some words, or None where the key is left out."""
        if key not in self._entries:
            return None
        for word in choices:
            if self._entries[key] == word:
                return word
        raise self.wrong(key, "is not a known choice", str(nearest(self._entries[key], choices)))

    def table(self, key: str, *, example: str) -> Mapping[str, object]:
        """A table that must be there."""
        value = self.any(key, example=example)
        if isinstance(value, dict):
            return value
        raise self.wrong(key, "needs a table", f"write {example}")

    def tables(self, key: str) -> list[Mapping[str, object]]:
        """A list of tables, written [[key]]; none where the key is left out."""
        value = self._entries.get(key, [])
        if not isinstance(value, list) or not all(isinstance(entry, dict) for entry in value):
            raise self.wrong(key, "needs a list of tables", f"write [[{key}]] in double brackets above each")
        if len(value) > _MOST_TABLES:
            raise BatikError("are too many", field=self.field(key), got=len(value), fix=f"use at most {_MOST_TABLES}")
        return value

    def wrong(self, key: str, problem: str, fix: str) -> BatikError:
        """The error for what stands at `key`."""
        return BatikError(problem, field=self.field(key), got=_as_written(self._entries.get(key)), fix=fix)


def _as_written(value: object) -> object:
    """A value as TOML would show it, so that the maker recognises it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "a table"
    return "a list" if isinstance(value, list) else value


def called(kind: str, entries: Mapping[str, object], number: int) -> str:
    """How a maker would call one of several tables: by its name where it has one, else by its number."""
    name = entries.get("name")
    return f"{kind} {name!r}" if isinstance(name, str) and name.strip() else f"{kind} {number}"


@contextlib.contextmanager
def placed(where: str) -> Iterator[None]:
    """Place the BatikErrors of a block at a field, unless they say where already."""
    try:
        yield
    except BatikError as error:
        is_placed = error.field is not None and (error.field == where or error.field.startswith(f"{where}:"))
        raise (error if is_placed or error.file is not None else error.in_field(where)) from None
