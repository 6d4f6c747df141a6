"""batiksim overdye, and looking by other lights and wet, as a maker types them."""

import csv
import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from PIL import Image

from batiksim import cli
from batiksim.cli import main
from batiksim.colour.spectra import LIGHTS


def run(*words, code=0):
    result = CliRunner().invoke(main, [str(word) for word in words])
    assert result.exit_code == code, result.output
    return result.output


@pytest.fixture
def three(tmp_path):
    """A dye book of three clear dyes."""
    dyes = {"sun": "#f0d92e", "pink": "#d6246e", "leaf": "#3c9d4e"}
    lines = ["format = 1", 'title = "Three dyes"']
    lines += [f'[[dye]]\nname = "{name}"\ncolour = "{colour}"' for name, colour in dyes.items()]
    (tmp_path / "three.toml").write_text("\n".join(lines), encoding="utf-8")
    return tmp_path / "three.toml"


def test_a_book_becomes_a_picture_a_pdf_a_table_and_data(three, tmp_path):
    for ending in ("png", "PDF", "csv", "json"):
        told = run("overdye", three, "--out", tmp_path / f"chart.{ending}", "--under", 0.5)
        assert told.splitlines() == [
            f"3 dyes over each other: {tmp_path / f'chart.{ending}'}", "2 overlaps turn to mud."
        ]  # fmt: skip
    with Image.open(tmp_path / "chart.png") as picture:
        assert picture.width >= 1500
        assert round(picture.info["dpi"][0]) == 200
    assert (tmp_path / "chart.PDF").read_bytes().startswith(b"%PDF")
    with (tmp_path / "chart.csv").open(encoding="utf-8", newline="") as table:
        rows = list(csv.DictReader(table))
    data = json.loads((tmp_path / "chart.json").read_text(encoding="utf-8"))
    assert [(row["first"], row["over"], row["hex"], row["mud"] == "mud") for row in rows] == [
        (one["first"], one["over"], one["hex"], one["mud"]) for one in data["overdyes"]
    ]
    assert {(row["first"], row["over"]) for row in rows if row["mud"]} == {("pink", "leaf"), ("leaf", "pink")}
    assert (data["source"]["title"], data["of"], data["under"], data["strength"]) == ("Three dyes", "dye", 0.5, 1.0)


def test_a_single_dye_is_told_as_one(three, tmp_path):
    assert run("overdye", three, "--only", "sun", "--out", tmp_path / "one.png").startswith("One dye over itself: ")


def test_json_needs_no_file_and_says_light_and_look(three):
    data = json.loads(run("overdye", three, "--json", "--light", "led", "--wet", "--only", "leaf, sun"))
    assert (data["light"], data["look"]) == ("LED", "wet")
    assert [one["name"] for one in data["alone"]] == ["sun", "leaf"]
    dry = json.loads(run("overdye", three, "--json", "--only", "leaf, sun"))
    assert all(a["lab"][0] < b["lab"][0] for a, b in zip(data["overdyes"], dry["overdyes"], strict=True))


def test_a_design_gives_its_dyes_or_its_pots(folder):
    dyes = json.loads(run("overdye", folder, "--json"))
    pots = json.loads(run("overdye", folder, "--json", "--pots"))
    both = json.loads(run("overdye", folder, "--json", "--only", "leaf,night"))
    assert (dyes["of"], pots["of"], both["of"]) == ("dye", "pot", "pot")
    assert {one["name"] for one in pots["alone"]} == {"leaf", "plum", "glow", "water"}
    assert {one["name"] for one in both["alone"]} == {"leaf", "night"}


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--out", "chart.gif"], "end its name in one of .png, .pdf, .csv, .json"),
        (["--out", "chart"], "--out"),
        ([], "add --out chart.png"),
        (["--out", "chart.png", "--only", "son"], "did you mean 'sun'?"),
        (["--out", "chart.png", "--pots"], "no pots here"),
        (["--out", "chart.png", "--strength", "9"], "use a number above 0, up to 4"),
        (["--out", "chart.png", "--strength", "80"], "write 0.8 for 80%"),
        (["--out", "chart.png", "--strength", "nan"], "use a number above 0, up to 4"),
    ],
)
def test_mistakes_get_one_message_and_leave_no_file(three, tmp_path, monkeypatch, words, told):
    monkeypatch.chdir(tmp_path)
    output = run("overdye", three, *words, code=2)
    assert told in output
    assert len(output.strip().splitlines()) == 1
    assert [path.name for path in tmp_path.iterdir()] == ["three.toml"]


def test_a_book_that_is_not_there(tmp_path):
    assert "no such" in run("overdye", tmp_path / "none.toml", "--json", code=2)


def test_the_command_offers_every_light():
    offered = {param.name: param for param in cli.overdye.params}["light"].type
    assert tuple(offered.choices) == LIGHTS


def report(folder: Path):
    return json.loads((folder / "report.json").read_text(encoding="utf-8"))


def test_a_preview_by_lamp_and_wet_says_so_and_keeps_its_regions(folder, tmp_path):
    told = run("preview", folder, "--out", tmp_path / "lamp", "--light", "A", "--wet")
    run("preview", folder, "--out", tmp_path / "day")
    assert "wet (approximate), under a filament lamp" in told
    lamp, day = report(tmp_path / "lamp"), report(tmp_path / "day")
    assert lamp["regions"] == day["regions"]
    assert any("wet (approximate)" in note for note in lamp["assumed"])
    assert not any("lamp" in note or "wet" in note for note in day["assumed"])
    for name in ("cloth.png", "stages.png"):
        assert (tmp_path / "lamp" / name).read_bytes() != (tmp_path / "day" / name).read_bytes()
