"""Settings declared once: a field of a frozen value carries its rule, and all else is made from that.

So a setting is added by one declaration, and reader, writer, checks of requests, data output, JSON Schema and the
reference page of all settings have it:

    crackle: float = field(default=0.0, metadata=share("How hard you crumple the cloth.", 0.3))
"""

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar, TypeVar

from batiksim.errors import BatikError, nearest
from batiksim.texts.catalogue import Message, say
from batiksim.values.rules import Entries, Rule, called, listed, placed, setting, toml_line, unboxed

V = TypeVar("V", bound="Value")
MOST_TABLES = 1_000


@dataclass(frozen=True, kw_only=True)
class Table(Rule):
    """One value with settings of its own. inline : written on one line, { like = "this" }."""

    of: type["Value"]
    inline: bool = False

    @property
    def takes(self) -> str:
        return self.of.__name__

    def check(self, value: Any, key: str) -> Any:
        check_type(value, self.of)
        return value

    def read(self, raw: Any, key: str) -> Any:
        if not isinstance(raw, Mapping):
            raise self.wrong("settings.error.needs_table", key, raw)
        with placed(key):
            return read(self.of, raw)

    def write(self, value: Any) -> Any:
        return value.written()

    def advice(self, key: str) -> Message:
        if self.inline:
            return super().advice(key)
        settings = rules(self.of)
        needed = [one for one in settings if one[2] is dataclasses.MISSING or one[1].stated]
        name, rule, _ = (needed or settings)[0]
        return say("settings.error.write_table", key=key, example=toml_line(rule.key or name, rule.example))

    def schema(self) -> dict[str, Any]:
        return schema_of(self.of)


@dataclass(frozen=True, kw_only=True)
class Tables(Rule):
    """Several values, each under [[key]]. numbered : errors call each by its number, though it may have a name."""

    of: type["Value"]
    numbered: bool = False

    def check(self, value: Any, key: str) -> Any:
        return members(value, *self.kinds)

    @property
    def takes(self) -> str:
        return f"sequence of {' or '.join(kind.__name__ for kind in self.kinds)}"

    @property
    def kinds(self) -> tuple[type["Value"], ...]:
        """What each may be."""
        return (self.of,)

    def read(self, raw: Any, key: str) -> Any:
        if not isinstance(raw, list) or not all(isinstance(entries, Mapping) for entries in raw):
            raise self.wrong("settings.error.needs_tables", key, raw, say("settings.error.write_tables", key=key))
        if len(raw) > MOST_TABLES:
            raise BatikError("settings.error.too_many", field=key, got=len(raw), most=MOST_TABLES)
        return tuple(self._each(entries, key, number) for number, entries in enumerate(raw, start=1))

    def _each(self, entries: Entries, key: str, number: int) -> "Value":
        with placed(f"{key} {number}" if self.numbered else called(key, entries, number)):
            return self.read_each(entries)

    def read_each(self, entries: Entries) -> "Value":
        """One of the values."""
        return read(self.of, entries)

    def write(self, value: Any) -> Any:
        return [each.written() for each in value]

    def schema(self) -> dict[str, Any]:
        return {"type": "array", "items": self.each_schema(), "maxItems": MOST_TABLES}

    def each_schema(self) -> dict[str, Any]:
        """The schema of each."""
        return schema_of(self.of)


def check_type(value: object, *kinds: type[Any], what: str = "") -> None:
    """Raise TypeError for what is of another type. what : the item of a list that it is."""
    if not isinstance(value, kinds):
        wanted = " or ".join(kind.__name__ for kind in kinds)
        raise TypeError(f"{what}must be {wanted}, not {type_name(value)}")


def members(value: object, *kinds: type[Any]) -> tuple[Any, ...]:
    """The items of a list, each of one of some kinds. Raises TypeError for anything else."""
    items = listed(value)
    if items is None:
        wanted = " or ".join(kind.__name__ for kind in kinds)
        raise TypeError(f"must be a list of {wanted}, not {type_name(value)}")
    for number, item in enumerate(items, start=1):
        check_type(item, *kinds, what=f"item {number} ")
    return tuple(items)


def type_name(value: object) -> str:
    """The type of something as Python calls it: "str", "numpy.ndarray"; values here by their name alone."""
    kind = type(value)
    known = kind.__module__ == "builtins" or isinstance(value, Value)
    return kind.__qualname__ if known else f"{kind.__module__}.{kind.__qualname__}"


class Value:
    """A frozen dataclass whose fields carry rules. A value that exists is valid.

    KIND : how sentences call it, the key of a text under "settings.kind"
    """

    KIND: ClassVar[str]

    def __post_init__(self) -> None:
        for name, rule, default in rules(type(self)):
            given = getattr(self, name)
            if (held := unboxed(given)) is not given:
                object.__setattr__(self, name, held)
            if held is not default and not (isinstance(held, str) and held == "" == default):
                try:
                    object.__setattr__(self, name, rule.check(held, rule.key or name))
                except TypeError as error:
                    raise TypeError(f"{type(self).__name__}.{name} {error}") from None
        self.agree()

    def _keep(self, given: Mapping[str, Any]) -> None:
        """Keep what an `__init__` was given, its `locals()`, and check it: for values that take more than they keep."""
        for name, held in given.items():
            if name != "self":
                object.__setattr__(self, name, held)
        self.__post_init__()

    def agree(self) -> None:
        """Raise BatikError for settings that don't go together."""

    @classmethod
    def together(cls, entries: Entries) -> None:
        """Raise BatikError for keys of a table that don't go together, known keys all of them."""

    @classmethod
    def schema_more(cls) -> dict[str, Any]:
        """What JSON Schema can say of settings that don't go together."""
        return {}

    def written(self) -> dict[str, Any]:
        """The value as a file holds it, defaults left out; `read` gives the same value back."""
        entries: dict[str, Any] = {}
        for name, rule, default in rules(type(self)):
            entries |= rule.give(self, name, default=default)
        return entries


def table(of: type[Value], help: str, **more: Any) -> dict[str, Rule]:
    """The metadata of a field that is a value with settings of its own; more as of `Table`."""
    return setting(Table(of=of, help=help, **more))


def tables(of: type[Value], key: str, help: str, **more: Any) -> dict[str, Rule]:
    """The metadata of a field of several values, each under [[key]]; more as of `Tables`."""
    return setting(Tables(of=of, key=key, help=f"{help}, each under [[{key}]].", python=f"{help}.", **more))


def rules(kind: type[Any]) -> tuple[tuple[str, Rule, Any], ...]:
    """(field, rule, default) of every setting of a value, in order; MISSING for one that has to be there."""
    cached: tuple[tuple[str, Rule, Any], ...] | None = kind.__dict__.get("_rules")
    if cached is None:
        fields = [field for field in dataclasses.fields(kind) if "rule" in field.metadata]
        cached = tuple((field.name, field.metadata["rule"], _default(field)) for field in fields)
        kind._rules = cached
    return cached


def _default(field: dataclasses.Field[Any]) -> Any:
    return field.default if field.default_factory is dataclasses.MISSING else field.default_factory()


# Reading and writing


def read(kind: type[V], entries: Entries, *, beside: Sequence[str] = (), **fields: Any) -> V:
    """A value from what a file or a request holds.

    beside : further keys that are known there and read elsewhere; fields : of the value, that aren't settings
    errors : BatikError with field, what was found, and what to write
    """
    known = [*beside, *(key for name, rule, _ in rules(kind) for key in rule.keys(name))]
    for key in entries:
        if key not in known:
            kind_name = say(f"settings.kind.{kind.KIND}")
            raise BatikError("settings.error.unknown", got=key, what=kind_name, fix=nearest(key, known))
    kind.together(entries)
    for name, rule, default in rules(kind):
        taken = rule.take(entries, name)
        if (default is dataclasses.MISSING or rule.stated) and name not in taken:
            key = rule.key or name
            raise BatikError("settings.error.missing", field=key, fix=rule.advice(key))
        fields |= taken
    return kind(**fields)


# Describing


def schema_of(kind: type[Value]) -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of a table that `read` makes a value of."""
    properties: dict[str, Any] = {}
    needed: list[str] = []
    for name, rule, default in rules(kind):
        described = rule.properties(name)
        if default is dataclasses.MISSING or rule.stated:
            needed.append(rule.key or name)
        elif isinstance(default, str | int | float) and default != "":
            described[rule.key or name]["default"] = default
        properties |= described
    schema = {"type": "object", "description": doc_line(kind), "properties": properties, "additionalProperties": False}
    return (schema | {"required": needed} if needed else schema) | kind.schema_more()


def doc_line(kind: type[Value]) -> str:
    """The first line of a value's docstring."""
    return (kind.__doc__ or "").strip().split("\n")[0]
