"""TOML from disk, every mistake placed where the maker finds it."""

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any, TypeVar

from batiksim.errors import BatikError, in_file
from batiksim.files.disk.reading import read_small
from batiksim.texts.catalogue import say
from batiksim.types import StrPath
from batiksim.values import FORMAT, PriceList
from batiksim.values.settings import Value, read

LARGEST_BYTES = 1_000_000
"""A hand-written design is a few thousand bytes; anything far above this is some other file."""

_Value = TypeVar("_Value", bound=Value)
_MANY_PARTS = re.compile(r"""(?<![\w-])(?:(?:[\w-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+){40}""", re.ASCII)
_SLIPS = (
    (re.compile(r"[“”„‘’«»]"), "quotes"),
    (re.compile(r"=\s*[-+]?\d+,\d"), "comma"),
    (re.compile(r"=\s*[\d.]+\s*%"), "percent"),
    (re.compile(r"=\s*[-+]?[\d.]+\s*[A-Za-z]"), "unit"),
    (re.compile(r"=\s*(yes|no|on|off|True|False)\b"), "flag"),
    (re.compile(r"^\[(dye|pot|step|want|patch)\]"), "brackets"),
    (re.compile(r"=\s*#"), "colour"),
    (re.compile(r"=\s*(?!true\b|false\b)[A-Za-z]"), "words"),
)
"""Slips of the pen that makers often make, and the key of what to write instead (`files.toml.slip`)."""
_REASONS = {
    "Expected newline or end of document after a statement": "left_over",
    "Invalid value": "value",
    "Cannot overwrite a value": "twice",
    "Illegal character '\\n'": "open_quote",
    "Expected '=' after a key in a key/value pair": "no_sign",
}
"""What the parser says, and the key of that in plain words (`files.toml.error`)."""
_AT_LINE = re.compile(r" \(at (?:line (\d+), column \d+|end of document)\)$")


def read_toml(path: Path) -> dict[str, object]:
    """Read a TOML file of at most `LARGEST_BYTES`, UTF-8 with or without a byte order mark.

    errors : BatikError naming the file, and the line where there is one
    """
    fix = say("files.toml.largest", bytes=LARGEST_BYTES)
    with in_file(path):
        text = _text(read_small(path, LARGEST_BYTES, fix=fix))
        _check_keys(text)
        try:
            return tomllib.loads(text)
        except tomllib.TOMLDecodeError as error:
            raise _syntax(text, str(error)) from None
        except (ValueError, RecursionError):
            raise BatikError("files.toml.error.too_deep") from None


def formatted(kind: type[_Value], entries: Mapping[str, object], **fields: Any) -> _Value:
    """The value that a file's entries hold. fields : of the value, that aren't settings.

    errors : BatikError also where the file doesn't say that it is of the format that is read here
    """
    stated = entries.get("format")
    if stated is None:
        raise BatikError("files.toml.error.no_format", field="format", format=FORMAT)
    if isinstance(stated, bool) or stated != FORMAT:
        raise BatikError("files.toml.error.other_format", field="format", got=stated, format=FORMAT)
    return read(kind, entries, beside=("format",), **fields)


def read_prices(path: StrPath) -> PriceList:
    """Read a price list: `currency = "EUR"` and one [[price]] with name, pack and price for each thing.

    errors : BatikError naming file, field, what was found and what to write
    """
    file = Path(path)
    with in_file(file):
        return formatted(PriceList, read_toml(file))


def _check_keys(text: str) -> None:
    """Refuse a.b.c... with very many parts: the time and memory that the parser takes grow with their square."""
    match = _MANY_PARTS.search(text)
    if match:
        where = say("files.toml.line", line=text.count("\n", 0, match.start()) + 1)
        raise BatikError("files.toml.error.long_key", field=where)


def _text(raw: bytes) -> str:
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        where = say("files.toml.line", line=raw.count(b"\n", 0, error.start) + 1)
        raise BatikError("files.toml.error.not_utf8", field=where, got=f"{raw[error.start]:#04x}") from None


def _syntax(text: str, message: str) -> BatikError:
    place = _AT_LINE.search(message)
    reason = message[: place.start()] if place else message
    lines = text.splitlines() or [""]
    number = int(place.group(1)) if place and place.group(1) else len(lines)
    line = lines[number - 1].strip() if number <= len(lines) else ""
    problem = f"files.toml.error.{_REASONS.get(reason, 'syntax')}"
    slip = next((name for pattern, name in _SLIPS if pattern.search(line)), None)
    if "escape" in reason or "\\" in line:
        slip = "backslash"
    fix = None if slip is None else say(f"files.toml.slip.{slip}")
    got = line or say("files.toml.nothing_more")
    return BatikError(problem, field=say("files.toml.line", line=number), got=got, fix=fix, reason=reason)
