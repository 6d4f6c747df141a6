"""Whoever imports the package has types: an outside script passes the strictest of two checkers, and runs."""

from __future__ import annotations

import runpy
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parent
SCRIPTS = ("outside_script.py", "outside_values.py")
CHECKERS = {"mypy": ["mypy", "--strict", "--no-incremental"], "pyright": ["pyright", "--pythonpath", sys.executable]}
SLIPS = (
    "Wax(mask=7)",
    'Design(title="t", cloth=Cloth(width_mm=1), dyes=["sun"])',
    'Design(title="t", cloth=sun)',
    "DyeBath(paints=[sun])",
    'Pot(name="mix", parts=["sun"])',
)


@pytest.fixture
def outside(tmp_path):
    """A folder with no settings of this project."""
    (tmp_path / "pyrightconfig.json").write_text('{"typeCheckingMode": "strict"}')
    return tmp_path


def said_of(script: Path, checker: str) -> tuple[int, str]:
    words = [sys.executable, "-m", *CHECKERS[checker], script.name]
    done = subprocess.run(words, cwd=script.parent, capture_output=True, text=True, timeout=600)
    return done.returncode, done.stdout + done.stderr


def test_the_script_runs(tmp_path):
    from tests.docs.outside_script import main

    assert len(main(tmp_path)) == 8
    assert (tmp_path / "pond" / "cloth.png").is_file()


def test_the_script_of_values_runs():
    assert runpy.run_path(str(HERE / "outside_values.py"))["TOLD"] == (2, "mix", ["sun", "sun", "sun"])


@pytest.mark.full
@pytest.mark.parametrize("name", SCRIPTS)
@pytest.mark.parametrize("checker", CHECKERS)
def test_a_checker_finds_nothing(outside, checker, name):
    shutil.copy(HERE / name, outside / "script.py")
    code, said = said_of(outside / "script.py", checker)
    assert code == 0, said


@pytest.mark.full
@pytest.mark.parametrize("checker", CHECKERS)
def test_slips_in_a_script_are_found(outside, checker):
    """The checkers do look: each line that makes a value of what it can't hold is told."""
    text = (HERE / "outside_values.py").read_text()
    (outside / "script.py").write_text(text + "\n".join(SLIPS))
    _, said = said_of(outside / "script.py", checker)
    assert [line for line in range(1, len(SLIPS) + 1) if f"script.py:{text.count(chr(10)) + line}" not in said] == []
