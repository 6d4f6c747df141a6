"""The notebooks run from top to bottom, are stored as they run, and stay small."""

from __future__ import annotations

import importlib.util
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import nbformat
import pytest

ROOT = Path(__file__).resolve().parents[2]
NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.ipynb"))
MOST_BYTES = 550_000  # of one stored notebook
MOST_WORDS = 90  # of one piece of text: no walls


def storing():
    """The program that runs and stores notebooks."""
    spec = importlib.util.spec_from_file_location("store_notebooks", ROOT / "tests" / "tools" / "store_notebooks.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def ran():
    """Every notebook run in a kernel of its own, two at a time."""
    tool = storing()
    with ThreadPoolExecutor(2) as pool:
        return dict(zip(NOTEBOOKS, pool.map(tool.run, NOTEBOOKS), strict=True))


def printed(notebook):
    return [
        (number, output["text"])
        for number, cell in enumerate(notebook.cells)
        for output in cell.get("outputs", [])
        if output.output_type == "stream"
    ]


def pictures(notebook):
    return [
        number
        for number, cell in enumerate(notebook.cells)
        for output in cell.get("outputs", [])
        if any(kind.startswith("image/") for kind in output.get("data", {}))
        or "data:image/" in output.get("data", {}).get("text/html", "")
    ]


def test_there_are_four():
    assert [path.name[0] for path in NOTEBOOKS] == ["1", "2", "3", "4"]


@pytest.mark.full
@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_it_runs_and_says_what_is_stored(path, ran):
    stored = nbformat.read(path, as_version=4)
    assert printed(ran[path]) == printed(stored)
    assert pictures(ran[path]) == pictures(stored)
    assert len(pictures(stored)) >= 4
    outputs = [output for cell in ran[path].cells for output in cell.get("outputs", [])]
    assert [output for output in outputs if output.get("name") == "stderr"] == []


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_it_is_small_and_reads_easily(path):
    assert path.stat().st_size < MOST_BYTES
    notebook = nbformat.read(path, as_version=4)
    nbformat.validate(notebook)
    assert str(Path.home()) not in path.read_text(encoding="utf-8")
    assert notebook.cells[0].cell_type == "markdown"
    assert notebook.cells[0].source.startswith("# ")
    for cell in notebook.cells:
        if cell.cell_type == "markdown":
            assert all(len(part.split()) <= MOST_WORDS for part in cell.source.split("\n\n"))
