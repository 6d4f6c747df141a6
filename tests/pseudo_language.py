"""A made-up language: every English sentence in double brackets, its letters with accents. What shows none isn't taken
from the catalogue.
"""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import read_mo, write_mo
from PIL import Image

from batiksim.checks.table import CODES
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
    for cached in (catalogue._entries, catalogue._texts, catalogue.languages, page_words.page_html):
        cached.cache_clear()


KNOWN = {  # data and no words
    *[
        "batiksim",
        "mm",
        "cm",
        "ml",
        "pt",
        "px",
        "dpi",
        "hex",
        "lab",
        "rgb",
        "srgb",
        "cie",
        "kg",
        "tsp",
        "tbsp",
        "fl",
        "oz",
        "lb",
    ],
    "en",  # the made-up language's "and", which lists take from CLDR
    *CODES,  # of checks: typed to choose among them, kept in data
}


def strange(text: str, *names: str) -> set[str]:
    """Words in plain small letters, which aren't of the made-up language. names : that the maker wrote."""
    text = re.sub(r"#[0-9a-fA-F]{6}|--[\w-]+|\S*[\w-]+\.(png|pdf|svg|json|csv|toml|jpg|gif|mo)\b|\S*/\S*", " ", text)
    words = {word for word in re.findall(r"[^\W\d_]+", text) if len(word) > 1 and word.islower()}
    words = {word for word in words - KNOWN if re.search("[aeiouync]", word)}
    return {word for word in words if not any(word in name for name in names)}


DESIGN = """\
format = 1
title = "ZKT 1"
maker = "QRS"
note = "WXT."
[cloth]
width_mm = 300
colour = "#f1ede2"
[[dye]]
name = "GLB"
colour = "#f0d92e"
[[dye]]
name = "BLW"
colour = "#2050a0"
[[dye]]
name = "PNK"
colour = "#d6246e"
[[pot]]
name = "GRN"
parts = { "GLB" = 5, "BLW" = 1 }
strength = 0.8
[[step]]
wax = "M1.png"
tool = "canting"
crackle = 0.4
edges = 0.2
[[step]]
dye = [ { pot = "GRN", where = "M2.png", spread = true }, { pot = "PNK", where = "M3.png" } ]
[[step]]
wax = "M2.png"
grey = "thin"
tool = "brush"
[[step]]
dye = "BLW"
[[step]]
discharge = "M3.png"
strength = 0.6
[[want]]
name = "WNT"
colour = "#5d9a3c"
at = [60, 60]
"""


def cloth_of_capitals(folder: Path) -> Path:
    """A cloth with every kind of step, on which checks find much; all that the maker named is of capitals."""
    folder.mkdir(parents=True)
    (folder / "design.toml").write_text(DESIGN, encoding="utf-8")
    rows, cols = np.mgrid[:200, :300]
    for name, (row, col) in {"M1": (100, 90), "M2": (110, 150), "M3": (90, 215)}.items():
        far = np.hypot(rows - row, cols - col)
        mask = np.abs(far - 60) < 2.5 if name == "M1" else far < 55
        Image.fromarray(np.where(mask, 0, 255).astype(np.uint8)).save(folder / f"{name}.png")
    return folder
