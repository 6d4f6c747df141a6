"""README keeps its word: its commands are there, its pictures are there, its Python runs."""

from __future__ import annotations

import contextlib
import io
import re
import shlex
from pathlib import Path

import pytest

import batiksim
from batiksim.cli import main

ROOT = Path(batiksim.__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```(\w*)\n(.*?)^```$", README, re.M | re.S)
PYTHON = [code for kind, code in BLOCKS if kind == "python"]


def marked(name):
    """The single line of the code block under a comment."""
    (line,) = re.findall(rf"^<!-- {name} -->\n```\w*\n(.+)\n```$", README, re.M)
    return line


def test_the_command_that_shows_a_cloth():
    line = marked("preview")
    words = shlex.split(line.rpartition("&&")[2])
    assert words[0] == ".venv/bin/batiksim"
    design = ROOT / words[2]
    assert (design / "design.toml").is_file()
    context = main.commands[words[1]].make_context(words[1], words[2:])
    assert context.params["design"] == Path(words[2])
    assert context.params["out"]
    assert ".venv/bin/pip install" in line


def test_the_command_that_runs_the_tests():
    line = marked("tests")
    assert line.endswith(".venv/bin/python -m pytest")
    assert "'.[test]'" in line
    assert "\n[project.optional-dependencies]\ntest = [" in (ROOT / "pyproject.toml").read_text(encoding="utf-8")


def test_checks_in_one_command_use_the_same_words():
    """The run of all checks reads its test command from README."""
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert "<!-- tests -->" in script
    assert all(tool in script for tool in ("ruff check", "ruff format --check", "mypy", "lint-imports"))


def test_pictures_and_links_lead_somewhere():
    links = [link for link in re.findall(r"\]\(([^)#\s]+)", README) if "://" not in link]
    assert links
    assert [link for link in links if not (ROOT / link).exists()] == []


def test_files_named_in_readme_are_there():
    named = re.findall(r"`((?:sample_designs|notebooks|tests)/[\w./-]+)`", README)
    assert [name for name in named if not (ROOT / name).exists()] == []


def test_every_command_line_in_readme_can_be_parsed():
    lines = [line.strip() for kind, code in BLOCKS if kind != "python" for line in code.splitlines()]
    commands = [shlex.split(line, comments=True) for line in lines if line.startswith("batiksim ")]
    for words in commands:
        command = main.commands[words[1]]
        command.make_context(words[1], list(words[2:]))


def test_readme_shows_python():
    assert PYTHON


@pytest.mark.parametrize("number", range(len(PYTHON)))
def test_python_in_readme_runs(number, tmp_path, monkeypatch):
    (tmp_path / "sample_designs").symlink_to(ROOT / "sample_designs")
    monkeypatch.chdir(tmp_path)
    with contextlib.redirect_stdout(io.StringIO()):
        exec(compile(PYTHON[number], "README.md", "exec"), {"__name__": "__main__"})
