"""What a setting may hold: rules that check it, read it, write it and describe it as JSON Schema (draft 2020-12)."""

import abc
import contextlib
import datetime
import json
import math
import numbers
import os
import re
import reprlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import PurePath
from typing import Any

from batiksim.errors import BatikError, nearest
from batiksim.texts.catalogue import Message, say, texts
from batiksim.values.frozen import FrozenDict

Entries = Mapping[str, Any]
HEX = r"#[0-9a-fA-F]{6}"
_FAR = 1e300  # no number that means anything is larger
OF_FILES = frozenset(
    {
        "settings.error.write",
        "settings.error.write_flag",
        "settings.error.write_number",
        "settings.error.write_table",
        "settings.error.write_tables",
        "settings.error.needs_text.fix",
    }
)
"""Keys of advice that says how a line of a file is written."""


@dataclass(frozen=True, kw_only=True)
class Rule(abc.ABC):
    """What one setting may hold.

    help : one sentence for whoever sets it; example : what may be written; unit : of a number
    key : its name in files, where the field has another; python : what it is in Python, where that isn't `help`
    stated : always written, and a file has to have it, though the value has a default
    """

    help: str
    example: Any = None
    unit: str = ""
    key: str = ""
    stated: bool = False
    python: str = ""

    @property
    def takes(self) -> str:
        """The types that `check` takes, as a docstring names them."""
        return "str"

    @property
    def limits(self) -> tuple[str, ...]:
        """From where to where it may go, as a docstring says it: a sentence, or none."""
        return ()

    @abc.abstractmethod
    def check(self, value: Any, key: str) -> Any:
        """The value as it is kept. Raises BatikError at `key` for one that isn't allowed."""

    def read(self, raw: Any, key: str) -> Any:
        """The value of what a file or a request has at `key`."""
        return self.check(raw, key)

    def write(self, value: Any) -> Any:
        """What a file has for a value."""
        return value

    @abc.abstractmethod
    def schema(self) -> dict[str, Any]:
        """What `read` takes, as JSON Schema (draft 2020-12)."""

    # A setting is one key of a table, unless a rule says otherwise

    def keys(self, name: str) -> tuple[str, ...]:
        """The keys that a setting uses in a table."""
        return (self.key or name,)

    def take(self, entries: Entries, name: str) -> dict[str, Any]:
        """The fields that a table gives, for the constructor; nothing where the setting is left out."""
        key = self.key or name
        return {name: self.read(entries[key], key)} if key in entries else {}

    def give(self, value: Any, name: str, *, default: object) -> dict[str, Any]:
        """What a table has for a value; nothing for one at its default."""
        held = getattr(value, name)
        return {} if held == default and not self.stated else {self.key or name: self.write(held)}

    def properties(self, name: str) -> dict[str, dict[str, Any]]:
        """The schema of each of its keys."""
        return {self.key or name: self.described(self.schema())}

    def described(self, schema: dict[str, Any]) -> dict[str, Any]:
        """A schema with the help, and an example."""
        says = f"{self.help} Unit: {self.unit}." if self.unit else self.help
        examples = {} if self.example is None else {"examples": [self.example]}
        return {"description": says, **schema, **examples}

    def wrong(self, problem: str, key: str, got: Any, fix: str | Message | None = None, **parts: Any) -> BatikError:
        """The error for what was found at a key; what to do is to write the example, unless `fix` says better."""
        if fix is None and not texts().has(f"{problem}.fix"):
            fix = self.advice(key)
        return BatikError(problem, field=key, got=as_written(got), fix=fix, **parts)

    def advice(self, key: str) -> Message:
        """What to write."""
        return say("settings.error.write", example=toml_line(key, self.example))


@dataclass(frozen=True, kw_only=True)
class Number(Rule):
    """A finite number from `low` to `high`.

    above : `low` itself is too low; whole : without a fraction; share : 1 is the whole, so 80 is taken for 80%
    why : key of what else to say of one out of range
    """

    low: float
    high: float
    above: bool = False
    whole: bool = False
    share: bool = False
    why: str = ""

    @property
    def takes(self) -> str:
        return "int" if self.whole else "float"

    @property
    def limits(self) -> tuple[str, ...]:
        unit = self.unit and f" {self.unit}"
        return (f"{'Above' if self.above else 'From'} {self.low:,g} to {self.high:,.12g}{unit}.",)

    def check(self, value: Any, key: str) -> Any:
        number = real(value)
        if number is None:
            raise self.wrong("settings.error.needs_number", key, value)
        if not abs(number) < math.inf:
            raise BatikError("settings.error.needs_number", field=key, got=number, fix=self.bounds)
        if number > self.high or number < self.low or (self.above and number == self.low):
            raise BatikError("settings.error.out_of_range", field=key, got=number, fix=self._advice(number))
        if self.whole and number != int(number):
            raise self.wrong("settings.error.needs_whole_number", key, number)
        return int(number) if self.whole else float(number)

    def advice(self, key: str) -> Message:
        return say("settings.error.write_number", example=toml_line(key, self.example))

    @property
    def bounds(self) -> Message:
        """From where to where it may go, as advice."""
        key = "settings.error.use_above" if self.above else "settings.error.use_from"
        return say(key, low=shown(self.low), high=shown(self.high))

    def _advice(self, value: float) -> Message:
        advice = self.bounds
        if self.share and self.high < value <= 100:
            then = say("settings.error.as_share", share=shown(value / 100), percent=shown(value))
            advice = say("settings.error.and", first=advice, then=then)
        return say("settings.error.and", first=advice, then=say(self.why)) if self.why else advice

    def schema(self) -> dict[str, Any]:
        least = "exclusiveMinimum" if self.above else "minimum"
        return {"type": "integer" if self.whole else "number", least: self.low, "maximum": self.high}


@dataclass(frozen=True, kw_only=True)
class Text(Rule):
    """A text, not empty. lines : it may run over several lines; file : it names a file, so that any path will do."""

    longest: int = 200
    lines: bool = False
    file: bool = False

    @property
    def takes(self) -> str:
        return "str or path-like" if self.file else "str"

    def check(self, value: Any, key: str) -> Any:
        if self.file and isinstance(value, os.PathLike):
            value = PurePath(value).as_posix()
        if not isinstance(value, str) or not (value.strip() or self.lines):
            raise self.wrong("settings.error.needs_text", key, value, example=toml_line(key, self.example))
        if len(value) > self.longest:
            raise BatikError("settings.error.too_long", field=key, got=value, longest=self.longest)
        if any(ord(letter) < 32 or ord(letter) == 127 for letter in (value.replace("\n", "") if self.lines else value)):
            raise BatikError("settings.error.control_character", field=key, got=value)
        return str.__str__(value)  # of a member of an enum of words, its word

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "maxLength": self.longest} | ({} if self.lines else {"pattern": r"\S"})


@dataclass(frozen=True, kw_only=True)
class Colour(Rule):
    """A colour like "#f0d92e", kept in small letters."""

    example: Any = "#f0d92e"

    def check(self, value: Any, key: str) -> Any:
        if not isinstance(value, str) or not re.fullmatch(HEX, value):
            raise BatikError("settings.error.needs_colour", field=key, got=as_written(value), example=self.example)
        return value.lower()

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "pattern": f"^{HEX}$"}


@dataclass(frozen=True, kw_only=True)
class Choice(Rule):
    """One of some words."""

    choices: tuple[str, ...]

    @property
    def takes(self) -> str:
        return "{" + ", ".join(map(repr, self.choices)) + "}"

    def check(self, value: Any, key: str) -> Any:
        if not isinstance(value, str) or value not in self.choices:
            raise self.wrong("settings.error.no_choice", key, value, nearest(as_written(value), self.choices))
        return str.__str__(value)

    def schema(self) -> dict[str, Any]:
        return {"enum": list(self.choices)}


@dataclass(frozen=True, kw_only=True)
class Flag(Rule):
    """True or false. only : it may be left out, but only ever be true."""

    example: Any = True
    only: bool = False
    takes = "bool"

    def check(self, value: Any, key: str) -> Any:
        if not isinstance(value, bool):
            raise self.wrong("settings.error.needs_flag", key, value, say("settings.error.write_flag", key=key))
        if self.only and not value:
            raise self.wrong("settings.error.only_true", key, value)
        return value

    def schema(self) -> dict[str, Any]:
        return {"const": True} if self.only else {"type": "boolean"}


@dataclass(frozen=True, kw_only=True)
class Amounts(Rule):
    """Names with a number each."""

    each: Number
    takes = "dict of str to float"

    @property
    def limits(self) -> tuple[str, ...]:
        return tuple(f"Each {limit[0].lower()}{limit[1:]}" for limit in self.each.limits)

    def check(self, value: Any, key: str) -> Any:
        if not isinstance(value, Mapping):
            raise self.wrong("settings.error.needs_table", key, value)
        with placed(key):
            return FrozenDict({plain_str(name): self.each.check(x, str(name)) for name, x in value.items()})

    def schema(self) -> dict[str, Any]:
        return {"type": "object", "additionalProperties": self.each.schema()}


@dataclass(frozen=True, kw_only=True)
class Numbers(Rule):
    """Numbers in a row. each : the rule of each, by its name; problem : what is wrong where they aren't so many."""

    each: Mapping[str, Number]
    problem: str

    @property
    def takes(self) -> str:
        return f"sequence of {len(self.each)} floats"

    def check(self, value: Any, key: str) -> Any:
        row = _finite(value)
        if len(row) != len(self.each):
            raise self.wrong(self.problem, key, value)
        named = zip(self.each.items(), row, strict=True)
        return tuple(rule.check(number, f"{key}: {name}") for (name, rule), number in named)

    def schema(self) -> dict[str, Any]:
        size = len(self.each)
        items = [rule.schema() for rule in self.each.values()]
        return {"type": "array", "prefixItems": items, "minItems": size, "maxItems": size}


@dataclass(frozen=True, kw_only=True)
class Pairs(Rule):
    """Pairs of numbers. exactly : how many pairs; problem : what is wrong otherwise."""

    problem: str
    exactly: int | None = None
    takes = "sequence of (float, float)"

    def check(self, value: Any, key: str) -> Any:
        rows = [_finite(row) for row in listed(value) or ()]
        good = rows and all(len(row) == 2 for row in rows)
        if not good or (self.exactly is not None and len(rows) != self.exactly):
            raise self.wrong(self.problem, key, value)
        return tuple((float(first), float(second)) for first, second in rows)

    def schema(self) -> dict[str, Any]:
        pair = {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2}
        size = {"minItems": 1} if self.exactly is None else {"minItems": self.exactly, "maxItems": self.exactly}
        return {"type": "array", "items": pair, **size}


@dataclass(frozen=True, kw_only=True)
class Texts(Rule):
    """A list of texts."""

    problem: str
    takes = "sequence of str"

    def check(self, value: Any, key: str) -> Any:
        words = listed(value)
        if words is None or not all(isinstance(word, str) for word in words):
            raise self.wrong(self.problem, key, value)
        return tuple(map(str.__str__, words))

    def schema(self) -> dict[str, Any]:
        return {"type": "array", "items": {"type": "string"}}


@dataclass(frozen=True, kw_only=True)
class Date(Rule):
    """A day."""

    takes = "datetime.date"

    def check(self, value: Any, key: str) -> Any:
        if isinstance(value, datetime.datetime):
            return value.date()
        if isinstance(value, datetime.date):
            return value
        raise self.wrong("settings.error.needs_date", key, value)

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "format": "date"}


# Declaring: what `field(metadata=...)` takes


def setting(rule: Rule) -> dict[str, Rule]:
    """The metadata of a field that is a setting."""
    return {"rule": rule}


def number(help: str, example: float, low: float, high: float, unit: str = "", **more: Any) -> dict[str, Rule]:
    """A number from low to high; more as of `Number`."""
    return setting(Number(help=help, example=example, low=low, high=high, unit=unit, **more))


def share(help: str, example: float) -> dict[str, Rule]:
    """A number from 0 to 1, where 1 is all of it."""
    return setting(Number(help=help, example=example, low=0, high=1, share=True))


def text(help: str, example: str, **more: Any) -> dict[str, Rule]:
    """A text; more as of `Text`."""
    return setting(Text(help=help, example=example, **more))


def choice(help: str, choices: tuple[str, ...], example: str, **more: Any) -> dict[str, Rule]:
    """One of some words; more as of `Rule`."""
    return setting(Choice(help=help, choices=choices, example=example, **more))


def colour(help: str, example: str = "#f0d92e", **more: Any) -> dict[str, Rule]:
    """A colour; more as of `Rule`."""
    return setting(Colour(help=help, example=example, **more))


def flag(help: str, **more: Any) -> dict[str, Rule]:
    """True or false; more as of `Flag`."""
    return setting(Flag(help=help, **more))


def amounts(help: str, each: Number, example: Mapping[str, float]) -> dict[str, Rule]:
    """Names with a number each."""
    return setting(Amounts(help=help, each=each, example=example))


# Words


@contextlib.contextmanager
def placed(field: str | Message) -> Iterator[None]:
    """Place the BatikErrors of a block at a field, unless they lie in another file."""
    try:
        yield
    except BatikError as error:
        raise (error.in_field(field) if error.file is None else error) from None


def called(kind: str, entries: Entries, number: int) -> str:
    """How a maker would call one of several tables: by its name where it has one, else by its number."""
    name = entries.get("name")
    return f"{kind} {name!r}" if isinstance(name, str) and name.strip() else f"{kind} {number}"


def as_written(value: Any) -> object:
    """A value as TOML would show it, so that the maker recognises it."""
    value = unboxed(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Mapping):
        return say("settings.a_table")
    if isinstance(value, list | tuple):
        return say("settings.a_list" if value else "settings.an_empty_list")
    if value is None or isinstance(value, str | int | float | datetime.date | datetime.time | Message):
        return value
    return say("phrase.listed", words=(" ".join(reprlib.repr(value).split()),))  # no file holds such a thing


def keys_found(keys: Sequence[str]) -> Message:
    """Which of some keys there are: "colour and spectrum"."""
    return say("phrase.listed", words=tuple(keys)) if keys else say("settings.none_of_them")


def shown(number: float) -> str:
    """A number as a maker writes it in a file, without an exponent: "0.8", "1000000"."""
    return f"{number:.12g}"


def toml_line(key: str, example: Any) -> str:
    """One line of a design file: `key = "example"`."""
    bare = key if re.fullmatch(r"[\w-]+", key, re.ASCII) else json.dumps(key, ensure_ascii=False)
    return f"{bare} = {toml_inline(example)}"


def toml_inline(value: Any) -> str:
    """A value as TOML writes it on one line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)  # TOML's basic strings escape as JSON's do
    if isinstance(value, Mapping):
        return "{ " + ", ".join(toml_line(key, inner) for key, inner in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(toml_inline, value)) + "]"
    return shown(value) if isinstance(value, float) else str(value)


# What Python has of one kind comes in many


def plain_str(value: object) -> str:
    """A text as Python's own: of a member of an enum that is a text, that text."""
    return str.__str__(value) if isinstance(value, str) else str(value)


def unboxed(value: Any) -> Any:
    """What a single value of numpy holds; anything else as it is."""
    return value.item() if getattr(value, "ndim", None) == 0 else value


def real(value: object) -> int | float | None:
    """A real number of any kind as Python's own; None for anything else, also for true and false."""
    value = unboxed(value)
    if isinstance(value, bool) or not isinstance(value, int | float | numbers.Real):
        return None
    if isinstance(value, numbers.Integral):
        return int(value)
    try:
        return float(value)
    except OverflowError:  # a fraction
        return _FAR if value == abs(value) else -_FAR


def listed(value: object) -> list[Any] | None:
    """What stands in a row: a list, tuple, array or anything else that gives one after another; None for others."""
    if isinstance(value, str | bytes | Mapping) or not isinstance(value, Iterable):
        return None
    row = value.tolist() if hasattr(value, "tolist") else list(value)
    return row if isinstance(row, list) else None


def _finite(value: object) -> list[int | float]:
    """The numbers in a row; none where anything in it is no number."""
    row = [real(each) for each in listed(value) or ()]
    known = [each for each in row if each is not None and abs(each) < _FAR]
    return known if len(known) == len(row) else []
