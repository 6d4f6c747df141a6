"""What batiksim didn't make is never replaced by what a command makes; its own earlier files are."""

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner
from PIL import Image

from batiksim.cli import main
from batiksim.files.made_by import is_marked
from batiksim.files.starter import new_design

# The command, the files that it makes under names of its own or the maker's, as they are asked for.
COMMANDS = {
    "preview": ("preview cloth --width 60 --out out", "out/cloth.png out/stages.png out/plate-00.png out/plate-03.png"),
    "report": ("preview cloth --width 60 --out out", "out/report.json"),
    "step": ("preview cloth --width 60 --step 2 --out out", "out/plate-02.png"),
    "stages": ("stages cloth --out sheet.png", "sheet.png"),
    "gif": ("stages cloth --animate --width 240 --out grows.gif", "grows.gif"),
    "webp": ("stages cloth --animate --width 240 --out grows.webp", "grows.webp"),
    "check": ("check cloth --only mud --out marked.png", "marked.png"),
    "orders": ("orders cloth --out out", "out/orders.png out/orders.json"),
    "overdye png": ("overdye cloth --out chart.png", "chart.png"),
    "overdye pdf": ("overdye cloth --out chart.pdf", "chart.pdf"),
    "overdye csv": ("overdye cloth --out chart.csv", "chart.csv"),
    "overdye json": ("overdye cloth --out chart.json", "chart.json"),
    "pot": ("pot lemon=1 --out pot.png", "pot.png"),
    "chart png": ("chart ladders cloth --out chart.png", "chart.png"),
    "chart pdf": ("chart ladders cloth --out chart.pdf", "chart.pdf"),
    "chart svg": ("chart ladders cloth --out chart.svg", "chart.svg"),
    "chart json": ("chart ladders cloth --out chart.json", "chart.json"),
    "strip": ("strip demo --out out", "out/strip.pdf out/strip-1.toml"),
    "trace": ("trace cloth --out out", "out/sheets.pdf out/large.pdf out/large-step-1.svg"),
    "handout": ("handout cloth", "handout.pdf"),
    "risk": ("risk cloth", "risk-sheet.pdf"),
    "workshop pdf": ("workshop cloth --out day.pdf", "day.pdf"),
    "workshop png": ("workshop cloth --out day.png", "day.png"),
    "workshop txt": ("workshop cloth --out day.txt", "day.txt"),
    "workshop md": ("workshop cloth --out day.md", "day.md"),
}
LONG = {
    "report", "stages", "gif", "webp", "orders", "overdye png", "overdye pdf", "pot", "trace", "handout",
    "workshop pdf", "workshop png", "check", "chart pdf", "chart svg", "strip", "risk",
}  # fmt: skip
FOREIGN = b"holiday"


@pytest.fixture(scope="module")
def starter(tmp_path_factory):
    folder = tmp_path_factory.mktemp("starter")
    new_design(folder / "cloth")
    return folder / "cloth"


@pytest.fixture
def here(starter, tmp_path, monkeypatch):
    shutil.copytree(starter, tmp_path / "cloth")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def everything(folder):
    return {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.mark.parametrize(
    "command", [pytest.param(name, marks=[pytest.mark.full] * (name in LONG)) for name in COMMANDS]
)
def test_a_foreign_file_stays_and_an_own_one_is_made_anew(command, here):
    line, names = COMMANDS[command]
    for name in names.split():
        Path(name).parent.mkdir(exist_ok=True)
        Path(name).write_bytes(FOREIGN)
        before = everything(here)
        done = CliRunner().invoke(main, line.split())
        assert (done.exit_code, done.stdout) == (2, "")
        assert Path(name).name in done.stderr
        assert "wasn't made by batiksim or has been changed since; move it elsewhere, or" in done.stderr
        assert everything(here) == before
        Path(name).unlink()
    for _ in range(2):
        done = CliRunner().invoke(main, line.split())
        assert done.exit_code == 0, done.output
    assert all(Path(name).read_bytes() != FOREIGN for name in names.split())


def test_data_of_one_chart_gives_way_to_that_of_another(here):
    for line in ("chart ladders cloth", "chart spectra cloth", "chart ladders cloth --pots", "overdye cloth"):
        assert CliRunner().invoke(main, [*line.split(), "--out", "chart.json"]).exit_code == 0, line
    told = json.loads(Path("chart.json").read_text(encoding="utf-8"))
    assert "overdyes" in told
    del told["made"]  # as charts were written before they carried a mark
    Path("chart.json").write_text(json.dumps(told), encoding="utf-8")
    assert CliRunner().invoke(main, ["overdye", "cloth", "--out", "chart.json"]).exit_code == 0
    Path("chart.json").write_text('{"title": "My own", "made": "by me"}', encoding="utf-8")
    assert CliRunner().invoke(main, ["chart", "ladders", "cloth", "--out", "chart.json"]).exit_code == 2


def test_a_plate_that_the_maker_painted_on_is_her_own(here):
    line = COMMANDS["preview"][0].split()
    assert CliRunner().invoke(main, line).exit_code == 0
    plate = Path("out/cloth.png")
    assert is_marked(plate)
    with Image.open(plate) as picture:
        picture.rotate(180).save(plate)
    before = everything(here)
    done = CliRunner().invoke(main, line)
    assert done.exit_code == 2
    assert "cloth.png" in done.stderr
    assert everything(here) == before


def test_plates_beyond_the_last_step_are_removed_only_when_they_are_ours(here):
    line = COMMANDS["preview"][0].split()
    assert CliRunner().invoke(main, line).exit_code == 0
    ours, theirs = sorted(Path("out").glob("plate-*.png"))[-2:]
    theirs.write_bytes(FOREIGN)
    design = Path("cloth/design.toml")
    text = design.read_text(encoding="utf-8")
    design.write_text(text[: text.index("[[step]]", text.index("[[step]]") + 1)], encoding="utf-8")
    assert CliRunner().invoke(main, line).exit_code == 0
    assert not ours.exists()
    assert theirs.read_bytes() == FOREIGN
