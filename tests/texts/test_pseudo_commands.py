"""Every word that commands, pictures and sheets show comes out of the catalogue.

All commands are run in a made-up language whose letters carry accents, on a cloth whose names are of capitals alone: a
word in plain small letters is one that the code says by itself.
"""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pdfplumber
import pytest
from click.testing import CliRunner
from matplotlib.text import Text
from PIL import ImageDraw

from batiksim.cli import main
from tests.pseudo_language import CODE, cloth_of_capitals, forget, pseudo_locale, strange, use_locale


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
    return cloth_of_capitals(tmp_path / "QQ")


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
