"""Every command explains itself, and stands in README."""

from __future__ import annotations

import inspect
import re
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from batiksim import cli, jobs
from batiksim.texts.catalogue import texts

README = (Path(cli.__file__).resolve().parent.parent.parent / "README.md").read_text(encoding="utf-8")
COMMANDS = sorted(cli.main.commands)


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help(name):
    command, key = cli.main.commands[name], f"cli.{name.replace('-', '_')}"
    assert texts()(f"{key}.help", **command.help_parts()).endswith((".", ")"))
    assert texts()(f"{key}.short").endswith(".")
    result = CliRunner().invoke(cli.main, [name, "--help"])
    assert result.exit_code == 0
    assert result.output.startswith(f"Usage: main {name}")
    for option in command.params:
        assert not isinstance(option, click.Option) or f"  {option.opts[0]} " in result.output


def test_every_command_stands_in_readme():
    assert [name for name in COMMANDS if not re.search(rf"batiksim {name}\b", README)] == []


@pytest.mark.parametrize("name", [name for name in COMMANDS if name != "worktable"])  # it starts a server instead
def test_commands_are_thin(name):
    """Parse, one function of `jobs`, print: nothing else of the package but its values, errors and own printing."""
    source = inspect.getsource(cli.main.commands[name].callback)
    assert "jobs." in source
    assert len(re.findall(r"^\s+(?:\w+ = |return )?jobs\.\w+\(", source, re.M)) <= 2
    taken = re.findall(r"from (batiksim\S*) import", source)
    assert all(module in ("batiksim",) or module.startswith("batiksim.cli") for module in taken)
    assert len(source.splitlines()) < 60


def test_jobs_have_docstrings():
    for name, function in inspect.getmembers(jobs, inspect.isfunction):
        if function.__module__.startswith("batiksim.jobs") and not name.startswith("_"):
            assert inspect.getdoc(function), name
