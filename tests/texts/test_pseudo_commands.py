"""Every word that commands, pictures and sheets show comes out of the catalogue.

All commands are run in a made-up language whose letters carry accents, on a cloth whose names are of capitals alone: a
word in plain small letters is one that the code says by itself.
"""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import numpy as np
import pdfplumber
import pytest
from click.testing import CliRunner
from matplotlib.text import Text
from PIL import Image, ImageDraw

from batiksim.checks.table import CODES
from batiksim.cli import main
from tests.pseudo_language import CODE, forget, pseudo_locale, use_locale

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
# Data, not words: units, codes that data and files keep, formats, what stands in a design file or is typed
UNITS = "batiksim mm cm ml pt px dpi hex lab rgb srgb cie kg tsp tbsp fl oz lb"
KNOWN = {
    *UNITS.split(),
    "en",  # the made-up language's "and", which lists take from CLDR
    *CODES,  # of checks: typed to choose among them, kept in data
}


@pytest.fixture
def made_up(tmp_path_factory, monkeypatch):
    """The made-up language, spoken by whatever command asks for it."""
    folder = tmp_path_factory.mktemp("locale")
    pseudo_locale(folder)
    use_locale(folder, monkeypatch)
    yield CODE
    monkeypatch.undo()
    forget()


@pytest.fixture
def cloth(tmp_path):
    """A cloth with every kind of step, on which checks find much."""
    folder = tmp_path / "QQ"
    folder.mkdir()
    (folder / "design.toml").write_text(DESIGN, encoding="utf-8")
    rows, cols = np.mgrid[:200, :300]
    rings = {"M1": (100, 90), "M2": (110, 150), "M3": (90, 215)}
    for name, (row, col) in rings.items():
        far = np.hypot(rows - row, cols - col)
        mask = np.abs(far - 60) < 2.5 if name == "M1" else far < 55
        Image.fromarray(np.where(mask, 0, 255).astype(np.uint8)).save(folder / f"{name}.png")
    return folder


@pytest.fixture
def drawn(monkeypatch):
    """What is written into pictures and charts."""
    written: list[str] = []
    draw, label = ImageDraw.ImageDraw.text, Text.set_text

    def note_drawn(self, xy, text, *others, **settings):
        written.append(str(text))
        return draw(self, xy, text, *others, **settings)

    def note_label(self, text):
        written.append(str(text or ""))
        return label(self, text)

    monkeypatch.setattr(ImageDraw.ImageDraw, "text", note_drawn)
    monkeypatch.setattr(Text, "set_text", note_label)
    return written


def run(*words):
    done = CliRunner().invoke(main, [*map(str, words), "--language", CODE], prog_name="batiksim")
    assert done.exit_code in (0, 1), done.output + done.stderr
    return done.output


def strange(text: str, *known: str) -> set[str]:
    """Words that aren't of the catalogue."""
    text = re.sub(r"#[0-9a-fA-F]{6}|--[\w-]+|\S*[\w-]+\.(png|pdf|svg|json|csv|toml|jpg|gif|mo)\b|\S*/\S*", " ", text)
    return {
        word
        for word in re.findall(r"[^\W\d_]+", text)
        if len(word) > 1
        and word.islower()
        and re.search("[aeiouync]", word)
        and word not in KNOWN
        and not any(word in name for name in known)
    }


COMMANDS = {
    "preview": ("preview", "{cloth}", "--out", "{out}", "--light", "A"),
    "stages": ("stages", "{cloth}", "--out", "{out}/O.png"),
    "check": ("check", "{cloth}", "--out", "{out}/O.png"),
    "overdye": ("overdye", "{cloth}", "--out", "{out}/O.png"),
    "overdye csv": ("overdye", "{cloth}", "--out", "{out}/O.csv"),
    "pot": ("pot", "GLB=5, BLW=1", "--book", "{cloth}", "--ml", "200", "--strength", "0.6"),
    "pot drawn": ("pot", "GLB=5, BLW=1", "--book", "{cloth}", "--out", "{out}/O.png"),
    "match": ("match", "#4d7358", "--book", "{cloth}", "--ground", "GLB=1", "--out", "{out}/O.png"),
    "ladders": ("chart", "ladders", "{cloth}", "--out", "{out}/O.png"),
    "spectra": ("chart", "spectra", "{cloth}", "--out", "{out}/O.png"),
    "colours": ("chart", "colours", "{cloth}", "--out", "{out}/O.png"),
    "orders": ("orders", "{cloth}", "--out", "{out}"),
    "workshop": ("workshop", "{cloth}", "--makers", "12", "--sessions", "3x2h", "--measures", "all"),
    "workshop.pdf": ("workshop", "{cloth}", "--makers", "12", "--out", "{out}/O.pdf"),
    "workshop.png": ("workshop", "{cloth}", "--makers", "2", "--sessions", "4x3h", "--out", "{out}/O.png"),
    "handout": ("handout", "{cloth}", "--makers", "12", "--out", "{out}/O.pdf"),
    "one page": ("handout", "{cloth}", "--one-page", "--out", "{out}/O.pdf"),
    "learner": ("handout", "{cloth}", "--learner", "--out", "{out}/O.pdf"),
    "risk": ("risk", "{cloth}", "--out", "{out}/O.pdf"),
    "trace": ("trace", "{cloth}", "--out", "{out}"),
    "strip": ("strip", "{cloth}", "--out", "{out}"),
    "from-picture": ("from-picture", "{cloth}/M1.png", "--out", "{out}", "--book", "{cloth}", "--steps", "2"),
    "compare": ("compare", "{cloth}", "{photo}", "--out", "{out}"),
    "calibrate": ("calibrate", "{strip_photo}", "--strip", "{strip}", "--book", "{out}/B.toml", "--dry-run"),
}
SAMPLES = Path(__file__).resolve().parents[2] / "sample_designs"


@pytest.mark.full
@pytest.mark.parametrize("name", COMMANDS)
def test_no_word_is_said_but_by_the_catalogue(made_up, cloth, tmp_path, drawn, name):
    out = tmp_path / "OO"
    out.mkdir()
    photo = tmp_path / "PP.png"
    if name == "compare":
        run("preview", cloth, "--out", tmp_path / "PV")
        shutil.copy(tmp_path / "PV" / "cloth.png", photo)
        drawn.clear()
    strip = SAMPLES / "strip"
    places = {"cloth": cloth, "out": out, "photo": photo, "strip": strip / "strip.toml"}
    places |= {"strip_photo": strip / "photo.jpg"}
    printed = run(*(word.format(**places) for word in COMMANDS[name])).replace(str(tmp_path), "")
    words = strange(printed, *(DYES_OF_STRIP if name == "calibrate" else ()))
    assert words == set(), printed
    assert strange(" ".join(drawn)) == set(), "in pictures"
    for file in sorted(out.rglob("*.pdf")):
        with pdfplumber.open(file) as pages:
            text = "\n".join(page.extract_text() or "" for page in pages.pages)
        assert strange(text) == set(), file.name


DYES_OF_STRIP = {
    word
    for line in (SAMPLES / "strip" / "strip.toml").read_text(encoding="utf-8").splitlines()
    for word in re.findall(r"[a-z]+", line)
}


@pytest.mark.full
@pytest.mark.parametrize("words", [("check", "{cloth}"), ("orders", "{cloth}"), ("workshop", "{cloth}")])
def test_data_keeps_codes_and_says_its_sentences_by_the_catalogue(made_up, cloth, words):
    data = json.loads(run(*(word.format(cloth=cloth) for word in words), "--json"))

    def sentences(part):
        if isinstance(part, dict):
            for key, value in part.items():
                if key.endswith("_says") and isinstance(part.get(key.removesuffix("_says")), str):
                    yield part[key.removesuffix("_says")]
                    assert value is None or isinstance(value["key"], str)
                yield from sentences(value)
        elif isinstance(part, list):
            for each in part:
                yield from sentences(each)

    said = list(sentences(data))
    assert said or words[0] == "orders"
    assert [sentence for sentence in said if strange(sentence)] == []
