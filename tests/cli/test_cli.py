"""Words in, words out: what each command prints, its exit code, and one message for each mistake."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from batiksim import jobs
from batiksim.cli import main
from batiksim.texts.catalogue import say
from batiksim.texts.phrases import percent
from batiksim.values import Finding
from batiksim.values.plain_data import plain

SAMPLES = Path(__file__).resolve().parents[2] / "sample_designs"

ROOT = Path(jobs.__file__).resolve().parent.parent.parent
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(ROOT)}
COMMAND = [sys.executable, "-c", "from batiksim.cli import main; main()"]


@pytest.fixture
def run():
    """Run a command as the shell would; gives exit code, stdout and stderr."""

    def go(*words):
        result = CliRunner().invoke(main, [str(word) for word in words])
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        return result.exit_code, result.stdout, result.stderr

    return go


def files(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir()}


# Done: 0


def test_new_then_preview(run, tmp_path):
    code, said, _ = run("new", tmp_path / "my cloth")
    assert code == 0
    assert "design.toml" in said
    assert "batiksim preview" in said
    code, said, errors = run("preview", tmp_path / "my cloth", "--out", tmp_path / "my cloth" / "preview")
    assert (code, errors) == (0, "")
    assert "10 files" in said
    assert {"cloth.png", "stages.png", "report.json", "plate-00.png", "plate-06.png"} <= set(
        os.listdir(tmp_path / "my cloth" / "preview")
    )


def test_preview_prints_the_regions(run, folder, tmp_path):
    _, said, _ = run("preview", folder, "--out", tmp_path / "out")
    report = json.loads((tmp_path / "out" / "report.json").read_text(encoding="utf-8"))
    lines = said.splitlines()
    for region in report["regions"]:
        (line,) = [one for one in lines if region["hex"] in one and f" {percent(region['share'])} " in one]
        assert region["name"] in line
        assert all(name in line for name in region["history"]) or "bare cloth" in line
    assumed = " ".join(line for line in lines if line.startswith("Assumed"))
    assert len(report["assumed"]) == 3
    for note in report["assumed"]:
        picture, _, what = note.partition(": ")
        assert picture in assumed
        assert assumed.count(what) == 1  # what several masks share is said once


def test_preview_json_is_the_report(run, folder, tmp_path):
    code, said, errors = run("preview", folder, "--out", tmp_path / "out", "--json")
    assert (code, errors) == (0, "")
    assert json.loads(said) == json.loads((tmp_path / "out" / "report.json").read_text(encoding="utf-8"))


def test_names_of_any_alphabet_come_through(run, build, on_disk, tmp_path):
    dyes = [one.__class__(name=f"{one.name} – тёмный 藍 é [/i] :tea:", colour=one.colour) for one in build.dyes[:2]]
    planned = build.design(build.dye(dyes[0].name), title="Größe [bold] 布", dyes=tuple(dyes), pots=())
    code, said, _ = run("preview", on_disk(planned), "--out", tmp_path / "out", "--width", 64, "--json")
    assert code == 0
    assert json.loads(said)["design"]["title"] == "Größe [bold] 布"
    assert json.loads(said)["regions"][0]["history"] == [dyes[0].name]
    code, said, _ = run("preview", on_disk(planned), "--out", tmp_path / "out", "--width", 64)
    assert code == 0
    assert dyes[0].name in " ".join(said.split())


def test_one_step_and_width_and_wax_off(run, folder, tmp_path):
    code, said, _ = run("preview", folder, "--out", tmp_path / "out", "--step", 1, "--width", 20, "--wax-off", "--json")
    assert code == 0
    assert [plate["file"] for plate in json.loads(said)["plates"]] == ["plate-01.png"]
    assert os.listdir(tmp_path / "out") == ["plate-01.png"]
    with Image.open(tmp_path / "out" / "plate-01.png") as image:
        assert image.size == (20, 15)
        assert len(np.unique(np.asarray(image).reshape(-1, 3), axis=0)) == 1  # no wax to be seen on bare cloth


def test_check(run, folder, build, on_disk):
    code, said, _ = run("check", folder, "--json")
    assert code == 0
    assert list(json.loads(said)) == ["format", "version", "design", "findings"]
    blank = on_disk(build.design(build.wax("nothing")), np.zeros((1, 30, 40), np.uint8), name="blank")
    code, said, _ = run("check", blank)
    assert code == 0
    assert "Nothing is marked in the mask “nothing”" in said
    code, said, _ = run("check", blank, "--json")
    assert ("wasted", "warn", 1) in [
        (one["code"], one["severity"], one["step"]) for one in json.loads(said)["findings"]
    ]


# Strict findings: 1


class Noticed(list):
    """Findings as `jobs.check` gives them."""

    def data(self):
        return {"findings": plain(self)}


@pytest.mark.parametrize(("severity", "code"), [("serious", 1), ("warn", 0), ("note", 0)])
@pytest.mark.parametrize("json_too", [[], ["--json"]])
def test_strict(run, folder, monkeypatch, severity, code, json_too):
    message, remedy = say("checks.remedy.of", ways="it goes [brown]"), say("checks.wasted.leave_out")
    finding = Finding(code="mud", severity=severity, message=message, remedy=remedy, step=3)
    monkeypatch.setattr(jobs, "check", lambda design, **keys: Noticed([finding]))
    assert run("check", folder, "--strict", *json_too)[0] == code
    assert run("check", folder, *json_too)[0] == 0
    said = run("check", folder, *json_too)[1]
    assert "It goes [brown]." in " ".join(said.split())


# The maker's input: 2, one message on stderr, nothing written


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["preview", "nowhere", "--out", "out"], "nowhere: there is no such design"),
        (["preview", "cloth/lines.png", "--out", "out"], "is not a design"),
        (["preview", "cloth", "--out", "out", "--step", "7"], "--step: there is no step 7; use 0 (bare cloth) to 4"),
        (["preview", "cloth", "--out", "cloth/lines.png"], "is a file, not a folder"),
        (["preview", "cloth", "--out", "/dev/null/out"], "can't be written to"),
        (["check", "nowhere"], "there is no such design"),
        (["new", "cloth"], "already exists"),
    ],
)
def test_a_mistake_is_one_message(run, folder, monkeypatch, words, message):
    monkeypatch.chdir(folder.parent)
    before = files(folder)
    code, said, errors = run(*words)
    assert code == 2
    assert said == ""
    assert errors.startswith("batiksim: ")
    assert message in errors
    assert errors.count("\n") == 1
    assert "Traceback" not in errors
    assert files(folder) == before
    assert os.listdir() == ["cloth"]


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("width_mm = 100", "width_mm = 1e9", "design.toml: cloth: width_mm: out of range"),
        ('"lines.png"', '"line.png"', "did you mean 'lines.png'?"),
        ('"night"\ncolour', '"nite"\ncolour', "did you mean 'nite'?"),
        ("format = 1", "format = 2", "design.toml: format"),
        ("title =", "titel =", "titel"),
        ("[cloth]", "[cloth", "design.toml"),
    ],
)
def test_a_mistake_in_the_design_names_its_place(run, folder, tmp_path, old, new, message):
    text = (folder / "design.toml").read_text(encoding="utf-8")
    assert old in text
    (folder / "design.toml").write_text(text.replace(old, new, 1), encoding="utf-8")
    code, said, errors = run("preview", folder, "--out", tmp_path / "out")
    assert (code, said) == (2, "")
    assert message in errors
    assert errors.count("\n") == 1
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    "words", [["preview", "cloth"], ["preview", "cloth", "--out", "o", "--width", "3"], ["nonsense"], ["check"]]
)
def test_wrong_words_are_two_as_well(run, words):
    code, _, errors = run(*words)
    assert code == 2
    assert errors


def test_help(run):
    for words in (["--help"], ["-h"]):
        code, said, _ = run(*words)
        assert code == 0
        assert all(name in said for name in main.commands)


# As a process


def test_a_mistake_has_no_traceback_in_a_real_process(folder, tmp_path):
    (folder / "petals.png").write_bytes(b"")
    done = subprocess.run(
        [*COMMAND, "preview", folder, "--out", tmp_path / "out"],
        env=ENVIRONMENT,
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("batiksim: ")
    assert "petals.png: step 2: is empty" in done.stderr
    assert done.stderr.count("\n") == 1


HALTING = """
import signal, sys
signal.signal(signal.SIGINT, signal.default_int_handler)  # also where whoever runs the tests ignores it
from batiksim.cli import main
from batiksim.jobs import previews
usual = previews.PngWriter.write
def write_and_halt(*args):
    usual(*args)
    print("a plate is written", flush=True)
    sys.stdin.read()
previews.PngWriter.write = write_and_halt
main(prog_name="batiksim")
"""


@pytest.mark.full
@pytest.mark.skipif(os.name != "posix", reason="signals differ")
def test_ctrl_c_leaves_the_earlier_files_whole(build, folder, on_disk, tmp_path):
    out = tmp_path / "out"
    jobs.save_preview(folder, out)
    before = files(out)
    other = on_disk(build.design(build.dye("sea"), build.dye(("pink", "m"))), name="other")
    process = subprocess.Popen(
        [sys.executable, "-c", HALTING, "preview", other, "--out", out],
        env=ENVIRONMENT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert process.stdout.readline() == "a plate is written\n"
    assert list(out.glob(".batiksim-new-*/plate-*.png"))
    process.send_signal(signal.SIGINT)
    _, errors = process.communicate(timeout=60)
    assert process.returncode == 130
    assert errors.endswith("batiksim: stopped; earlier files are unchanged.\n")
    assert "Traceback" not in errors
    assert files(out) == before


def _poppies(folder, *steps):
    """A cloth of two sample masks, the second turned by two degrees; more steps as TOML."""
    poppies = SAMPLES / "garden_poppies"
    Image.open(poppies / "paint-leaves.png").save(folder / "leaves.png")
    Image.open(poppies / "keep-leaves.png").rotate(2, fillcolor=255).save(folder / "keep.png")
    Image.open(poppies / "outlines.png").save(folder / "lines.png")
    waxes = "".join(f'[[step]]\nwax = "{name}.png"\n' for name in ("leaves", "keep", *steps))
    design = folder / "design.toml"
    design.write_text(f'format = 1\ntitle = "Leaves"\n[cloth]\nwidth_mm = 400\n{waxes}', encoding="utf-8")
    return design


@pytest.mark.full
def test_check_tells_how_to_have_the_mask_moved(run, tmp_path):
    design, out = _poppies(tmp_path, "lines"), tmp_path / "moved"
    told = run("check", design, "--only", "fit")[1]
    said = "The mask “keep” (step 2) doesn't line up with the others: it is turned 2.0° anticlockwise"
    assert said in " ".join(told.split())
    assert "--corrected FOLDER" in told
    told = run("check", design, "--only", "fit", "--corrected", out)[1]
    assert str(out) in told.replace("\n", "")
    assert [path.name for path in out.iterdir()] == ["keep.png"]
    Image.open(out / "keep.png").save(tmp_path / "keep.png")
    assert "No problems found" in run("check", design, "--only", "fit")[1]


@pytest.mark.full
def test_of_two_masks_check_writes_each_apart(run, tmp_path):
    design, out = _poppies(tmp_path), tmp_path / "moved"
    assert "Use only one of the folders" in run("check", design, "--only", "fit", "--corrected", out)[1]
    assert sorted(str(path.relative_to(out)) for path in out.rglob("*.png")) == [
        "either keep/keep.png",
        "either leaves/leaves.png",
    ]
    Image.open(out / "either leaves" / "leaves.png").save(tmp_path / "leaves.png")
    assert "No problems found" in run("check", design, "--only", "fit")[1]


@pytest.mark.full
def test_what_is_found_keeps_to_the_terminal_s_width(terminal_lines, monkeypatch, tmp_path):
    quick = ("preview", SAMPLES / "hedge_parsley", "--width", 200, "--out", "out")
    monkeypatch.chdir(tmp_path)
    for words in (("check", SAMPLES / "garden_poppies"), quick):
        lines = terminal_lines(*words)
        assert len(lines) > 1
        assert max(map(len, lines)) <= 80
