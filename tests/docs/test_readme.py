"""README and the guide keep their word: commands are there, links and pictures are there, Python runs."""

from __future__ import annotations

import contextlib
import io
import os
import re
import shlex
import shutil
import subprocess
import tomllib
from pathlib import Path

import pytest

import batiksim
from batiksim.checks import CHECKS
from batiksim.cli import main

ROOT = Path(batiksim.__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
GUIDE = sorted((ROOT / "batiksim" / "docs").glob("*.md"))
GALLERY = ROOT / "batiksim" / "docs" / "gallery.md"  # tested by itself
PAGES = [ROOT / "README.md", *GUIDE]
SITE = "-m sphinx -q -W --keep-going -d out/doctrees -b html batiksim/docs batiksim/docs/site"
BLOCKS = [
    block
    for page in PAGES
    if page != GALLERY
    for block in re.findall(r"^```(\w*)\n(.*?)^```$", page.read_text(encoding="utf-8"), re.M | re.S)
]
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
    assert context.params["designs"] == (Path(words[2]),)
    assert context.params["out"]
    assert ".venv/bin/pip install" in line


def test_the_guide_names_every_check():
    page = (ROOT / "batiksim" / "docs" / "check.md").read_text(encoding="utf-8")
    assert "".join(f"| `{row.code}` | {row.what} |\n" for row in CHECKS) in page


def test_the_command_that_runs_the_tests():
    line = marked("tests")
    assert line.endswith(".venv/bin/python -m pytest -n auto --dist loadfile")
    assert "'.[test]'" in line
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert any(re.match(r"pytest-xdist\b", one) for one in settings["project"]["optional-dependencies"]["test"])
    assert settings["tool"]["pytest"]["ini_options"]["addopts"][-2:] == ["-m", "not full"]


def test_checks_in_one_command_use_the_same_words():
    """The run of all checks reads its test command from README."""
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert "<!-- tests -->" in script
    tools = (
        "ruff check",
        "ruff format --check",
        "mypy",
        "lint-imports",
        "pytest -n auto --dist loadfile -m full",
        SITE,
    )
    assert all(tool in script for tool in tools)
    assert SITE in (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert SITE in (ROOT / "batiksim" / "docs" / "index.md").read_text(encoding="utf-8")


@pytest.mark.skipif(shutil.which("bash") is None, reason="the script is for bash")
@pytest.mark.parametrize(
    ("fails", "code"), [("nothing", 0), ("readme", 1), ("ruff", 1), ("mypy", 1), ("full", 1), ("none found", 1)]
)
def test_checks_in_one_command_close_on_both_runs_of_the_tests(tmp_path, fails, code):
    """With tools that only say how they were called: all of them run, whatever fails, and the end tells all."""
    (tmp_path / ".ci").mkdir()
    shutil.copy(ROOT / ".ci" / "run", tmp_path / ".ci" / "run")
    (tmp_path / "README.md").write_text(
        "<!-- tests -->\n```\npython3 -c 'print(1)' && .venv/bin/python -m pytest\n```\n", encoding="utf-8"
    )
    tools = tmp_path / ".venv" / "bin"
    tools.mkdir(parents=True)
    summaries = {"readme": "3 passed, 1 deselected in 2.10s", "full": "===== 2 passed in 61.00s (0:01:01) ====="}
    for name in ("ruff", "mypy", "lint-imports"):
        write_tool(tools / name, f"echo {name}", fails == name)
    ends = {"none found": 5, "full": 1}.get(fails, 0)
    python = f"""case "$*" in
    *full*) echo '{summaries["full"]}'; exit {ends};;
    *) echo '{summaries["readme"]}'; exit {int(fails == "readme")};; esac"""
    write_tool(tools / "python", python, False)
    write_tool(tmp_path / "chromium", "", False)
    path = f"{tmp_path}{os.pathsep}{os.environ['PATH']}"
    done = subprocess.run(
        ["bash", tmp_path / ".ci" / "run"], env={**os.environ, "PATH": path}, capture_output=True, text=True, timeout=60
    )
    assert done.returncode == code
    lines = done.stdout.splitlines()
    assert lines[-2:] == [summaries["readme"], summaries["full"]]
    assert {"ruff", "mypy", "lint-imports"} <= set(lines)


def write_tool(path, does, fails):
    path.write_text(f"#!/bin/sh\n{does}\nexit {int(fails)}\n", encoding="utf-8")
    path.chmod(0o755)


def links_of(page):
    """Where a page's links lead: (file, heading or "")."""
    links = [link for link in re.findall(r"\]\(([^)\s]+)", page.read_text(encoding="utf-8")) if "://" not in link]
    return [(page.parent / file if file else page, heading) for file, _, heading in (li.partition("#") for li in links)]


def headings(page):
    """The names by which links lead to a page's headings."""
    lines = re.findall(r"^#+ (.+)$", page.read_text(encoding="utf-8"), re.M)
    return {re.sub(r"[^\w -]", "", line.lower()).replace(" ", "-") for line in lines}


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_pictures_and_links_lead_somewhere(page):
    assert [str(file) for file, _ in links_of(page) if not file.exists()] == []
    assert [(file.name, heading) for file, heading in links_of(page) if heading and heading not in headings(file)] == []


def test_every_page_of_the_guide_is_in_its_index_and_readme_leads_there():
    index = ROOT / "batiksim" / "docs" / "index.md"
    assert {file.resolve() for file, _ in links_of(index)} >= {*GUIDE} - {index}
    assert index in [file for file, _ in links_of(PAGES[0])]


def test_the_guide_has_the_design_of_readme():
    """Who has installed batiksim has the guide, but not README."""
    (design,) = re.findall(r"^```toml\n.*?^```$", README, re.M | re.S)
    assert design in (ROOT / "batiksim" / "docs" / "designs.md").read_text(encoding="utf-8")


def test_readme_can_be_read_in_four_minutes():
    assert len(README.split()) <= 900


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_files_named_are_there(page):
    named = re.findall(r"`((?:sample_designs|notebooks|tests)/[\w./-]+)`", page.read_text(encoding="utf-8"))
    assert [name for name in named if not (ROOT / name).exists()] == []


def test_every_command_line_can_be_parsed():
    lines = [line.strip() for kind, code in BLOCKS if kind != "python" for line in code.splitlines()]
    commands = [shlex.split(line, comments=True) for line in lines if line.startswith("batiksim ")]
    assert {words[1] for words in commands} >= {*main.commands}
    for words in commands:
        command = main.commands[words[1]]
        command.make_context(words[1], list(words[2:]))


def test_there_is_python_to_read():
    assert PYTHON


@pytest.mark.parametrize("number", range(len(PYTHON)))
def test_python_runs(number, tmp_path, monkeypatch):
    (tmp_path / "sample_designs").symlink_to(ROOT / "sample_designs")
    monkeypatch.chdir(tmp_path)
    with contextlib.redirect_stdout(io.StringIO()):
        exec(compile(PYTHON[number], "README.md", "exec"), {"__name__": "__main__"})
