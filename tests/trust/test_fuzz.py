"""Every input that ever broke something, and a short run of fuzzing; `python tests/trust/fuzz.py` runs for longer.

The only outcomes are a value or one BatikError, without hanging and within bounds of memory.
"""

from __future__ import annotations

import contextlib
import os
import random
import resource
import subprocess
import sys
import warnings
from pathlib import Path

import pytest

from batiksim.errors import BatikError
from tests.trust.fuzz import Count
from tests.trust.mutating import mended_png, mutated
from tests.trust.readers import FAMILIES
from tests.trust.work import no_hang

KEPT = Path(__file__).parent / "kept"
INPUTS = int(os.environ.get("BATIKSIM_FUZZ_INPUTS", "60"))  # for each family
MOST_MB = 200  # how much the process may grow while a family is tried


@pytest.fixture
def reading(tmp_path):
    """reading(family) : its reader; closed at the end."""
    with contextlib.ExitStack() as ends:

        def open_(name: str):
            read = FAMILIES[name].open_(tmp_path)
            if hasattr(read, "close"):
                ends.callback(read.close)
            return read

        yield open_


@pytest.mark.parametrize("kept", sorted(KEPT.glob("*/*")), ids=lambda path: f"{path.parent.name} {path.name}")
def test_what_once_broke_something_is_told_in_words(reading, kept) -> None:
    read = reading(kept.parent.name)
    try:
        with no_hang(), warnings.catch_warnings():
            warnings.simplefilter("error")
            found = read(kept.read_bytes())
    except BatikError as error:
        told = str(error)
        assert str(error.problem)  # noqa: PT017
        assert "\n" not in told
    else:
        assert kept.parent.name in ("request", "picture")
        assert kept.parent.name == "picture" or 400 <= found < 500


@pytest.mark.parametrize("name", FAMILIES)
def test_good_inputs_are_read(reading, name) -> None:
    """What fuzzing starts from: without it, it would only ever try the first line of defence."""
    read, found = reading(name), []
    for one in FAMILIES[name].seeds():
        with contextlib.suppress(BatikError):
            found.append(read(one))
    assert len(found) >= len(FAMILIES[name].seeds()) - 1
    assert name != "request" or found.count(200) > 30


@pytest.mark.parametrize("name", FAMILIES)
def test_changed_inputs_give_a_value_or_one_message(reading, name) -> None:
    family, read = FAMILIES[name], reading(name)
    chance, seeds, words = random.Random(2026), family.seeds(), family.words
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for _ in range(INPUTS):
            data = mended_png(mutated(chance.choice(seeds), chance, words, family.most))
            try:
                with no_hang():
                    read(data)
            except BatikError as error:
                assert str(error.problem)  # noqa: PT017
            except Exception as error:
                error.add_note(f"the input, to keep in tests/trust/kept/{name}: {data!r}")
                raise
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < MOST_MB * 1024


@pytest.mark.full
def test_the_longer_run_is_one_command(tmp_path) -> None:
    """Two seconds of it."""
    done = subprocess.run(
        [sys.executable, Path(__file__).with_name("fuzz.py"), "--minutes", "0.03", "--keep", tmp_path, "prices"],
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    row = done.stdout.strip().splitlines()[-1].split()
    assert row[0] == "prices"
    assert int(row[1]) > 0


def test_what_goes_wrong_in_one_way_is_kept_once(tmp_path) -> None:
    count = Count(tmp_path / "counts.json", tmp_path / "kept")
    for number in (1, 2):
        with pytest.raises(ZeroDivisionError) as caught:
            number / 0
        count.failed(b"input %d" % number, caught.value)
    (kept,) = (tmp_path / "kept").iterdir()
    assert kept.read_bytes() == b"input 1"
    assert kept.name in (tmp_path / "counts.json").read_text()
