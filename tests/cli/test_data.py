"""What `--json` prints of every command begins alike: format, version, of what, by which light."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

import batiksim
from batiksim import jobs
from batiksim.cli import main
from batiksim.files.starter import new_design
from batiksim.values import FORMAT

STARTER, DEMO = "My first cloth", "Demo dyes (invented)"
DESIGN = {"title": STARTER, "file": str(Path("cloth/design.toml"))}
BOOK = {"title": "Mine", "file": "mine.toml"}
# Each command with --json: its words, which of the two it is of, and whether it shows colours by a light.
COMMANDS = {
    "new": ("new another", {"design": DESIGN | {"file": str(Path("another/design.toml"))}}, None),
    "preview": ("preview cloth --width 60 --light A", {"design": DESIGN}, "A"),
    "preview drawn": ("preview cloth --width 60 --out out", {"design": DESIGN}, "D65"),
    "stages": ("stages cloth", {"design": DESIGN}, None),
    "check": ("check cloth --only wasted", {"design": DESIGN}, None),
    "overdye": ("overdye cloth --light LED", {"design": DESIGN}, "LED"),
    "overdye of a book": ("overdye mine.toml", {"source": BOOK}, "D65"),
    "pot": ("pot moss", {"source": {"title": DEMO, "file": None}}, "D65"),
    "match": ("match #4d7358 --dyes 2 --book mine.toml --light A", {"source": BOOK}, "A"),
    "ladders": ("chart ladders mine.toml", {"source": BOOK}, "D65"),
    "spectra": ("chart spectra cloth", {"design": DESIGN}, "D65"),
    "colours": ("chart colours cloth --light A", {"design": DESIGN}, "A"),
    "strip": ("strip mine.toml", {"source": BOOK}, None),
    "calibrate": ("calibrate --table swatches.csv --book mine.toml", {"source": BOOK}, "D65"),
    "calibrate anew": (
        "calibrate --table swatches.csv --book new.toml --dry-run",
        {"source": {"title": None, "file": "new.toml"}},
        "D65",
    ),
    "compare": ("compare cloth photo.png --out out", {"design": DESIGN}, "D65"),
    "orders": ("orders cloth/design.toml", {"design": DESIGN}, "D65"),
    "from-picture": (
        "from-picture sketch.png --out out --steps 1 --pots 1",
        {"design": {"title": "sketch", "file": str(Path("out/design.toml"))}},
        "D65",
    ),
    "workshop": ("workshop cloth", {"design": DESIGN}, None),
    "handout": ("handout cloth", {"design": DESIGN}, None),
    "trace": ("trace cloth", {"design": DESIGN}, None),
    "risk": ("risk cloth", {"design": DESIGN}, None),
}
LENGTHY = {"stages", "compare", "handout", "trace", "risk", "from-picture", "strip"}


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    desk = tmp_path_factory.mktemp("desk")
    new_design(desk / "cloth")
    jobs.save_preview(desk / "cloth", desk / "seen", width_px=300)
    shutil.move(desk / "seen" / "cloth.png", desk / "photo.png")
    sketch = np.zeros((60, 80, 3), np.uint8) + 240
    sketch[20:40, 20:60] = (30, 60, 120)
    Image.fromarray(sketch).save(desk / "sketch.png")
    rows = "dyes,hex\nundyed,#f4efe2\nsea 1,#3d9fb4\nsea 0.5,#7cbcc9\nsea 0.25,#abd2d8\n"
    (desk / "swatches.csv").write_text(rows, encoding="utf-8")
    dyes = "".join(f'[[dye]]\nname = "{n}"\ncolour = "{c}"\n' for n, c in (("sun", "#f0d92e"), ("night", "#1d2030")))
    (desk / "mine.toml").write_text(f'format = 1\ntitle = "Mine"\n{dyes}', encoding="utf-8")
    return desk


@pytest.fixture
def desk(made, tmp_path, monkeypatch):
    shutil.copytree(made, tmp_path / "desk")
    monkeypatch.chdir(tmp_path / "desk")
    return tmp_path / "desk"


def run(*words):
    return CliRunner(catch_exceptions=False).invoke(main, [str(word) for word in words], prog_name="batiksim")


def told(line):
    done = run(*line.split(), "--json")
    assert (done.exit_code, done.stderr) == (0, "")
    return json.loads(done.stdout)


def test_every_command_but_the_worktable_gives_data():
    with_data = {name for name, one in main.commands.items() if any(param.name == "as_json" for param in one.params)}
    assert set(main.commands) - with_data == {"worktable"}
    assert {words.split()[0] for words, _, _ in COMMANDS.values()} == with_data


@pytest.mark.parametrize("name", [pytest.param(one, marks=[pytest.mark.full] * (one in LENGTHY)) for one in COMMANDS])
def test_data_begins_with_its_envelope(name, desk):
    words, of, light = COMMANDS[name]
    data = told(words)
    head = {"format": FORMAT, "version": batiksim.__version__, **of} | ({} if light is None else {"light": light})
    assert dict(list(data.items())[: len(head)]) == head
    assert list(data)[: len(head)] == list(head)
    assert len(data) > len(head)
    assert "title" not in data


@pytest.mark.parametrize(
    ("words", "file"),
    [
        ("preview cloth --width 60 --out out", "out/report.json"),
        ("orders cloth --out out", "out/orders.json"),
        ("overdye cloth --out chart.json", "chart.json"),
        ("chart ladders mine.toml --out chart.json", "chart.json"),
        pytest.param("compare cloth photo.png --out out", "out/compare.json", marks=pytest.mark.full),
        pytest.param("from-picture sketch.png --out out --steps 1", "out/from-picture.json", marks=pytest.mark.full),
    ],
)
def test_files_of_data_hold_what_is_printed(words, file, desk):
    data = told(words)
    kept = json.loads(Path(file).read_text(encoding="utf-8"))
    assert {key: value for key, value in kept.items() if key != "made"} == data


def test_data_of_a_design_in_memory_names_no_file(build):
    data = batiksim.check(build.design()).data()
    assert data["design"] == {"title": "Test cloth", "file": None}
    assert batiksim.pot("sun", dyes=build.design()).data()["design"] == {"title": "Test cloth", "file": None}
    book = batiksim.DyeBook(name="b", title="In memory", entries=[batiksim.BookDye(name="sun", colour="#f0d92e")])
    assert batiksim.overdye(book).data()["source"] == {"title": "In memory", "file": None}


def test_data_of_an_earlier_batiksim_gives_way(desk):
    """Reports grow by keys; what an earlier one wrote into the same folder is still batiksim's."""
    for words, file in (
        ("preview cloth --width 60 --out out", "report.json"),
        ("orders cloth --out out", "orders.json"),
    ):
        data = told(words)
        earlier = {"format": 1, "title": data["design"]["title"]}
        earlier |= {key: data[key] for key in list(data) if key not in ("format", "version", "design", "light")}
        Path("out", file).write_text(json.dumps(earlier), encoding="utf-8")
        assert told(words) == data
        Path("out", file).write_text('{"format": 1, "title": "My own", "plates": []}', encoding="utf-8")
        assert run(*words.split()).exit_code == 2


# What was written, of commands that print on paper


def test_new_tells_what_it_wrote(desk):
    data = told("new another")
    assert data["folder"] == "another"
    assert sorted(data["files"]) == sorted(path.name for path in Path("another").iterdir())


@pytest.mark.full
def test_what_is_printed_on_paper_tells_its_files_and_what_was_assumed(desk, folder):
    assert (told("handout cloth --out h.pdf")["file"], told("risk cloth --out r.pdf")["file"]) == ("h.pdf", "r.pdf")
    data = told(f"stages {folder} --out s.png")
    assert data["file"] == "s.png"
    assert data["assumed"] == list(map(str, jobs.preview(folder).project.assumed)) != []
    assert len(data["assumed_says"]) == len(data["assumed"])
    data = told("strip mine.toml --out strips")
    assert data["folder"] == "strips"
    assert data["sheet"] == "strip.pdf"
    assert data["strips"] == [{"file": "strip.toml", "dyes": ["sun", "night"]}]
    assert data["cloth_assumed"] is True
    assert told("strip mine.toml --out strips --cloth #ffffff")["cloth"] == "#ffffff"


# preview --json without --out


def everything(folder):
    return {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.mark.parametrize("options", ["", "--step 2", "--light A --wet --wax-off"])
def test_preview_as_data_only_reads(desk, options):
    before = everything(desk)
    read = told(f"preview cloth --width 60 {options}")
    assert everything(desk) == before
    drawn = told(f"preview cloth --width 60 --out out {options}")
    assert [plate.pop("file") for plate in drawn["plates"]]
    assert read == drawn


def test_preview_in_words_still_asks_for_a_folder(desk):
    done = run("preview", "cloth")
    assert done.exit_code == 2
    assert "--out: the preview needs a folder to go into" in done.stderr


def test_preview_as_data_refuses_a_step_that_is_not_there(desk):
    done = run("preview", "cloth", "--step", 99, "--json")
    assert (done.exit_code, done.stdout) == (2, "")
    assert "--step: there is no step 99" in done.stderr
