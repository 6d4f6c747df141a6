"""`pot` and `match` as a maker types them."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner
from PIL import Image

from batiksim.cli import main

BOOK = """\
format = 1
title = "Mine"
[[dye]]
name = "straw"
colour = "#f4e48e"
[[dye]]
name = "ink"
colour = "#303a5e"
"""
DESIGN = """\
format = 1
title = "t"
[cloth]
width_mm = 300
colour = "#ffffff"
[[dye]]
name = "straw"
book = "mine.toml"
[[dye]]
name = "ink"
book = "mine.toml"
[[pot]]
name = "dusk"
parts = { straw = 1, ink = 3 }
strength = 0.5
"""


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "mine.toml").write_text(BOOK)
    (tmp_path / "design.toml").write_text(DESIGN)
    return tmp_path


def run(*words):
    return CliRunner(catch_exceptions=False).invoke(main, [str(word) for word in words])


def data(*words):
    result = run(*words, "--json")
    assert result.exit_code == 0, result.output
    return json.loads(result.output)


def test_pot_tells_the_same_in_words_and_as_data():
    words = run("pot", "lemon=5, turquoise=1", "--strength", "0.6").output
    told = data("pot", "lemon=5, turquoise=1", "--strength", "0.6")
    for colour in (told["dry"], told["wet"], told["solution"], *told["shifts"]):
        assert colour["hex"] in words
    assert told["dry"]["name"] in words
    assert "50 ml lemon, 10 ml turquoise, 40 ml chemical water" in words
    full_strength = "half stock, half chemical water"  # as the workshop sheet mixes it
    assert full_strength in " ".join(words.split())
    assert "invented demo dyes" in words
    assert all(shift["words"] in words for shift in told["shifts"])


def test_a_book_of_your_own_and_drops(folder):
    told = data("pot", "straw=2, ink=6 drops", "--ml", 50, "--book", folder / "mine.toml")
    assert told["pot"] == {"name": "pot", "parts": {"straw": 2}, "strength": 1, "ml": 50, "drops": {"ink": 6}}
    assert told["notes"] == []
    assert told["loads"]["ink"] == pytest.approx(0.3 / 50.3)


def test_a_pot_of_a_design_by_its_name(folder):
    told = data("pot", "dusk", "--book", folder)
    dusk = {"name": "dusk", "parts": {"straw": 1, "ink": 3}, "strength": 0.5, "ml": None, "drops": {}}
    assert told["pot"] == dusk
    assert told["cloth"]["hex"] == "#ffffff"
    assert data("pot", "dusk", "--book", folder, "--strength", 1)["pot"]["strength"] == 1
    assert data("pot", "straw, ink=3", "--book", folder / "design.toml", "--strength", 0.5)["dry"] == told["dry"]


def test_the_cloth_may_be_given(folder):
    on_white = data("pot", "straw", "--cloth", "#ffffff", "--book", folder)["dry"]["lab"]
    on_grey = data("pot", "straw", "--cloth", "#b0b0b0", "--book", folder)["dry"]["lab"]
    assert on_grey[0] < on_white[0]


@pytest.mark.parametrize("light", ["A", "led", "d50"])
def test_pot_and_match_by_another_light(light):
    told = data("pot", "moss", "--light", light)
    words = run("pot", "moss", "--light", light).output
    assert told["light"] == light.upper()
    shown = {one["light"]: one["hex"] for one in told["lights"]}
    assert told["dry"]["hex"] == shown[light.upper()] != shown["D65"]
    assert told["dry"]["hex"] in words
    assert "All colours as seen" in words
    found = data("match", "moss", "--light", light)
    assert found["wanted"]["hex"] == found["pots"][0]["hex"] == told["dry"]["hex"]


def test_match_fits_a_terminal_of_80_columns(terminal_lines):
    lines = terminal_lines("match", "#4d7358")
    assert max(map(len, lines)) <= 80
    assert any("8 parts golden yellow, 5 parts emerald" in line for line in lines)  # not broken word by word


def test_pot_as_a_picture(tmp_path):
    out = tmp_path / "leaf.png"
    result = run("pot", "lemon=5, turquoise=1", "--out", out)
    assert f"The picture is in {out}" in result.output.replace("\n", "")
    with Image.open(out) as picture:
        assert picture.width > 1000


def test_match_as_a_picture(tmp_path):
    out = tmp_path / "greens.png"
    result = run("match", "#4d7358", "--pots", 2, "--out", out)
    assert f"The picture is in {out}" in result.output.replace("\n", "")
    with Image.open(out) as picture:
        assert picture.width > 1000


def test_match_finds_what_pot_shows(folder):
    wanted = data("pot", "straw=5, ink=1", "--strength", 0.6, "--book", folder / "mine.toml")["dry"]["hex"]
    found = data("match", wanted, "--book", folder / "mine.toml", "--dyes", 2)
    first = found["pots"][0]
    assert first["delta_e"] < 0.5
    assert set(first["pot"]["parts"]) == {"straw", "ink"}
    shown = data(
        "pot",
        ", ".join(f"{dye}={part:g}" for dye, part in first["pot"]["parts"].items()),
        "--strength",
        first["pot"]["strength"],
        "--book",
        folder / "mine.toml",
    )
    assert shown["dry"]["hex"] == first["hex"]
    words = run("match", wanted, "--book", folder / "mine.toml", "--dyes", 2).output
    assert wanted in words


def test_match_by_name_and_on_a_ground():
    by_name = data("match", "Moderate Green", "--pots", 2)
    assert by_name["wanted"]["name"] == "moderate green"
    assert len(by_name["pots"]) == 2
    on_lemon = data("match", "moderate green", "--ground", "lemon=1", "--dyes", 2)
    assert on_lemon["ground"]["dyed"] is True
    assert all(len(one["pot"]["parts"]) <= 2 for one in on_lemon["pots"])


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("pot", "lemn=5"), "did you mean 'lemon'?"),
        (("pot", "lemon", "--cloth", "cream"), "needs a colour (found 'cream')"),
        (("pot", "lemon", "--strength", "9"), "--strength: out of range"),
        (("pot", "lemon", "--book", "nowhere.toml"), "no such dye book"),
        (("pot", "lemon", "--out", "leaf.gif"), "end its name in .png"),
        (("pot", "lemon", "--light", "B"), "--light: 'B' isn't one of the choices; use one of D65, D50, A, LED"),
        (("pot", "lemon", "--strength", "80"), "write 0.8 for 80%"),
        (("pot", "lemon=20000"), "parts only compare one dye with another"),
        (("pot", "lemon", "--ml", "2000000"), "to 1000000"),
        (("match", "mosss"), "did you mean the dye or pot 'moss'?"),
        (("match", "zzz"), 'write a colour like "#c05f7a", or by its name'),
        (("match", "deep yelowish pink"), "did you mean one of 'deep yellowish pink'"),
        (("match", "#c05f7a", "--out", "reds.pdf"), "end its name in .png"),
        (("match", "#c05f7a", "--dyes", "7"), "--dyes: out of range (found 7)"),
        (
            ("match", "#c05f7a", "--ground", "lemn"),
            "--ground: 'lemn' isn't a colour that batiksim knows; did you mean the dye or pot",
        ),
        (("match", "#c05f7a", "--ground", "vivd red"), "did you mean 'vivid red'"),
        (("match", "#c05f7a", "--ground", "lemn=2, navy"), "--ground: 'lemn' isn't a dye in this book"),
    ],
)
def test_slips_are_one_message_and_exit_2(words, told):
    result = run(*words)
    assert result.exit_code == 2
    assert told in result.output
    assert result.output.count("batiksim:") == 1
