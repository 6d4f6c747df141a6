"""No dependency that isn't used, none used that isn't named, and no file left out of the wheel."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from pathlib import Path

import pytest

import batiksim

ROOT = Path(__file__).resolve().parent.parent.parent
PROJECT = ROOT / "pyproject.toml"
IMPORTED_AS = {"pillow": "PIL", "scikit-image": "skimage", "colour-science": "colour"}
RUN_NOT_IMPORTED = {
    "mypy",
    "ruff",
    "import-linter",
    "ipykernel",
    "scipy-stubs",
    "pytest",
    "jupyterlab",
    "pytest-xdist",
}  # run, not imported


def names(entries: list[str]) -> set[str]:
    plain = {re.match(r"[A-Za-z0-9_-]+", entry).group().lower() for entry in entries}
    return {IMPORTED_AS.get(name, name.replace("-", "_")) for name in plain - RUN_NOT_IMPORTED}


def imported(folder: Path) -> set[str]:
    """The top names of all that a folder's modules import, also inside functions."""
    found: set[str] = set()
    for path in folder.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                found |= {alias.name.partition(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
                found.add(node.module.partition(".")[0])
            elif isinstance(node, ast.Call) and ast.unparse(node.func) == "pytest.importorskip":
                found.add(ast.literal_eval(node.args[0]).partition(".")[0])
    return found - set(sys.stdlib_module_names) - {"__future__"}


@pytest.fixture(scope="module")
def project():
    return tomllib.loads(PROJECT.read_text(encoding="utf-8"))["project"]


def test_every_dependency_is_used_and_every_import_is_named(project):
    assert imported(Path(batiksim.__file__).parent) - {"batiksim"} == names(project["dependencies"])


def test_every_dependency_of_the_tests_is_used(project):
    asked = names(project["optional-dependencies"]["test"])
    assert asked - imported(ROOT / "tests") == set()


def test_every_dependency_has_a_lowest_version(project):
    entries = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    assert [entry for entry in entries if not re.match(r"[A-Za-z0-9_-]+>=[0-9.]+(;|$)", entry)] == []
