"""The fixed words of everything that is printed, from one catalogue file for each language: `data/texts_en.toml`.

Keys are written with dots, table by table ("trace.check_line"); braces in a text name what is put in ("{mm} mm").
Another language is another file of the same keys; what it lacks is taken from English.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType

from batiksim.errors import BatikError, nearest

__all__ = ["Texts", "languages", "texts"]

_FOLDER = Path(__file__).parent.parent / "data"
_FIRST = "en"
Entry = str | tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Texts:
    """The words of one language. entries : key with dots -> a text, or several lines."""

    language: str
    entries: Mapping[str, Entry]

    def __call__(self, key: str, **parts: object) -> str:
        """One text with `parts` put in. Raises KeyError for a key or part that isn't there: a mistake in the code."""
        entry = self.entries[key]
        if not isinstance(entry, str):
            raise KeyError(f"{key} is several lines: use lines()")
        return entry.format_map(parts)

    def count(self, key: str, number: int, **parts: object) -> str:
        """A text that depends on a number: `key.one` or `key.other`, with {number} put in."""
        return self(f"{key}.{'one' if number == 1 else 'other'}", number=number, **parts)

    def ordinal(self, number: int) -> str:
        """A number that says a place in a row: "2nd", "13th", "21st"."""
        tens, ones = divmod(number % 100, 10)
        return self(f"ordinal.{ones if ones in (1, 2, 3) and tens != 1 else 'other'}", number=number)

    def step(self, number: int, title: str) -> str:
        """A step by number and title, as lists name it: "Step 4. Wax 2: leaves"."""
        return self("handout.step.titled", number=number, title=title)

    def lines(self, key: str, **parts: object) -> tuple[str, ...]:
        """Several texts in their order, each with `parts` put in."""
        entry = self.entries[key]
        if isinstance(entry, str):
            raise KeyError(f"{key} is one text: call the catalogue with it")
        return tuple(line.format_map(parts) for line in entry)

    def phrase(self, english: str) -> str:
        """Words that come from the planning part (a colour's name, a caution), as the language's [phrase] has them."""
        entry = self.entries.get(f"phrase.{english}", english)
        return entry if isinstance(entry, str) else english

    def under(self, table: str) -> dict[str, str]:
        """All single texts of a table by the rest of their key, in the catalogue's order; nothing is put in."""
        start = f"{table}."
        return {
            key.removeprefix(start): entry
            for key, entry in self.entries.items()
            if key.startswith(start) and isinstance(entry, str)
        }


def languages() -> tuple[str, ...]:
    """The languages that there is a catalogue for ("en")."""
    return tuple(sorted(file.stem.removeprefix("texts_") for file in _FOLDER.glob("texts_*.toml")))


@lru_cache(maxsize=8)
def texts(language: str = _FIRST) -> Texts:
    """The catalogue of a language. Raises BatikError naming the nearest for one that there is none of."""
    if language not in languages():
        raise BatikError("there are no texts in this language", got=language, fix=nearest(language, languages()))
    entries = _flat(_read(_FIRST))
    if language != _FIRST:
        entries |= _flat(_read(language))
    return Texts(language=language, entries=MappingProxyType(entries))


def _read(language: str) -> dict[str, object]:
    return tomllib.loads((_FOLDER / f"texts_{language}.toml").read_text(encoding="utf-8"))


def _flat(table: Mapping[str, object], before: str = "") -> dict[str, Entry]:
    flat: dict[str, Entry] = {}
    for key, value in table.items():
        if isinstance(value, Mapping):
            flat |= _flat(value, f"{before}{key}.")
        elif isinstance(value, list):
            flat[before + key] = tuple(str(line) for line in value)
        else:
            flat[before + key] = str(value)
    return flat
