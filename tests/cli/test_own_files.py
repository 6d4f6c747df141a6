"""What a design is made of is never written over by what a command makes from it."""

import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

import batiksim
from batiksim import jobs
from batiksim.cli import main
from batiksim.errors import BatikError
from batiksim.files.starter import new_design
from batiksim.jobs.sources import source_of

COMMANDS = (
    "check .",
    "stages .",
    "overdye .",
    "chart ladders .",
    "chart colours .",
    "pot primrose --book .",
    "match #4d7358 --book .",
    "workshop . --makers 2",
    "handout .",
    "risk .",
)


@pytest.fixture(scope="module")
def starter(tmp_path_factory):
    folder = tmp_path_factory.mktemp("starter")
    new_design(folder / "cloth")
    return folder / "cloth"


@pytest.mark.parametrize("name", ["design.toml", "outlines.png", "paint-leaves.png"])
@pytest.mark.parametrize("command", COMMANDS)
def test_a_command_told_to_write_over_the_design_refuses(command, name, starter, tmp_path, monkeypatch):
    folder = Path(shutil.copytree(starter, tmp_path / "cloth"))
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    monkeypatch.chdir(folder)
    done = CliRunner().invoke(main, [*command.split(), "--out", name])
    assert done.exit_code == 2
    assert name in done.stderr
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


def test_a_marked_picture_needs_the_ending_of_a_picture(starter, tmp_path):
    notes = tmp_path / "notes.txt"
    notes.write_text("mine", encoding="utf-8")
    done = CliRunner().invoke(main, ["check", str(starter), "--out", str(notes)])
    assert done.exit_code == 2
    assert "end its name in .png" in done.stderr
    assert notes.read_text(encoding="utf-8") == "mine"


def test_what_cannot_be_written_is_refused_before_the_work(starter, tmp_path, monkeypatch):
    """By its ending, before a mask is read, or as a file of the design, before moved masks are written."""
    written: list[object] = []
    monkeypatch.setattr(jobs.Checked, "save_corrected", lambda self, folder: written.append(folder))
    words = ["check", str(starter), "--only", "wasted", "--corrected", str(tmp_path / "moved"), "--out"]
    assert CliRunner().invoke(main, [*words, str(tmp_path / "marked.png")]).exit_code == 0
    assert written.pop() == tmp_path / "moved"
    assert CliRunner().invoke(main, [*words, str(starter / "outlines.png")]).exit_code == 2
    monkeypatch.setattr(jobs, "check", lambda design, **options: written.append(design))
    assert CliRunner().invoke(main, [*words, str(tmp_path / "marked.jpg")]).exit_code == 2
    monkeypatch.setattr(jobs, "workshop", lambda design, **options: written.append(design))
    assert CliRunner().invoke(main, ["workshop", str(starter), "--out", str(tmp_path / "class.doc")]).exit_code == 2
    assert written == []


@pytest.mark.parametrize(
    "make",
    [
        lambda **dyes: batiksim.pot("primrose=1", **dyes),
        lambda **dyes: batiksim.match("#4d7358", **dyes),
        lambda **dyes: batiksim.overdye(**dyes),
        lambda *, dyes, folder: batiksim.chart("ladders", dyes, folder=folder),
        lambda *, dyes, folder: batiksim.check(dyes, folder=folder),
    ],
)
def test_a_design_in_memory_keeps_the_files_it_is_made_of(make, starter, tmp_path):
    """Masks that batiksim drew itself as well, which any other picture may take the place of."""
    folder = Path(shutil.copytree(starter, tmp_path / "cloth"))
    made = make(dyes=batiksim.read_design(folder), folder=folder)
    made.save(folder / "lines.png")
    (folder / "outlines.png").write_bytes((folder / "lines.png").read_bytes())
    with pytest.raises(BatikError, match="out: "):
        made.save(folder / "outlines.png")


def test_a_design_is_made_of_itself_and_all_it_names(starter):
    names = {path.name for path in starter.iterdir()} - {"design.schema.json"}
    assert {path.name for path in source_of(starter).own} == names
    assert source_of(starter).own == source_of(starter / "design.toml").own
