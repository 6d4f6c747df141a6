"""Commands as they come out on a terminal."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

import batiksim

ROOT = Path(batiksim.__file__).resolve().parents[1]
_SPAWN = "import pty, sys; pty.spawn([sys.executable, '-m', 'batiksim', *sys.argv[1:]])"


@pytest.fixture
def on_terminal() -> Callable[..., str]:
    """Run a command on a terminal of 80 columns and give what it shows, colours and all."""
    if os.name != "posix":
        pytest.skip("there are no pseudo-terminals elsewhere")

    def run(*words: object) -> str:
        environment = {**os.environ, "PYTHONPATH": str(ROOT), "COLUMNS": "80", "TERM": "xterm-256color"}
        done = subprocess.run(
            [sys.executable, "-c", _SPAWN, *map(str, words)],
            env=environment,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=120,
        )
        return done.stdout.decode("utf-8")

    return run


@pytest.fixture
def terminal_lines(on_terminal: Callable[..., str]) -> Callable[..., list[str]]:
    """The same as lines, without colours and what ends them."""

    def run(*words: object) -> list[str]:
        return [line.rstrip() for line in re.sub(r"\x1b\[[0-9;?]*[A-Za-z]", "", on_terminal(*words)).splitlines()]

    return run
