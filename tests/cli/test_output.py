"""Where words go: all of them to a terminal, whole lines through a pipe, none but errors with --quiet."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from contextvars import copy_context
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from batiksim import jobs
from batiksim.cli import main
from batiksim.cloth.compile_notice import compiling_begins
from batiksim.files.starter import new_design
from batiksim.texts.letters import left_out
from batiksim.values import Finding
from tests.sources import uses

ROOT = Path(jobs.__file__).resolve().parents[2]
LONG = "Indigo from the garden behind the house, second dip of a long and very hot afternoon"  # a name of 83 letters
COMMANDS = {
    "new": "new another",
    "preview": "preview cloth --width 60 --out out",
    "stages": "stages cloth",
    "check": "check cloth --only wasted",
    "overdye": "overdye cloth --out chart.csv",
    "pot": "pot moss",
    "match": "match #4d7358 --dyes 2",
    "chart": "chart ladders cloth --out chart.json",
    "strip": "strip cloth",
    "calibrate": "calibrate --table swatches.csv --book mine.toml",
    "compare": "compare cloth photo.png --out out",
    "orders": "orders cloth",
    "from-picture": "from-picture sketch.png --out out --steps 1 --pots 1",
    "workshop": "workshop cloth",
    "handout": "handout cloth",
    "trace": "trace cloth",
    "risk": "risk cloth",
    "worktable": "worktable --desktop",
}
LENGTHY = {"stages", "compare", "handout", "trace", "risk", "from-picture", "strip"}
QUICK = [pytest.param(name, marks=[pytest.mark.full] * (name in LENGTHY)) for name in COMMANDS]
SWATCHES = "dyes,hex\nundyed,#f4efe2\nsea 1,#3d9fb4\nsea 0.5,#7cbcc9\nsea 0.25,#abd2d8\n"


@pytest.fixture(scope="module")
def starter(tmp_path_factory):
    """A desk with a cloth, a picture of it, a sketch, and measured swatches."""
    desk = tmp_path_factory.mktemp("desk")
    new_design(desk / "cloth")
    jobs.save_preview(desk / "cloth", desk / "seen", width_px=300)
    shutil.move(desk / "seen" / "cloth.png", desk / "photo.png")
    shutil.rmtree(desk / "seen")
    sketch = np.zeros((60, 80, 3), np.uint8) + 240
    sketch[20:40, 20:60] = (30, 60, 120)
    Image.fromarray(sketch).save(desk / "sketch.png")
    (desk / "swatches.csv").write_text(SWATCHES, encoding="utf-8")
    return desk


@pytest.fixture
def desk(starter, tmp_path, monkeypatch):
    shutil.copytree(starter, tmp_path / "desk")
    monkeypatch.chdir(tmp_path / "desk")
    monkeypatch.setenv("HOME", str(tmp_path / "desk"))
    return tmp_path / "desk"


@pytest.fixture
def long_names(build, on_disk, tmp_path):
    """A cloth all of whose names are longer than a line, and a mask with nothing in it."""
    sun, pink = (one.__class__(name=f"{LONG}, {one.name}", colour=one.colour) for one in build.dyes[:2])
    steps = (build.dye(sun.name), build.wax("keep"), build.dye(pink.name), build.wax(f"{LONG}, 藍"))
    masks = build.soft(2)
    masks[1] = 0
    return on_disk(build.design(*steps, title=f"{LONG}: 藍", dyes=(sun, pink), pots=()), masks)


def run(*words):
    return CliRunner(catch_exceptions=False).invoke(main, [str(word) for word in words], prog_name="batiksim")


def piped(*words, **variables):
    """A command in a process of its own, its output caught by a pipe."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT), **variables}
    done = subprocess.run(
        [sys.executable, "-m", "batiksim", *map(str, words)], env=environment, capture_output=True, timeout=120
    )
    assert done.stderr == b""
    return done.stdout.decode("utf-8")


# --quiet


def test_every_command_can_be_quiet():
    assert set(COMMANDS) == set(main.commands)


@pytest.mark.parametrize("name", QUICK)
def test_a_quiet_command_says_nothing_and_does_its_work(name, desk):
    before = set(desk.rglob("*"))
    done = run(*COMMANDS[name].split(), "--quiet")
    assert (done.exit_code, done.stdout, done.stderr) == (0, "", "")
    written = set(desk.rglob("*")) - before
    assert bool(written) == (name not in ("check", "pot", "match", "orders", "workshop"))


def test_quiet_may_stand_before_the_command(desk):
    assert run("--quiet", "pot", "moss").output == ""
    assert run("pot", "moss").output != ""


def test_a_quiet_command_still_tells_errors_data_and_trouble(desk, monkeypatch):
    wrong = run("check", "nowhere", "--quiet")
    assert (wrong.exit_code, wrong.stdout) == (2, "")
    assert wrong.stderr.startswith("batiksim: nowhere: there is no such design")
    assert run("pot", "moss", "--quiet", "--json").stdout == run("pot", "moss", "--json").stdout != ""
    spoilt = Finding(code="mud", severity="serious", message=jobs.NOTHING, remedy=jobs.NOTHING)
    monkeypatch.setattr(jobs, "check", lambda design, **options: (spoilt,))
    trouble = run("check", "cloth", "--strict", "--quiet")
    assert (trouble.exit_code, trouble.output) == (1, "")


@pytest.mark.parametrize("words", [(), ("--quiet",)])
def test_a_quiet_command_shows_no_progress_nor_notes(desk, monkeypatch, words):
    """Neither that the engine is compiled, by whatever thread, nor which letters no typeface has."""

    def check(design, *, progress, **options):
        progress(1, 2, "reading")
        with ThreadPoolExecutor(1) as pool:
            pool.submit(copy_context().run, compiling_begins).result()
        left_out("ꦧ", "Java", "ꦧ")
        return ()

    monkeypatch.setattr(jobs, "check", check)
    told = run("check", "cloth", *words).stderr
    assert bool(told) == (not words)
    assert words or "preparing the engine" in told


def test_commands_speak_by_one_voice():
    """What --quiet silences is said in one place: no command prints by itself."""
    places = sorted((ROOT / "batiksim" / "cli").rglob("*.py"))
    printing = {path.name for path in places for use in uses(path) if use.call and use.name in ("click.echo", "print")}
    assert printing == {"report.py"}


# Through a pipe


def test_a_pipe_gets_whole_lines_without_colours_in_utf_8(long_names):
    """Whatever the environment says of columns, colours and encodings."""
    variables = {"COLUMNS": "60", "FORCE_COLOR": "1", "TERM": "xterm-256color", "PYTHONIOENCODING": "latin-1"}
    told = piped("check", long_names, **variables)
    assert "\x1b" not in told
    findings = jobs.check(long_names)
    assert LONG in str(findings[0].message)
    lines = told.splitlines()
    assert len(lines) == len(findings)
    for line, finding in zip(lines, findings, strict=True):
        assert line.endswith(f"): {finding.message} {finding.remedy}")


def test_rows_of_a_table_are_whole_through_a_pipe(long_names, tmp_path):
    told = run("preview", long_names, "--width", 40, "--out", tmp_path / "out").stdout.splitlines()
    regions = json.loads((tmp_path / "out" / "report.json").read_text(encoding="utf-8"))["regions"]
    assert len(regions) > 1
    for region in regions:
        shown = [line for line in told if region["hex"] in line]
        assert [line for line in shown if all(name in line for name in region["history"])], region


def test_reasons_of_an_order_are_one_line_through_a_pipe(long_names):
    reasons = json.loads(run("orders", long_names, "--json").stdout)["planned"]["reasons"]
    assert f"   {' '.join(reasons)}" in run("orders", long_names).stdout.splitlines()


def test_on_a_terminal_lines_keep_to_its_width_and_have_colours(long_names, on_terminal, terminal_lines):
    assert "\x1b[" in on_terminal("check", long_names)
    lines = terminal_lines("check", long_names)
    assert "second dip" in " ".join(lines)
    assert max(map(len, lines)) <= 80
