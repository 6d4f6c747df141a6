"""The way the parts depend on each other, checked on the code itself."""

from __future__ import annotations

import dataclasses
import os
import subprocess
import sys
import typing
from pathlib import Path

import pytest
from matplotlib.figure import Figure

import batiksim
from tests.sources import names, tops

ROOT = Path(batiksim.__file__).resolve().parent.parent
SLOW = ("matplotlib", "scipy", "skimage", "colour", "pandas", "IPython")  # each takes from half a second to seconds
SOURCES = sorted((ROOT / "batiksim").rglob("*.py"))


def fresh(code):
    """Run code in a new process, warnings as errors; gives what it prints."""
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", code],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_imports_keep_to_the_contract():
    lint = Path(sys.executable).with_name("lint-imports")
    done = subprocess.run(
        [lint, "--no-cache"],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "0 broken" in done.stdout


def test_values_that_the_public_ones_are_made_of_are_public_too():
    """A design can be built, and what a preview tells can be named in types, from `import batiksim` alone."""
    public = [getattr(batiksim, name) for name in batiksim.__all__]
    named = {"Figure": Figure}  # which a chart imports only for type checkers
    hints = [typing.get_type_hints(one, localns=named) for one in public if dataclasses.is_dataclass(one)]
    parts = {part for fields in hints for hint in fields.values() for part in _parts(hint)}
    values = {part.__name__ for part in parts if part.__module__.startswith("batiksim.values")}
    assert {"Dye", "Region", "Finding"} <= values
    assert values - {"Place"} <= set(batiksim.__all__)  # a place is only read, by its numbers


def _parts(hint):
    inner = typing.get_args(hint)
    return {part for one in inner for part in _parts(one)} if inner else {hint} if isinstance(hint, type) else set()


@pytest.mark.parametrize(
    ("what", "also_not"),
    [
        ("import batiksim", ("numba", "rich", "PIL")),
        ("from batiksim.cli import main\ntry: main(['--help'])\nexcept SystemExit: pass", ("numba", "numpy", "rich")),
        ("import batiksim.jobs", ("numba", "rich", "tomlkit")),
        ("import batiksim.colour, batiksim.cloth.render, batiksim.files.toml.designs", ("numba", "tomlkit")),
    ],
)
def test_starting_loads_nothing_slow(what, also_not):
    said = fresh(what + "\nimport sys\nprint('LOADED', *{name.partition('.')[0] for name in sys.modules})")
    loaded = said.rpartition("LOADED")[2].split()
    assert not set(loaded) & {*SLOW, *also_not}


def test_a_preview_loads_nothing_slow(tmp_path):
    """The checks of a preview look for shapes by scipy only where there may be a gap to measure."""
    said = fresh(
        "import sys\nfrom batiksim import jobs\n"
        f"jobs.new_design({str(tmp_path / 'first')!r})\n"
        f"jobs.save_preview({str(tmp_path / 'first')!r}, {str(tmp_path / 'out')!r})\n"
        "print('LOADED', *sys.modules)"
    )
    loaded = said.rpartition("LOADED")[2].split()
    assert "batiksim" in loaded
    slow = {
        *SLOW,
        "tomlkit",
        "rich",
        "tifffile",
        "scipy.linalg",
        "scipy.optimize",
        "scipy.ndimage",
        "scipy.interpolate",
    }
    assert not set(loaded) & (slow - {"scipy"})  # the compiler asks for its version


def test_colour_science_is_for_tests_and_for_whoever_asks_for_its_spectra():
    """One module of the package imports it, and that only when called."""
    assert [path.name for path in SOURCES if "colour" in tops(path)] == ["exchange.py"]
    said = fresh("import sys, batiksim.colour.exchange\nprint('colour' in sys.modules)")
    assert said.strip() == "False"


def test_only_the_command_line_prints_and_exits():
    ending = {"print", "exit", "quit", "sys.exit", "os._exit", "click.echo"}
    quiet = [path for path in SOURCES if not {"cli", "worktable"} & set(path.parts)]
    assert {path: names(path) & ending for path in quiet if names(path) & ending} == {}


@pytest.mark.full
def test_the_package_says_what_it_offers():
    """Every name in a module's `__all__` is there."""
    said = fresh(
        "import importlib, pkgutil, batiksim\n"
        "for one in pkgutil.walk_packages(batiksim.__path__, 'batiksim.'):\n"
        "    module = importlib.import_module(one.name)\n"
        "    missing = [name for name in getattr(module, '__all__', ()) if not hasattr(module, name)]\n"
        "    print('MISSING', one.name, missing) if missing else None\n"
    )
    assert "MISSING" not in said
