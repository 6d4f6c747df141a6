"""What an editor asks for, read with care: every value is checked before anything uses it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from batiksim.errors import BatikError, nearest

MOST_ENTRIES = 500


class RequestFields:
    """One request: named values as they were sent, not yet checked."""

    def __init__(self, entries: object) -> None:
        if not isinstance(entries, Mapping) or len(entries) > MOST_ENTRIES:
            raise BatikError("document.error.needs_values", got=type(entries).__name__)
        self.entries: Mapping[str, Any] = entries

    def __contains__(self, key: str) -> bool:
        return self.entries.get(key) is not None

    def text(self, key: str, *, longest: int = 400) -> str:
        """A text that isn't empty."""
        value = self.entries.get(key)
        if not isinstance(value, str) or not value.strip():
            raise BatikError("document.error.needs_text", field=key, got=value)
        if len(value) > longest:
            raise BatikError("document.error.text_too_long", field=key, got=value, most=longest)
        return value.strip()

    def number(self, key: str, low: float, high: float) -> float:
        """A number from low to high."""
        value = self.entries.get(key)
        if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) < 1e300:
            raise BatikError("document.error.needs_number", field=key, got=value, low=low, high=high)
        if not low <= value <= high:
            raise BatikError("document.error.out_of_range", field=key, got=value, low=low, high=high)
        return float(value)

    def integer(self, key: str, low: int, high: int) -> int:
        """A whole number from low to high."""
        value = self.number(key, low, high)
        if value != int(value):
            raise BatikError("document.error.needs_whole_number", field=key, got=value)
        return int(value)

    def flag(self, key: str) -> bool:
        """True or false; false when left out."""
        value = self.entries.get(key, False)
        if not isinstance(value, bool):
            raise BatikError("document.error.needs_yes_or_no", field=key, got=value)
        return value

    def choice(self, key: str, choices: tuple[str, ...]) -> str:
        """One of some words."""
        value = self.entries.get(key)
        if value not in choices:
            raise BatikError("document.error.unknown_choice", field=key, got=value, fix=nearest(value, choices))
        return str(value)

    def amounts(self, key: str) -> dict[str, float]:
        """Names with numbers from 0 to 10 000."""
        inner = RequestFields(self.entries.get(key))
        return {str(name): inner.number(name, 0, 10_000) for name in inner.entries}

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
