"""Whoever imports the package has types: an outside script passes the strictest of two checkers, and runs."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

SCRIPT = Path(__file__).with_name("outside_script.py")


def _said(words: list[str], folder: Path) -> str:
    done = subprocess.run(words, cwd=folder, capture_output=True, text=True, timeout=600)
    return "" if done.returncode == 0 else done.stdout + done.stderr


@pytest.fixture
def outside(tmp_path):
    """The script in a folder of its own, with no settings of this project."""
    shutil.copy(SCRIPT, tmp_path / "script.py")
    return tmp_path


def test_the_script_runs(tmp_path):
    from tests.docs.outside_script import main

    assert len(main(tmp_path)) == 8
    assert (tmp_path / "pond" / "cloth.png").is_file()


@pytest.mark.full
def test_mypy_finds_nothing(outside):
    assert _said([sys.executable, "-m", "mypy", "--strict", "--cache-dir", str(outside), "script.py"], outside) == ""


@pytest.mark.full
def test_pyright_finds_nothing(outside):
    (outside / "pyrightconfig.json").write_text('{"typeCheckingMode": "strict"}')
    words = [sys.executable, "-m", "pyright", "--pythonpath", sys.executable, "script.py"]
    assert _said(words, outside) == ""


@pytest.mark.full
@pytest.mark.parametrize("checker", ["mypy", "pyright"])
def test_a_slip_in_a_script_is_found(outside, checker):
    """The checkers do look: a dye where a cloth belongs."""
    (outside / "pyrightconfig.json").write_text('{"typeCheckingMode": "strict"}')
    text = (
        (outside / "script.py")
        .read_text()
        .replace("cloth=Cloth(width_mm=300)", 'cloth=Dye(name="x", colour="#000000")')
    )
    (outside / "script.py").write_text(text)
    more = ["--strict"] if checker == "mypy" else ["--pythonpath", sys.executable]
    assert "Dye" in _said([sys.executable, "-m", checker, *more, "script.py"], outside)
