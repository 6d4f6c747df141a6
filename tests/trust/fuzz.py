"""Fuzzing of every reader. Usage: python tests/trust/fuzz.py [--minutes 10] [--plain] [family ...]

Each family of inputs is fuzzed for so many minutes in a process of its own, led by coverage (atheris; without it, or
with --plain, by chance alone). An input may end in a value or in one BatikError, within the limits below. Whatever else
happens is told and kept in the folder given with --keep. A table of counts closes the run.
"""

from __future__ import annotations

import argparse
import contextlib
import hashlib
import json
import random
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import traceback
import warnings
from pathlib import Path
from types import FrameType, TracebackType
from typing import Any

ROOT = Path(__file__).resolve().parent.parent.parent
sys.path.insert(0, str(ROOT))

MOST_S = 5.0  # of one input, processor time
MOST_MB = 2_000  # of the whole process
LED = ["batiksim.files", "batiksim.worktable", "batiksim.values", "batiksim.errors", "tomllib", "csv", "PIL", "json"]
LOST = 20  # processes that ended by themselves before a family is given up


class TooSlow(BaseException):
    """An input took longer than it may."""


class Count:
    """What came of the inputs so far; kept in a file, as the process may end at any time."""

    def __init__(self, file: Path, keep: Path) -> None:
        self.file, self.keep = file, keep
        self.tried = self.values = self.refused = 0
        self.slowest = 0.0
        self.found: dict[str, str] = {}
        self.base_mb = most_mb()

    def failed(self, data: bytes, error: BaseException) -> None:
        """Tell and keep an input the first time that something goes wrong in this way."""
        way = f"{type(error).__name__} {_place(error.__traceback__)}"
        if way in self.found:
            return
        name = f"{'slow' if isinstance(error, TooSlow) else 'crash'}-{hashlib.sha256(data).hexdigest()[:10]}"
        self.keep.mkdir(parents=True, exist_ok=True)
        (self.keep / name).write_bytes(data)
        self.found[way] = name
        text = "".join(traceback.format_exception(error)[-6:])
        print(f"{name}: {way}\n{text}\n{data[:300]!r}\n", flush=True)
        self.save()

    def save(self) -> None:
        """Write the counts."""
        self.file.write_text(
            json.dumps(
                {
                    "tried": self.tried,
                    "values": self.values,
                    "refused": self.refused,
                    "slowest_s": round(self.slowest, 2),
                    "most_mb": round(most_mb()),
                    "grown_mb": round(most_mb() - self.base_mb),
                    "found": self.found,
                }
            )  # fmt: skip
        )


def most_mb() -> float:
    """The largest memory that this process has had."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def _place(trace: TracebackType | None) -> str:
    """The innermost line of batiksim that an error came through."""
    frames = [one for one in traceback.extract_tb(trace) if "/batiksim/" in one.filename or "/trust/" in one.filename]
    return f"{Path(frames[-1].filename).name}:{frames[-1].lineno}" if frames else "?"


def child(name: str, seconds: float, keep: Path, *, plain: bool, seed: int) -> None:
    """Fuzz one family; the process ends here."""
    warnings.simplefilter("ignore")
    atheris: Any = None
    if not plain:
        import atheris  # type: ignore[no-redef]

        with atheris.instrument_imports(include=LED):  # not the compiled engine, which can't be compiled then
            import batiksim.files.toml.strips
            import batiksim.worktable.server  # noqa: F401
    from batiksim.errors import BatikError
    from tests.trust.mutating import mended_png, mutated
    from tests.trust.readers import FAMILIES

    family = FAMILIES[name]
    folder = Path(tempfile.mkdtemp(prefix="batiksim-fuzz-", dir="/dev/shm" if Path("/dev/shm").is_dir() else None))
    read, words, seeds = family.open_(folder), family.words, family.seeds()
    for one in seeds:
        with contextlib.suppress(BatikError):
            read(one)
    count = Count(keep / f"{name}.json", keep / name)
    end = time.monotonic() + seconds

    def slow(number: int, frame: FrameType | None) -> None:
        raise TooSlow

    signal.signal(signal.SIGPROF, slow)

    def one_input(data: bytes) -> None:
        count.tried += 1
        began = time.process_time()
        signal.setitimer(signal.ITIMER_PROF, MOST_S)
        try:
            read(data)
            count.values += 1
        except BatikError as error:
            count.refused += 1
            if not str(error.problem):
                count.failed(data, error)
        except (Exception, TooSlow) as error:
            signal.setitimer(signal.ITIMER_PROF, 0)
            count.failed(data, error)
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0)
        count.slowest = max(count.slowest, time.process_time() - began)
        if count.tried % 500 == 0:
            count.save()

    if plain:
        chance = random.Random(seed)
        while time.monotonic() < end:
            one_input(mended_png(mutated(chance.choice(seeds), chance, words, family.most)))
        count.save()
        return

    def changed(data: bytes, most: int, seed: int) -> bytes:
        chance = random.Random(seed)
        if chance.random() < 0.4:  # from a good input: what is new in a broken one is seldom worth the most
            data = chance.choice(seeds)
        if chance.random() < 0.3:
            made: bytes = atheris.Mutate(data, most)
        else:
            made = mutated(data, chance, words, most)
        return mended_png(made)[:most] if chance.random() < 0.9 else made[:most]

    corpus = keep / f"{name}-corpus"
    corpus.mkdir(parents=True, exist_ok=True)
    for one in seeds:
        (corpus / hashlib.sha256(one).hexdigest()[:12]).write_bytes(one)
    options = [f"-max_total_time={max(1, round(seconds))}", f"-rss_limit_mb={MOST_MB}", "-timeout=60", "-verbosity=0"]
    options += [f"-max_len={family.most}", f"-artifact_prefix={keep / name}-", f"-seed={seed}", "-len_control=0"]
    atheris.Setup([sys.argv[0], str(corpus), *options], one_input, custom_mutator=changed)
    atheris.Fuzz()


def family_run(name: str, minutes: float, keep: Path, *, plain: bool) -> dict[str, Any]:
    """Fuzz one family in processes of its own until the time is over; returns the counts of all of them."""
    end = time.monotonic() + 60 * minutes
    total: dict[str, Any] = {"tried": 0, "values": 0, "refused": 0, "slowest_s": 0, "most_mb": 0, "grown_mb": 0}
    found: dict[str, str] = {}
    lost = 0
    while (left := end - time.monotonic()) > 1 and lost <= LOST:
        (keep / f"{name}.json").unlink(missing_ok=True)
        command = [sys.executable, __file__, "--child", name, "--minutes", str(left / 60), "--keep", str(keep)]
        done = subprocess.run([*command, "--seed", str(lost + 1)] + ["--plain"] * plain, cwd=ROOT, check=False)
        counts = json.loads(file.read_text()) if (file := keep / f"{name}.json").exists() else {}
        found |= counts.pop("found", {})
        for key, value in counts.items():
            total[key] = total[key] + value if key in ("tried", "values", "refused") else max(total[key], value)
        lost += bool(done.returncode) or not counts
    return total | {"ended": lost, "found": found}


def main() -> int:
    """Fuzz the families asked for, or all of them; 1 when anything was found."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("families", nargs="*")
    parser.add_argument("--minutes", type=float, default=10, help="for each family")
    parser.add_argument("--keep", type=Path, default=Path(tempfile.gettempdir()) / "batiksim-fuzz")
    parser.add_argument("--plain", action="store_true", help="by chance alone, without atheris")
    parser.add_argument("--child", help=argparse.SUPPRESS)
    parser.add_argument("--seed", type=int, default=1, help=argparse.SUPPRESS)
    asked = parser.parse_args()
    asked.keep.mkdir(parents=True, exist_ok=True)
    if asked.child:
        child(asked.child, 60 * asked.minutes, asked.keep, plain=asked.plain, seed=asked.seed)
        return 0
    from tests.trust.readers import FAMILIES

    unknown = [name for name in asked.families if name not in FAMILIES]
    if unknown:
        parser.error(f"no such family: {', '.join(unknown)}; there are: {', '.join(FAMILIES)}")
    plain = asked.plain or not _has_atheris()
    rows = {}
    for name in asked.families or FAMILIES:
        rows[name] = family_run(name, asked.minutes, asked.keep, plain=plain)
        print(name, json.dumps(rows[name]), flush=True)
        shutil.rmtree(asked.keep / f"{name}-corpus", ignore_errors=True)
    print(f"\n{'led by chance alone' if plain else 'led by coverage'}; limits {MOST_S:g} s and {MOST_MB} MB")
    print(
        f"{'family':<10}{'inputs':>10}{'values':>10}{'refused':>10}{'found':>7}{'ended':>7}{'slowest s':>11}{'MB':>7}"
    )
    for name, row in rows.items():
        cells = (row["tried"], row["values"], row["refused"], len(row["found"]), row["ended"], row["slowest_s"])
        print(f"{name:<10}" + "".join(f"{c:>{w}}" for c, w in zip(cells, (10, 10, 10, 7, 7, 11), strict=True)), end="")
        print(f"{row['most_mb']:>7}")
    return int(any(row["found"] or row["ended"] for row in rows.values()))


def _has_atheris() -> bool:
    try:
        import atheris  # noqa: F401
    except ImportError:
        return False
    return True


if __name__ == "__main__":
    sys.exit(main())
