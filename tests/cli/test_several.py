"""check, preview and workshop for several designs at once: each is named, one that fails holds up none."""

from __future__ import annotations

import json
import os
import shutil
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

import batiksim
from batiksim import jobs
from batiksim.cli import main
from batiksim.cli.several import names_of
from batiksim.values import FORMAT, Finding


@pytest.fixture
def desk(build, on_disk, tmp_path, monkeypatch):
    """Three designs: two in folders, a third beside one of them; and one that names no such picture."""
    for name, pots in (("dunes", ("sun", "pink")), ("tide", ("sea", "sun"))):
        planned = build.design(build.dye(pots[0]), build.wax("keep"), build.dye(pots[1]), title=f"The {name}", pots=())
        on_disk(planned, build.soft(1), name=name)
    text = Path(tmp_path, "dunes", "design.toml").read_text(encoding="utf-8")
    Path(tmp_path, "dunes", "remedy.toml").write_text(text.replace("The dunes", "Dunes mended"), encoding="utf-8")
    shutil.copytree(tmp_path / "tide", tmp_path / "broken")
    (tmp_path / "broken" / "keep.png").unlink()
    monkeypatch.chdir(tmp_path)
    return tmp_path


def run(*words):
    return CliRunner(catch_exceptions=False).invoke(main, [str(word) for word in words], prog_name="batiksim")


def blocks(text):
    """What is said under each heading, by the title in it."""
    parts = [part.splitlines() for part in text.split("\n\n") if part.strip()]
    return {lines[0]: lines[1:] for lines in parts}


HEADS = {name: f"The {name} ({Path(name, 'design.toml')})" for name in ("dunes", "tide", "broken")}


# Names


def test_outputs_are_named_as_the_designs():
    paths = [
        Path("a/dunes"),
        Path("b/dunes/design.toml"),
        Path("a/dunes/remedy.toml"),
        Path("a/DUNES"),
        Path("a/dunes"),
    ]
    assert list(names_of(paths).items()) == [
        (Path("a/dunes"), "dunes"),
        (Path("b/dunes/design.toml"), "dunes-2"),
        (Path("a/dunes/remedy.toml"), "remedy"),
        (Path("a/DUNES"), "DUNES-3"),
    ]
    assert list(names_of([Path("x-2"), Path("x"), Path("y/x")]).values()) == ["x-2", "x", "x-3"]


def test_a_design_here_is_named_as_its_folder(desk, monkeypatch):
    monkeypatch.chdir(desk / "dunes")
    assert names_of([Path(), Path("design.toml"), Path("../tide")]) == {
        Path(): "dunes",
        Path("design.toml"): "dunes-2",
        Path("../tide"): "tide",
    }


# preview


def test_preview_draws_each_into_its_own_folder(desk):
    done = run("preview", "dunes", "dunes/remedy.toml", "tide", "--out", "out", "--width", 40)
    assert (done.exit_code, done.stderr) == (0, "")
    assert sorted(os.listdir("out")) == ["dunes", "remedy", "tide"]
    told = blocks(done.stdout)
    assert list(told) == [HEADS["dunes"], f"Dunes mended ({Path('dunes/remedy.toml')})", HEADS["tide"]]
    for name, lines in zip(("dunes", "remedy", "tide"), told.values(), strict=True):
        assert lines[-1] == f"7 files in {Path('out', name)}"
        alone = {"dunes": "dunes", "remedy": "dunes/remedy.toml", "tide": "tide"}[name]
        report = json.loads(Path("out", name, "report.json").read_text(encoding="utf-8"))
        assert report == json.loads(run("preview", alone, "--out", "alone", "--width", 40, "--json").stdout)
    assert "report.json" in os.listdir("alone")


def test_one_that_fails_holds_up_none(desk):
    done = run("preview", "broken", "tide", "nowhere", "--out", "out", "--width", 40)
    assert done.exit_code == 2
    assert list(blocks(done.stdout)) == [HEADS["tide"]]
    first, second = done.stderr.splitlines()
    assert first.startswith(f"batiksim: {Path('broken', 'design.toml')}: step 2: ")
    assert second.startswith("batiksim: nowhere: there is no such design")
    assert os.listdir("out") == ["tide"]


def test_what_is_wrong_with_an_option_is_told_of_its_design(desk):
    done = run("preview", "dunes", "tide", "--step", 9, "--out", "out")
    assert done.exit_code == 2
    assert [line.partition("there")[0] for line in done.stderr.splitlines()] == [
        "batiksim: dunes: --step: ",
        "batiksim: tide: --step: ",
    ]


# check


def test_check_names_each(desk):
    done = run("check", "dunes", "tide", "--only", "wasted,depth")
    assert (done.exit_code, done.stderr) == (0, "")
    told = blocks(done.stdout)
    assert list(told) == [HEADS["dunes"], HEADS["tide"]]
    alone = [run("check", name, "--only", "wasted,depth").stdout.splitlines() for name in ("dunes", "tide")]
    assert list(told.values()) == alone


def test_marked_pictures_and_corrected_masks_have_names_of_their_own(desk, monkeypatch):
    corrected = []
    monkeypatch.setattr(jobs.Checked, "save_corrected", lambda self, folder: corrected.append(folder))
    done = run("check", "dunes", "tide", "--only", "wasted", "--out", "marked.png", "--corrected", "moved")
    assert done.exit_code == 0
    assert sorted(path.name for path in desk.glob("*.png")) == ["marked-dunes.png", "marked-tide.png"]
    assert corrected == [Path("moved/dunes"), Path("moved/tide")]
    run("check", "dunes", "--only", "wasted", "--out", "marked.png", "--corrected", "moved")
    assert Path("marked.png").exists()
    assert corrected[-1] == Path("moved")


@pytest.mark.parametrize(
    ("designs", "severity", "code"),
    [
        (("dunes", "tide"), "serious", 1),
        (("dunes", "tide"), "warn", 0),
        (("dunes", "nowhere"), "serious", 2),
        (("nowhere", "dunes"), "serious", 2),
    ],
)
@pytest.mark.parametrize("words", [(), ("--json",), ("--quiet",)])
def test_strict_with_several(desk, monkeypatch, designs, severity, code, words):
    """Something serious in any ends with 1; a design that can't be read ends with 2, whatever was found in others."""
    usual = jobs.check
    spoilt = Finding(code="mud", severity=severity, message=jobs.NOTHING, remedy=jobs.NOTHING)

    def check(design, **options):
        checked = usual(design, only="wasted")
        found = (spoilt,) if str(design) == "dunes" else ()
        return type(checked)(project=checked.project, scene=checked.scene, findings=found)

    monkeypatch.setattr(jobs, "check", check)
    assert run("check", *designs, "--strict", *words).exit_code == code


# workshop


def test_workshop_plans_each(desk):
    done = run("workshop", "dunes", "tide", "--makers", 6)
    assert (done.exit_code, done.stderr) == (0, "")
    assert done.stdout.startswith(f"{HEADS['dunes']}\n")
    alone = [run("workshop", name, "--makers", 6).stdout for name in ("dunes", "tide")]
    assert done.stdout == "".join(f"{HEADS[n]}\n{text}\n" for n, text in zip(("dunes", "tide"), alone, strict=True))


def test_sheets_have_names_of_their_own(desk):
    done = run("workshop", "dunes", "tide", "--out", "plans/day.md")
    assert done.exit_code == 2
    Path("plans").mkdir()
    done = run("workshop", "dunes", "tide", "--out", "plans/day.md")
    assert (done.exit_code, done.stderr) == (0, "")
    assert sorted(os.listdir("plans")) == ["day-dunes.md", "day-tide.md"]
    assert "The tide" in Path("plans/day-tide.md").read_text(encoding="utf-8")
    assert str(Path("plans/day-tide.md")) in done.stdout


# As data


@pytest.mark.parametrize("words", [("check", "--only", "wasted"), ("preview", "--width", "40"), ("workshop",)])
def test_data_of_several_is_a_list(desk, words):
    command, *options = words
    done = run(command, "dunes", "tide", *options, "--json")
    assert (done.exit_code, done.stderr) == (0, "")
    data = json.loads(done.stdout)
    assert list(data) == ["format", "version", "designs"]
    assert (data["format"], data["version"]) == (FORMAT, batiksim.__version__)
    alone = [json.loads(run(command, name, *options, "--json").stdout) for name in ("dunes", "tide")]
    assert data["designs"] == alone


def test_data_of_one_that_fails_is_its_error(desk):
    done = run("check", "broken", "tide", "--only", "wasted", "--json")
    assert done.exit_code == 2
    failed, good = json.loads(done.stdout)["designs"]
    assert failed["design"] == {"title": None, "file": "broken"}
    assert failed["error"] == done.stderr.removeprefix("batiksim: ").rstrip("\n")
    assert good["design"]["title"] == "The tide"


def test_data_of_several_previews_only_reads(desk):
    before = sorted(desk.rglob("*"))
    assert run("preview", "dunes", "tide", "--width", 40, "--json").exit_code == 0
    assert sorted(desk.rglob("*")) == before


def test_a_design_named_twice_is_done_twice_into_one_place(desk):
    done = run("check", "dunes", "dunes", "--only", "wasted", "--json")
    assert len(json.loads(done.stdout)["designs"]) == 2


def test_several_may_be_quiet(desk):
    done = run("preview", "dunes", "tide", "--out", "out", "--width", 40, "--quiet")
    assert (done.exit_code, done.output) == (0, "")
    assert sorted(os.listdir("out")) == ["dunes", "tide"]
    done = run("check", "nowhere", "tide", "--quiet")
    assert (done.exit_code, done.stdout) == (2, "")
    assert done.stderr.startswith("batiksim: nowhere: ")


def test_a_single_design_is_as_ever(desk):
    done = run("preview", "dunes", "--out", "out", "--width", 40)
    assert "The dunes" not in done.stdout
    assert "plate-00.png" in os.listdir("out")
    with Image.open("out/cloth.png") as picture:
        assert np.asarray(picture).shape[1] == 40
