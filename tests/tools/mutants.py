"""Do the tests bite? Seeded small faults are put into a room's code, and its nearest tests must notice them.

    python tests/tools/mutants.py cloth --count 20 --seed 7
    python tests/tools/mutants.py files colour checks --count 15 --workers 2 --least 85

A room is a folder of `batiksim`; `worktable` stands for `worktable` and `document` together. Each mutant is one change
to one place of the code: a comparison, an arithmetic sign, a number, `and` for `or`, a `not` taken out, another value
returned, `min` for `max`, two arguments swapped, a slice's bound, a statement left out, two branches swapped, a key
spelt otherwise. What cannot change what the package does is not tried (see `UNTRIED`).

Nearest tests are computed, not listed: first those named after the module (`tests/<room>/test_*<module>*.py`), then
those whose imports reach it in the fewest steps (of these, those that reach little else). Up to `--files` files are
run, the nearest first, until a test fails or `--seconds` of the processor are used up. Tests that drive a browser, and
those marked `full`, are never among them.

Every mutant is tried in a copy of the tree of its own; what is compiled already goes along, and functions that the
change reaches are compiled anew there. A mutant is killed when a test fails that passes on the code as it is, when the
tests cannot be collected, or when a test goes on for `PATIENCE` seconds of the processor beyond the time that there is,
or wants more than `MEMORY`.

Survivors are printed as the lines that changed, then the share killed per room; exit status 1 when a room is below
`--least` per cent. The same seed on the same code gives the same mutants.
"""

from __future__ import annotations

import argparse
import ast
import contextlib
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = "batiksim"
ROOMS = {"worktable": ("worktable", "document")}  # any other room is the one folder of its name
COPIED = ("tests", "sample_designs", "notebooks", "pyproject.toml", "README.md", "DEVELOPERS.md", "LICENSE", ".ci")
PATIENCE = 60  # processor seconds beyond those there are, before a run counts as endless
MEMORY = 6 << 30  # bytes that a run may take: a loop that no longer ends may fill a list for ever
SKIPPED_TESTS = ("test_page_", "playwright")  # these drive a browser: never nearest
UNTRIED = {  # names whose values and calls change nothing that a test could rightly ask for, with the reason
    "__all__": "what a module offers is held by the architecture tests",
    "CACHE_BITS": "size of a cache: speed alone",
    "CACHE_BYTES": "size of a cache: speed alone",
    "STRETCH": "pixels written in one go: speed alone",
    "PADDED": "zeros up to whole vector registers: speed alone",
    "maxsize": "size of a cache: speed alone",
    "KEPT_BYTES": "size of a cache: speed alone",
    "MOST_DYES": "size of a cache: speed alone",
    "MOST_PLACES": "size of a cache: speed alone",
    "MOST_STACKS": "size of a cache: speed alone",
    "MOST_TABLES": "size of a cache: speed alone",
    "STACK_BYTES": "size of a cache: speed alone",
    "token_hex": "a name that nothing else has: nobody asks how long it is",
    "capacity": "more room than is ever needed changes nothing",
    "default_rng": "chance from a fixed beginning: any other would do",
    "KEYS_A_WORD": "how keys are packed: held by their being told apart",
    "SHOW": "a code of its own among codes: any other would do",
    "SHOW_WAXED": "a code of its own among codes: any other would do",
    "piece": "a part that is written up to a length of its own, which lets the compiler count",
    "workers": "how many threads: speed alone",
    "has_waxed": "whether a colour is known already or is worked out again: speed alone",
    "fsync": "asks the disk to finish now; seen in a power cut only",
    "setflags": "guards an array against later mistakes",
    "strict": "guards a pairing of equally many against later mistakes",
    "daemon": "lets the process end without waiting for a thread",
    "BROWSER_S": "how long to wait before what waits itself where need be",
    "WAIT_S": "how long more changes are waited for; all of them are saved in any case",
    "timeout": "how long to wait for a thing that comes sooner",
    "fastmath": "leave given to the compiler: speed alone",
    "inline": "leave given to the compiler: speed alone",
    "cast": "for the type checker alone",
    "_FENCE": "how a search comes to its end, which is held by tests, and not where that lies",
    "_MOST_STEPS": "how a search comes to its end, which is held by tests, and not where that lies",
    "_LONGEST_STEP": "how a search comes to its end, which is held by tests, and not where that lies",
}

COMPARISONS = {
    ast.Lt: ("<", "<="),
    ast.LtE: ("<=", "<"),
    ast.Gt: (">", ">="),
    ast.GtE: (">=", ">"),
    ast.Eq: ("==", "!="),
    ast.NotEq: ("!=", "=="),
    ast.Is: ("is", "is not"),
    ast.IsNot: ("is not", "is"),
    ast.In: ("in", "not in"),
    ast.NotIn: ("not in", "in"),
}
ARITHMETIC = {
    ast.Add: ("+", "-"),
    ast.Sub: ("-", "+"),
    ast.Mult: ("*", "/"),
    ast.Div: ("/", "*"),
    ast.FloorDiv: ("//", "*"),
    ast.Mod: ("%", "*"),
    ast.Pow: ("**", "*"),
    ast.BitAnd: ("&", "|"),
    ast.BitOr: ("|", "&"),
    ast.LShift: ("<<", ">>"),
    ast.RShift: (">>", "<<"),
}
RENAMED = {"min": "max", "max": "min", "minimum": "maximum", "maximum": "minimum", "any": "all", "all": "any"}
SYMMETRIC = {  # the same whichever comes first
    "min", "max", "minimum", "maximum", "hypot", "allclose", "array_equal", "gcd", "lcm", "isclose",
    "intersect1d", "delta_e_2000",
}  # fmt: skip


@dataclass(frozen=True)
class Mutant:
    """One change: bytes `start` to `end` of a file become `text`."""

    file: Path
    start: int
    end: int
    text: str
    kind: str

    def source(self, root: Path) -> bytes:
        """The file's text with the change in it."""
        before = (root / self.file).read_bytes()
        return before[: self.start] + self.text.encode() + before[self.end :]

    def diff(self, root: Path) -> str:
        """The lines that change, as they are and as they become."""
        before, after = (root / self.file).read_bytes(), self.source(root)
        first = before.count(b"\n", 0, self.start)
        last = before.count(b"\n", 0, self.end)
        old = before.split(b"\n")[first : last + 1]
        new = after.split(b"\n")[first : first + len(old) + after.count(b"\n") - before.count(b"\n")]
        lines = [f"- {line.decode().strip()}" for line in old] + [f"+ {line.decode().strip()}" for line in new]
        return f"{self.file}:{first + 1} ({self.kind})\n" + "\n".join(f"    {line}" for line in lines)


# --- what can be changed


def sites_of(file: Path, root: Path = ROOT) -> list[Mutant]:
    """Every change that can be written into a file, in the order of its text, valid or not."""
    source = (root / file).read_bytes()
    return [Mutant(file, start, end, text, kind) for start, end, text, kind in _Sites(source).of(ast.parse(source))]


def changes_code(mutant: Mutant, root: Path = ROOT) -> bool:
    """Whether a mutant is a program, and another one than the code as it is."""
    try:
        return ast.dump(ast.parse(mutant.source(root))) != ast.dump(ast.parse((root / mutant.file).read_bytes()))
    except SyntaxError:
        return False


def mutants_of(file: Path, root: Path = ROOT) -> list[Mutant]:
    """Every mutant of a file, in the order of its text; those that parse to the same code are left out."""
    return [mutant for mutant in sites_of(file, root) if changes_code(mutant, root)]


class _Sites:
    """The places of a source text that can be changed, as (start, end, new text, kind), in bytes."""

    def __init__(self, source: bytes) -> None:
        self.source = source
        self.starts = [0]
        for line in source.splitlines(keepends=True):
            self.starts.append(self.starts[-1] + len(line))

    def of(self, node: ast.AST) -> Iterator[tuple[int, int, str, str]]:
        if _untried(node):
            return
        change = getattr(self, f"_{type(node).__name__.lower()}", None)
        if change is not None:
            yield from change(node)
        for child in _tried_children(node):
            yield from self.of(child)

    def span(self, node: ast.AST) -> tuple[int, int]:
        place = (node.lineno, node.col_offset, node.end_lineno, node.end_col_offset)  # type: ignore[attr-defined]
        return self.starts[place[0] - 1] + place[1], self.starts[place[2] - 1] + place[3]

    def text(self, node: ast.AST) -> str:
        start, end = self.span(node)
        return self.source[start:end].decode()

    def _between(self, left: ast.AST, right: ast.AST, old: str, new: str) -> Iterator[tuple[int, int, str, str]]:
        """An operator between two operands, found in the text that parts them."""
        start, end = self.span(left)[1], self.span(right)[0]
        at = self.source.find(old.encode(), start, end)
        if at >= 0:
            yield at, at + len(old), new, f"{old} becomes {new}"

    def _compare(self, node: ast.Compare) -> Iterator[tuple[int, int, str, str]]:
        operands = [node.left, *node.comparators]
        for left, operator, right in zip(operands, node.ops, operands[1:], strict=False):
            yield from self._between(left, right, *COMPARISONS[type(operator)])
            if isinstance(right, ast.Constant) and isinstance(right.value, str):
                yield self._key(right)

    def _binop(self, node: ast.BinOp) -> Iterator[tuple[int, int, str, str]]:
        if type(node.op) in ARITHMETIC:
            yield from self._between(node.left, node.right, *ARITHMETIC[type(node.op)])

    def _augassign(self, node: ast.AugAssign) -> Iterator[tuple[int, int, str, str]]:
        if type(node.op) in ARITHMETIC:
            old, new = ARITHMETIC[type(node.op)]
            yield from self._between(node.target, node.value, f"{old}=", f"{new}=")

    def _boolop(self, node: ast.BoolOp) -> Iterator[tuple[int, int, str, str]]:
        old, new = ("and", "or") if isinstance(node.op, ast.And) else ("or", "and")
        changed = [f"({self.text(value)})" for value in node.values]
        yield (*self.span(node), f"({f' {new} '.join(changed)})", f"{old} becomes {new}")

    def _unaryop(self, node: ast.UnaryOp) -> Iterator[tuple[int, int, str, str]]:
        if isinstance(node.op, (ast.Not, ast.USub, ast.Invert)):
            yield (*self.span(node), f"({self.text(node.operand)})", "sign or `not` removed")

    def _constant(self, node: ast.Constant) -> Iterator[tuple[int, int, str, str]]:
        value, span = node.value, self.span(node)
        if isinstance(value, bool):
            yield (*span, str(not value), "truth turned")
        elif isinstance(value, int):
            for changed in {value + 1, value - 1} if value > 0 else {1}:
                yield (*span, str(changed), "number changed")
        elif isinstance(value, float):
            yield (*span, repr(value * 1.1 if value else 0.1), "number changed")

    def _key(self, node: ast.Constant) -> tuple[int, int, str, str]:
        return (*self.span(node), repr(str(node.value) + "x"), "key changed")

    def _subscript(self, node: ast.Subscript) -> Iterator[tuple[int, int, str, str]]:
        if isinstance(node.slice, ast.Constant) and isinstance(node.slice.value, str):
            yield self._key(node.slice)

    def _dict(self, node: ast.Dict) -> Iterator[tuple[int, int, str, str]]:
        for key in node.keys:
            if isinstance(key, ast.Constant) and isinstance(key.value, str):
                yield self._key(key)

    def _slice(self, node: ast.Slice) -> Iterator[tuple[int, int, str, str]]:
        for bound in (node.lower, node.upper):
            if bound is not None:
                yield (*self.span(bound), "", "slice bound left out")

    def _call(self, node: ast.Call) -> Iterator[tuple[int, int, str, str]]:
        name = _name(node.func)
        start, end = self.span(node.func)
        if name in RENAMED:
            yield end - len(name), end, RENAMED[name], f"{name} becomes {RENAMED[name]}"
        plain = [arg for arg in node.args if isinstance(arg, (ast.Name, ast.Attribute, ast.Subscript))]
        if len(node.args) == len(plain) == 2 and name not in SYMMETRIC:
            first, second = node.args
            swapped = f"{self.text(second)}, {self.text(first)}"
            yield self.span(first)[0], self.span(second)[1], swapped, "arguments swapped"

    def _return(self, node: ast.Return) -> Iterator[tuple[int, int, str, str]]:
        if node.value is None or isinstance(node.value, ast.Constant):
            return
        truth = isinstance(node.value, (ast.Compare, ast.BoolOp)) or _is_not(node.value)
        new = f"not ({self.text(node.value)})" if truth else "None"
        yield (*self.span(node.value), new, "another value returned")

    def _expr(self, node: ast.Expr) -> Iterator[tuple[int, int, str, str]]:
        if isinstance(node.value, (ast.Call, ast.Await)):
            yield (*self.span(node), "pass", "statement left out")

    def _raise(self, node: ast.Raise) -> Iterator[tuple[int, int, str, str]]:
        yield (*self.span(node), "pass", "statement left out")

    def _continue(self, node: ast.Continue) -> Iterator[tuple[int, int, str, str]]:
        yield (*self.span(node), "break", "continue becomes break")

    def _if(self, node: ast.If) -> Iterator[tuple[int, int, str, str]]:
        if not _is_not(node.test):
            yield (*self.span(node.test), f"not ({self.text(node.test)})", "branches swapped")

    def _ifexp(self, node: ast.IfExp) -> Iterator[tuple[int, int, str, str]]:
        parts = (self.text(node.orelse), self.text(node.test), self.text(node.body))
        yield (*self.span(node), "({} if {} else {})".format(*parts), "branches swapped")

    def _comprehension(self, node: ast.comprehension) -> Iterator[tuple[int, int, str, str]]:
        for test in node.ifs:
            yield (*self.span(test), "True", "condition left out")


def _is_not(node: ast.AST) -> bool:
    return isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not)


def _name(node: ast.AST) -> str:
    node = node.value if isinstance(node, ast.Subscript) else node
    return node.attr if isinstance(node, ast.Attribute) else node.id if isinstance(node, ast.Name) else ""


def _untried(node: ast.AST) -> bool:
    """Text for the reader or the type checker, and what `UNTRIED` names."""
    if isinstance(node, (ast.Import, ast.ImportFrom, ast.JoinedStr, ast.Assert)):
        return True  # a text with numbers in it has no true places before Python 3.12
    if isinstance(node, ast.If) and _name(node.test) == "TYPE_CHECKING":
        return True
    if isinstance(node, ast.keyword):
        return node.arg in UNTRIED
    if isinstance(node, (ast.Assign, ast.AnnAssign)):
        targets = node.targets if isinstance(node, ast.Assign) else [node.target]
        return any(_name(target) in UNTRIED for target in targets) or _is_type_alias(node)
    if isinstance(node, ast.Expr):
        call = node.value
        return isinstance(call, ast.Constant) or (isinstance(call, ast.Call) and _name(call.func) in UNTRIED)
    return isinstance(node, ast.Call) and _name(node.func) in UNTRIED


def _is_type_alias(node: ast.Assign | ast.AnnAssign) -> bool:
    """`Stamp = tuple[int, int]` and the like: names of types, made of types."""
    if not isinstance(node, ast.Assign) or not isinstance(node.value, (ast.Subscript, ast.BinOp)):
        return False
    name = _name(node.targets[0]).lstrip("_")
    return name[:1].isupper() and not name.isupper()


def _tried_children(node: ast.AST) -> Iterator[ast.AST]:
    """The parts of a node where code stands: no annotations, no decorators, no bases."""
    skipped = {"annotation", "returns", "decorator_list", "bases", "format_spec", "type_comment"}
    for field, value in ast.iter_fields(node):
        if field in skipped:
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST):
                yield child


# --- which tests are nearest


class Imports:
    """What imports what, in the package and in its tests, as dotted names (`tests.cloth.test_wax`)."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self.files = {}
        for top in (PACKAGE, "tests"):
            for file in sorted((root / top).rglob("*.py")):
                parts = file.relative_to(root).with_suffix("").parts
                self.files[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = file.relative_to(root)
        self.edges = {name: self._imported(root / file) for name, file in self.files.items()}
        for name in self.edges:
            if name.startswith("tests."):
                self.edges[name] |= self._conftests(name)

    def _conftests(self, name: str) -> set[str]:
        parents = name.split(".")[:-1]
        around = {".".join([*parents[: n + 1], "conftest"]) for n in range(len(parents))}
        return {one for one in around if one in self.files and one != name}

    def _imported(self, file: Path) -> set[str]:
        """Names of modules that a file imports at any place, through what their folders pass on by name."""
        names: set[str] = set()
        for node in ast.walk(ast.parse(file.read_bytes())):
            if isinstance(node, ast.Import):
                names |= {alias.name for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
                for alias in node.names:
                    names.add(self._home(node.module, alias.name))
        return {name for name in names if name in self.files}

    def _home(self, module: str, name: str) -> str:
        if f"{module}.{name}" in self.files:
            return f"{module}.{name}"
        file = self.files.get(module)
        if file is not None and file.name == "__init__.py":
            for listing in (self.root / file.with_suffix(".pyi"), self.root / file):
                if listing.exists():
                    for node in ast.walk(ast.parse(listing.read_bytes())):
                        if isinstance(node, ast.ImportFrom) and name in {alias.name for alias in node.names}:
                            return self._absolute(module, node)
        return module

    @staticmethod
    def _absolute(package: str, node: ast.ImportFrom) -> str:
        return f"{package}.{node.module}" if node.level else str(node.module)

    def reached_from(self, start: str) -> dict[str, int]:
        """The modules that one reaches by its imports, with the least number of steps."""
        steps, edge = {start: 0}, [start]
        while edge:
            following = []
            for name in edge:
                for imported in self.edges[name]:
                    if imported not in steps:
                        steps[imported] = steps[name] + 1
                        following.append(imported)
            edge = following
        return steps


class Nearest:
    """The test files of a tree, ordered for any module of the package by how near they stand to it."""

    def __init__(self, root: Path) -> None:
        self.imports = Imports(root)
        self.names = {file: name for name, file in self.imports.files.items()}
        tests = [name for name in self.imports.files if name.rpartition(".")[2].startswith("test_")]
        self.reach = {name: self.imports.reached_from(name) for name in tests if not self._browser(root, name)}

    def _browser(self, root: Path, name: str) -> bool:
        file = self.imports.files[name]
        return any(mark in file.name or mark in (root / file).read_text(encoding="utf-8") for mark in SKIPPED_TESTS)

    def of(self, file: Path) -> list[Path]:
        """All test files that have to do with a file of the package, the nearest first."""
        module = self.names[file]
        stem = file.stem
        room = next((rooms for rooms in ROOMS.values() if file.parts[1] in rooms), (file.parts[1],))
        ranked = []
        for test, reach in self.reach.items():
            folder, name = test.split(".")[1], test.rpartition(".")[2].removeprefix("test_")
            mirrored = folder in room and f"_{stem}_" in f"_{name}_"
            if mirrored or module in reach:
                ranked.append((not mirrored, folder not in room, reach.get(module, 99), len(reach), test))
        return [self.imports.files[test] for *_, test in sorted(ranked)]


# --- trying mutants


def _copy(root: Path, place: Path) -> None:
    """The tree as it is, with what is compiled already (a copy keeps the times by which that is known)."""
    ignore = shutil.ignore_patterns(".hypothesis", ".pytest_cache", "node_modules")
    shutil.copytree(root / PACKAGE, place / PACKAGE, ignore=ignore)
    for name in COPIED:
        if (root / name).is_dir():
            shutil.copytree(root / name, place / name, ignore=ignore)
        elif (root / name).exists():
            shutil.copy2(root / name, place / name)


# Processor time says how much work tests are, however busy the machine is. When it is used up, no further test is
# begun; a test that goes on far longer is stopped by the system itself, with all that it started.
_RUN = """
import os, sys
seconds, patience, memory = (int(given) for given in sys.argv[1:4])
try:
    import resource
    resource.setrlimit(resource.RLIMIT_CPU, (seconds + patience, seconds + patience))
    resource.setrlimit(resource.RLIMIT_DATA, (memory, memory))
except (ImportError, OSError, ValueError):
    pass
import pytest

class Budget:
    def pytest_runtest_setup(self, item):
        if sum(os.times()[:4]) > seconds:
            pytest.skip("time is used up")

status = pytest.main(sys.argv[4:], plugins=[Budget()])
sys.stdout.flush()
os._exit(status)
"""
_FAILED = re.compile(r"^(?:FAILED|ERROR) (\S+?\.py(?:::.+?)?)(?: - .*)?$", re.MULTILINE)


@dataclass(frozen=True)
class Run:
    """How a run of tests ended: pytest's exit status, None if it was stopped; the first test that failed, if any."""

    status: int | None
    failed: str | None

    @property
    def good(self) -> bool:
        return self.status in (0, 5)  # 5: no test in it


def _pytest(place: Path, tests: Sequence[str], seconds: float) -> Run:
    """Run tests in a tree until one fails or so many processor seconds are used up."""
    home = Path(tempfile.mkdtemp(prefix="home-", dir=place))
    command = [sys.executable, "-c", _RUN, str(int(seconds)), str(PATIENCE), str(MEMORY), "-x", "-q", "-rfE"]
    command += [
        "-m",
        "not full",
        "-p",
        "no:cacheprovider",
        "-p",
        "no:randomly",
        "-o",
        "addopts=--import-mode=importlib",
    ]
    command += ["--hypothesis-seed=0", *tests]
    env = {name: value for name, value in os.environ.items() if not name.startswith(("PYTEST", "NUMBA_CACHE"))}
    env |= {"HOME": str(home), "TMPDIR": str(home), "PYTHONPATH": str(place), "OMP_NUM_THREADS": "1", "COLUMNS": "400"}
    with tempfile.TemporaryFile() as said:
        process = subprocess.Popen(command, cwd=place, env=env, stdout=said, stderr=said, start_new_session=True)
        try:
            status: int | None = process.wait(timeout=20 * (seconds + PATIENCE))
        except subprocess.TimeoutExpired:
            status = None
        finally:
            with contextlib.suppress(ProcessLookupError):  # what it started and left behind
                os.killpg(process.pid, signal.SIGKILL)
            process.wait()
        said.seek(0)
        failed = _FAILED.search(said.read().decode(errors="replace"))
    return Run(None if status is not None and status < 0 else status, failed[1] if failed else None)


class Clean:
    """The tree as it is, where a test that notices a mutant must pass: one that doesn't counts for nothing."""

    def __init__(self, root: Path, tree: Path) -> None:
        self.tree = tree
        self.nearest = Nearest(root)
        self.failing: set[str] = set()
        self._passing: set[str] = set()
        self._lock = threading.Lock()

    def passes(self, test: str) -> bool:
        """Whether a test passes on the code as it is; found out once."""
        with self._lock:
            if test not in self._passing | self.failing:
                run = _pytest(self.tree, [test], 300)
                (self._passing if run.good else self.failing).add(test)
                if not run.good:
                    print(f"fails on the code as it is, and is left out: {test}", flush=True)
            return test in self._passing


def is_killed(mutant: Mutant, clean: Clean, tests: Sequence[Path], seconds: float) -> bool:
    """Whether tests notice a mutant in so many processor seconds, tried in a copy of the tree."""
    with tempfile.TemporaryDirectory(prefix="mutant-", ignore_cleanup_errors=True) as folder:
        place = Path(folder) / "tree"
        _copy(clean.tree, place)
        changed = mutant.source(place)
        (place / mutant.file).unlink()
        (place / mutant.file).write_bytes(changed)
        while True:
            run = _pytest(place, [*(f"--deselect={test}" for test in sorted(clean.failing)), *map(str, tests)], seconds)
            if run.good or run.failed is None or clean.passes(run.failed):
                return not run.good


def room_files(room: str, root: Path) -> list[Path]:
    folders = [root / PACKAGE / name for name in ROOMS.get(room, (room,))]
    return [file.relative_to(root) for folder in folders for file in sorted(folder.rglob("*.py"))]


def sample(room: str, count: int, seed: int, root: Path = ROOT, only: str = "") -> list[Mutant]:
    """Some mutants of a room, each place as likely as any other; the same for the same code, count and seed."""
    places: dict[tuple[Path, int, int], list[Mutant]] = {}
    for file in room_files(room, root):
        for mutant in sites_of(file, root) if only in str(file) else ():
            places.setdefault((mutant.file, mutant.start, mutant.end), []).append(mutant)
    choice = random.Random(f"{room} {seed}")
    drawn = []
    for mutants in choice.sample(list(places.values()), len(places)):  # parsed only as far as they are drawn
        if len(drawn) == count:
            break
        valid = [mutant for mutant in mutants if changes_code(mutant, root)]
        if valid:
            drawn.append(choice.choice(valid))
    return drawn


def try_room(room: str, mutants: Sequence[Mutant], root: Path, options: argparse.Namespace) -> float:
    """Try mutants of a room side by side, print the survivors; returns the share killed in per cent."""
    with tempfile.TemporaryDirectory(prefix="mutants-", ignore_cleanup_errors=True) as folder:
        tree = Path(folder) / "tree"
        _copy(root, tree)
        clean = Clean(root, tree)

        def tried(mutant: Mutant) -> bool:
            tests = clean.nearest.of(mutant.file)[: options.files]
            killed = bool(tests) and is_killed(mutant, clean, tests, options.seconds)
            if not killed:
                print(f"survives {mutant.diff(root)}\n    {' '.join(map(str, tests)) or '(no tests)'}", flush=True)
            elif options.verbose:
                print(f"killed   {mutant.diff(root)}", flush=True)
            return killed

        with ThreadPoolExecutor(options.workers) as workers:
            killed = sum(workers.map(tried, mutants))
    share = 100 * killed / len(mutants)
    print(f"{room}: {killed} of {len(mutants)} killed, {share:.0f} %", flush=True)
    return share


def main(arguments: Sequence[str] | None = None, root: Path = ROOT) -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("rooms", nargs="+", metavar="room", help="cloth, colour, checks, files, worktable, ...")
    parser.add_argument("--count", type=int, default=20, help="mutants a room")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=2, help="mutants tried side by side")
    parser.add_argument("--files", type=int, default=5, help="nearest test files a mutant must pass")
    parser.add_argument("--seconds", type=float, default=60, help="processor time in which they must")
    parser.add_argument("--least", type=float, default=85, help="per cent that must be killed in each room")
    parser.add_argument("--only", default="", help="only files with this in their path")
    parser.add_argument("--list", action="store_true", help="show the mutants and their nearest tests, try none")
    parser.add_argument("--verbose", action="store_true", help="show the killed ones too")
    options = parser.parse_args(arguments)
    shares = []
    for room in options.rooms:
        mutants = sample(room, options.count, options.seed, root, options.only)
        if not mutants:
            parser.error(f"nothing to change in {room!r}")
        if options.list:
            nearest = Nearest(root)
            for mutant in mutants:
                print(mutant.diff(root), *nearest.of(mutant.file)[: options.files], sep="\n      ")
        else:
            shares.append(try_room(room, mutants, root, options))
    return 0 if all(share >= options.least for share in shares) else 1


if __name__ == "__main__":
    sys.exit(main())
