"""What an editor asks for, read with care: every value is checked before anything uses it."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from typing import Any, TypeVar

from batiksim.errors import BatikError
from batiksim.values.rules import OF_FILES, Choice, Flag, Number, Rule, Text
from batiksim.values.settings import Value, rules

MOST_ENTRIES = 500
V = TypeVar("V", bound=Value)


class RequestFields:
    """One request: named values as they were sent, not yet checked.

    What is a setting of some value is checked by its declaration; the rest, such as keys and numbers of steps, here.
    """

    def __init__(self, entries: object) -> None:
        if not isinstance(entries, Mapping) or len(entries) > MOST_ENTRIES:
            raise BatikError("document.error.needs_values", got=type(entries).__name__)
        self.entries: Mapping[str, Any] = entries

    def __contains__(self, key: str) -> bool:
        return self.entries.get(key) is not None

    def settings(self, kind: type[Value], *, without: Sequence[str] = ()) -> dict[str, Any]:
        """Those settings of a value that were sent, by field."""
        sent = [(name, rule) for name, rule, _ in rules(kind) if name in self and name not in without]
        return {name: self._sent(rule, name) for name, rule in sent}

    def read(self, kind: type[V]) -> V:
        """A value of the settings that were sent, the rest at their defaults; those that have none have to be sent."""
        needed = {name: self._sent(rule, name) for name, rule, default in rules(kind) if default is dataclasses.MISSING}
        return kind(**needed | self.settings(kind, without=tuple(needed)))

    def setting(self, kind: type[Value], name: str) -> Any:
        """One setting of a value, which has to be sent."""
        rule = next(rule for field, rule, _ in rules(kind) if field == name)
        return self._sent(rule, name)

    def _sent(self, rule: Rule, name: str) -> Any:
        """What was sent, read by a rule. How a line of a file is written is no advice to whoever sends a request."""
        key = rule.key or name
        try:
            return rule.read(self.entries.get(name), key)
        except BatikError as error:
            if error.fix is None or error.fix.key not in OF_FILES:
                raise
            raise error.advised(rule.bounds if isinstance(rule, Number) else None) from None

    def text(self, key: str, *, longest: int = 400) -> str:
        """A text that isn't empty."""
        return str(self._sent(Text(help="", longest=longest), key)).strip()

    def number(self, key: str, low: float, high: float) -> float:
        """A number from low to high."""
        return float(self._sent(Number(help="", low=low, high=high), key))

    def integer(self, key: str, low: int, high: int) -> int:
        """A whole number from low to high."""
        return int(self._sent(Number(help="", low=low, high=high, whole=True), key))

    def flag(self, key: str) -> bool:
        """True or false; false when left out."""
        return key in self.entries and bool(self._sent(Flag(help=""), key))

    def choice(self, key: str, choices: tuple[str, ...]) -> str:
        """One of some words."""
        return str(self._sent(Choice(help="", choices=choices), key))

    def nested(self, key: str) -> RequestFields:
        """Named values under a name."""
        return RequestFields(self.entries.get(key))

    def sequence(self, key: str, *, most: int = 50) -> list[Any]:
        """A list; empty when left out."""
        value = self.entries.get(key)
        if value is None:
            return []
        if not isinstance(value, list) or len(value) > most:
            raise BatikError("document.error.needs_list", field=key, got=type(value).__name__, most=most)
        return value

    def points(self, key: str) -> list[tuple[float, float]]:
        """Pairs of numbers."""
        pairs = self.sequence(key, most=20_000)
        for pair in pairs:
            good = isinstance(pair, list) and len(pair) == 2
            if not good or not all(isinstance(number, int | float) and abs(number) < 1e300 for number in pair):
                raise BatikError("document.error.needs_pairs", field=key)
        return [(float(x), float(y)) for x, y in pairs]
