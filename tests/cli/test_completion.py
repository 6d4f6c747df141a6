"""Completion in the shell, and how a command ends."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

import batiksim
from batiksim.checks.table import CODES
from batiksim.cli import exit_codes, main
from batiksim.cli.exit_codes import ExitCode
from batiksim.texts.catalogue import languages, texts

ROOT = Path(batiksim.__file__).resolve().parents[1]
START = """
import sys
from batiksim.__main__ import main
try:
    main()
finally:
    print('LOADED', *{name.partition('.')[0] for name in sys.modules}, file=sys.stderr)
"""


def asked(instruction, words="", **variables):
    """What a shell gets for its question, and the libraries that were loaded for it."""
    at = {"COMP_WORDS": words, "COMP_CWORD": str(len(re.split(" +", words)) - 1)}
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "_BATIKSIM_COMPLETE": instruction, **at, **variables}
    done = subprocess.run([sys.executable, "-c", START], env=environment, capture_output=True, text=True, timeout=60)
    assert done.returncode == 0, done.stderr
    said, _, loaded = done.stderr.partition("LOADED")
    assert said == ""
    return done.stdout, set(loaded.split())


def completed(words, **variables):
    """What bash offers for the last of some words."""
    return [line.partition(",")[2] for line in completing(words, **variables)]


def completing(words, **variables):
    """The same, each with its kind: "plain", or "file", which the shell completes by itself."""
    shown = CliRunner(catch_exceptions=False).invoke(
        main,
        prog_name="batiksim",
        env={
            "_BATIKSIM_COMPLETE": "bash_complete",
            "COMP_WORDS": words,
            "COMP_CWORD": str(len(re.split(" +", words)) - 1),
            **variables,
        },
    )
    assert (shown.exit_code, shown.stderr) == (0, "")
    return shown.stdout.splitlines()


@pytest.mark.parametrize(
    ("shell", "begins"), [("bash", "complete -o nosort"), ("zsh", "#compdef batiksim"), ("fish", "complete ")]
)
def test_the_source_for_each_shell(shell, begins):
    source, loaded = asked(f"{shell}_source")
    assert begins in source
    assert f"_BATIKSIM_COMPLETE={shell}_complete" in source
    assert not loaded & {"numpy", "rich", "numba", "scipy", "babel"}


def test_completing_loads_nothing_heavy():
    for instruction in ("bash_complete", "zsh_complete"):
        offered, loaded = asked(instruction, "batiksim preview --l")
        assert "--light" in offered
        assert "--language" in offered
        assert not loaded & {"numpy", "rich", "numba", "scipy", "babel"}


@pytest.mark.parametrize(
    ("words", "offered"),
    [
        ("batiksim pre", ["preview"]),
        ("batiksim from", ["from-picture"]),
        ("batiksim ", list(main.commands)),
        ("batiksim --q", ["--quiet"]),
        ("batiksim preview --li", ["--light"]),
        ("batiksim preview --light ", ["D65", "D50", "A", "LED"]),
        ("batiksim preview cloth --light L", ["LED"]),
        ("batiksim orders cloth --masks ", ["keep", "derive"]),
        ("batiksim chart ", ["ladders", "spectra", "colours"]),
        ("batiksim check a b --only le", ["leak"]),
        ("batiksim check --skip ", sorted(CODES)),
        ("batiksim check --only leak,m", ["leak,mud"]),
        ("batiksim check --only mud,", [f"mud,{code}" for code in sorted(CODES) if code != "mud"]),
        ("batiksim pot --language ", list(languages())),
        ("batiksim match moss --pots 99 --gr", ["--ground"]),
        ("batiksim compare cloth photo.jpg --corners 1,2 --o", ["--out"]),
    ],
)
def test_what_is_offered(words, offered):
    assert completed(words) == offered


def test_files_are_left_to_the_shell():
    assert completing("batiksim preview clo") == ["file,clo"]
    assert completing("batiksim check a clo") == ["file,clo"]
    assert completing("batiksim overdye de") == ["plain,demo", "file,de"]
    assert completing("batiksim pot moss --book ") == ["plain,demo", "file,"]


def test_options_explain_themselves_where_the_shell_shows_it():
    shown = (
        CliRunner()
        .invoke(
            main,
            prog_name="batiksim",
            env={"_BATIKSIM_COMPLETE": "zsh_complete", "COMP_WORDS": "batiksim check --", "COMP_CWORD": "2"},
        )
        .stdout.splitlines()
    )
    explained = dict(zip(shown[1::3], shown[2::3], strict=True))
    assert explained["--strict"] == texts()("cli.check.option.strict")
    assert explained["--help"] == texts()("cli.option.help")
    assert "_" not in explained.values()


def test_a_language_that_is_not_there_is_no_matter_while_completing():
    assert completed("batiksim pre", BATIKSIM_LANGUAGE="xx") == ["preview"]
    assert completed("batiksim pre", BATIKSIM_LANGUAGE="id") == ["preview"]


@pytest.mark.skipif(shutil.which("bash") is None, reason="needs bash")
def test_bash_itself_completes(tmp_path):
    command = tmp_path / "batiksim"
    command.write_text(f'#!/bin/sh\nexec {sys.executable} -m batiksim "$@"\n', encoding="utf-8")
    command.chmod(0o755)
    script = (
        'eval "$(_BATIKSIM_COMPLETE=bash_source batiksim)"; '
        'COMP_WORDS=(batiksim check --only le); COMP_CWORD=3; _batiksim_completion batiksim; echo "${COMPREPLY[@]}"; '
        "complete -p batiksim"
    )
    path = f"{tmp_path}{os.pathsep}{os.environ['PATH']}"
    environment = {**os.environ, "PATH": path, "PYTHONPATH": str(ROOT)}
    done = subprocess.run(["bash", "-c", script], env=environment, capture_output=True, text=True, timeout=60)
    offered, registered = done.stdout.splitlines()
    assert offered == "leak"
    assert "_batiksim_completion" in registered


# How a command ends


def test_exit_codes_are_one_table():
    assert {code.name: int(code) for code in ExitCode} == {"DONE": 0, "SERIOUS": 1, "BAD_INPUT": 2, "STOPPED": 130}
    told = CliRunner().invoke(main, ["--help"]).stdout
    section = told[told.index(texts()("cli.help.exit_codes")) :]
    for code in ExitCode:
        assert re.search(rf"^ +{int(code)} +{re.escape(str(code.meaning)[:30])}", section, re.M)


def test_no_exit_code_stands_elsewhere():
    for path in {*(ROOT / "batiksim" / "cli").rglob("*.py")} - {Path(exit_codes.__file__)}:
        assert not re.search(r"exit\(\d|= (1|2|130)$", path.read_text(encoding="utf-8"), re.M), path


def test_check_explains_every_check():
    told = " ".join(CliRunner().invoke(main, ["check", "--help"]).stdout.split())
    assert all(re.search(rf"\b{code}\b", told) for code in CODES)
