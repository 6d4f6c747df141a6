"""No test sleeps or asks a clock: a busy machine is no fault. Measuring is for tests/bench."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from tests.sources import dotted

TESTS = Path(__file__).resolve().parents[1]
WAITS = {
    "architecture/test_clocks.py": "shows what is found here",
    "waiting.py": "looks again and again, and has a clock only to end a hang",
    "worktable/conftest.py": "passes the time between two looks with the browser awake",
    "trust/fuzz.py": "no test: a command that runs for as long as it is told",
}
CLOCKS = {
    "sleep", "wait_for_timeout", "pause",
    "time", "time_ns", "monotonic", "monotonic_ns", "perf_counter", "perf_counter_ns", "process_time",
    "process_time_ns", "thread_time", "thread_time_ns", "clock_gettime", "getrusage", "timeit",
}  # fmt: skip
TODAY = {"now", "utcnow", "today"}  # clocks where they are asked of a date; anything else may have a `now` of its own
OTHERS = {"resource.getrusage(resource.RUSAGE_SELF).ru_maxrss"}  # memory


def _dates(tree: ast.AST) -> set[str]:
    """What a program calls the dates of `datetime`."""
    imports = [node for node in ast.walk(tree) if isinstance(node, ast.ImportFrom) and node.module == "datetime"]
    return {"datetime", "date"} | {alias.asname or alias.name for node in imports for alias in node.names}


def clocks(source: str) -> list[str]:
    """Calls and imports by which a program sleeps or tells the time, those in programs kept as text among them."""
    tree = ast.parse(source)
    memory = {
        id(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and node.attr == "ru_maxrss" and ast.unparse(node) in OTHERS
    }
    dates = _dates(tree)
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and id(node) not in memory:
            owner, _, name = dotted(node.func).rpartition(".")
            is_clock = name in CLOCKS or (name in TODAY and owner.rpartition(".")[2] in dates)
            found += [f"{node.lineno}: {dotted(node.func)}"] if is_clock else []
        elif isinstance(node, ast.ImportFrom) and node.module in ("time", "timeit", "asyncio"):
            found += [f"{node.lineno}: {name.name}" for name in node.names if name.name in CLOCKS]
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and "import" in node.value:
            try:
                found += [f"{node.lineno}: within a text, {inner}" for inner in clocks(node.value)]
            except SyntaxError:
                continue
    return found


@pytest.mark.parametrize(
    "line",
    [
        "time.sleep(1)",
        "seen.page.wait_for_timeout(40)",
        "assert time.process_time() - began < 2",
        "from time import perf_counter",
        "datetime.datetime.now()",
        "from datetime import datetime as moment; moment.now()",
        "date.today()",
        "before = resource.getrusage(resource.RUSAGE_SELF).ru_utime",
        "code = 'import time; time.sleep(60)'",
    ],
)
def test_a_clock_is_found(line: str) -> None:
    assert clocks(line)


@pytest.mark.parametrize(
    "line", ["before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss", "pots = names.now(design)", "now(design)"]
)
def test_what_only_sounds_like_a_clock_is_not_one(line: str) -> None:
    assert not clocks(line)


def test_no_test_sleeps_or_asks_a_clock() -> None:
    files = [path for path in sorted(TESTS.rglob("*.py")) if path.relative_to(TESTS).parts[0] != "bench"]
    assert len(files) > 100
    told = {path.relative_to(TESTS).as_posix(): clocks(path.read_text(encoding="utf-8")) for path in files}
    assert {name: lines for name, lines in told.items() if lines and name not in WAITS} == {}
    assert all(told[name] for name in WAITS), "what no longer waits needs no leave to"
