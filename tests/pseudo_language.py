"""A made-up language: every English sentence in double brackets, its letters with accents. What shows none isn't taken
from the catalogue.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import read_mo, write_mo

from batiksim.texts import catalogue
from batiksim.worktable import page_words

CODE = "nl"  # Babel knows it: two forms of a plural as in English, but a decimal comma
_ACCENTS = str.maketrans("aeiouyncAEIOUYNC", "áéíóúýñçÁÉÍÓÚÝÑÇ")


def pseudo(text: str) -> str:
    """A sentence of the made-up language. Each line has its brackets; what is put in between braces stays."""
    return "\n".join(f"⟦{_accented(line)}⟧" for line in text.split("\n"))


def _accented(line: str) -> str:
    parts = re.split(r"(\{[^}]*\})", line)
    return "".join(part if part.startswith("{") else part.translate(_ACCENTS) for part in parts)


def pseudo_locale(folder: Path) -> str:
    """Write `en.mo` as it is and the made-up language beside it into a folder; its code is given back."""
    english = (catalogue.LOCALE / "en.mo").read_bytes()
    (folder / "en.mo").write_bytes(english)
    made = Catalog(locale=CODE, charset="utf-8")
    with (folder / "en.mo").open("rb") as file:
        for message in read_mo(file):
            if message.id:
                plural = isinstance(message.string, list | tuple)
                text = tuple(map(pseudo, message.string)) if plural else pseudo(message.string)
                made.add(tuple(message.id) if plural else message.id, text)
    with (folder / f"{CODE}.mo").open("wb") as file:
        write_mo(file, made)
    return CODE


def use_locale(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Take the catalogues of a folder; call `forget` when the test has ended."""
    monkeypatch.setattr(catalogue, "LOCALE", folder)
    forget()


def forget() -> None:
    """Forget catalogues that were read before."""
    for cached in (catalogue._entries, catalogue._texts, catalogue.languages, page_words._filled):
        cached.cache_clear()
