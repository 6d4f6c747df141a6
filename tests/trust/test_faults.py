"""Whatever happens while a file is written: the old outputs are there whole, or the new ones are."""

from __future__ import annotations

import contextlib
import datetime
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import batiksim
from batiksim import jobs
from batiksim.document import autosave, version_history
from batiksim.document.autosave import Autosave
from batiksim.document.frames.mask_cache import MaskCache
from batiksim.errors import BatikError
from batiksim.files import outputs
from batiksim.files.toml.designs import read_design, write_design
from batiksim.files.toml.dyebooks import backup_of, read_book, save_dyes
from batiksim.jobs import handouts, previews
from batiksim.texts.catalogue import say
from batiksim.values import MADE_BY, BookDye
from tests.trust.faults_disk import Disk, PowerCut

ROOT = Path(batiksim.__file__).resolve().parent.parent
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(ROOT)}
linux = pytest.mark.skipif(sys.platform != "linux", reason="watches the disk through /proc")
Act = Callable[[Path], object]


def seen(folder: Path) -> dict[str, bytes]:
    """What a maker sees in a folder: its files without the hidden ones, and without the book's backup."""
    files = [path for path in folder.rglob("*") if path.is_file()]
    inside = {str(path.relative_to(folder)): path for path in files if path.suffix != ".bak"}
    return {name: path.read_bytes() for name, path in inside.items() if not any(p[0] == "." for p in Path(name).parts)}


def every_moment(
    tmp_path: Path, old: Act, new: Act, whole: Callable[[Path, bool], None], *, full: bool, told=(BatikError,)
) -> int:
    """Let the disk fail at every moment of `new` in a folder where `old` was done; `whole` looks at what is left.

    told : the only errors that may come of it
    """
    start = tmp_path / "start"
    start.mkdir()
    old(start)
    room = tmp_path / "room"
    shutil.copytree(start, room)
    with Disk(room) as disk:
        new(room)
    assert disk.written_openly == []
    for moment in range(len(disk.moments)):
        shutil.rmtree(room)
        shutil.copytree(start, room)
        with Disk(room, at=moment, full=full), contextlib.suppress(*told):
            new(room)
        outputs.finish_outputs(room)
        whole(room, full)
    return len(disk.moments)


def one_of(tmp_path: Path, old: Act, new: Act) -> Callable[[Path, bool], None]:
    """Looks whether a folder shows all of the old outputs or all of the new."""
    for name, act in (("old", old), ("new", new)):
        (tmp_path / name).mkdir()
        if act is new:
            old(tmp_path / name)
        act(tmp_path / name)
    wanted = [seen(tmp_path / name) for name in ("old", "new")]
    assert wanted[0] != wanted[1]

    def whole(room: Path, full: bool) -> None:
        assert seen(room) in wanted
        if full:  # there was room to clean up
            assert not [path.name for path in room.rglob(".*")]

    return whole


@pytest.fixture
def shorter(build, on_disk):
    return on_disk(build.design(build.wax("lines"), build.dye("sea")), name="shorter")


@pytest.fixture(params=[False, True], ids=["power cut", "full disk"])
def full(request):
    return request.param


@pytest.mark.full
@linux
def test_a_preview(folder, shorter, tmp_path, monkeypatch, full):
    monkeypatch.setattr(previews, "stages_sheet", lambda sheet: sheet.stages[-1].picture[:9].copy())

    def old(room):
        jobs.save_preview(folder, room)

    def new(room):
        jobs.save_preview(shorter, room)

    assert every_moment(tmp_path, old, new, one_of(tmp_path, old, new), full=full) > 15


@linux
def test_a_dye_book(tmp_path, full):
    sea, sun = BookDye(name="sea", colour="#1aa7b8"), BookDye(name="sun", colour="#f0d92e")

    def old(room):
        save_dyes(room / "book.toml", [sea])

    def new(room):
        save_dyes(room / "book.toml", [replace(sea, colour="#1d2b53"), sun], overwrite=True)

    either = one_of(tmp_path, old, new)

    def whole(room, full):
        either(room, full)
        backup = backup_of(room / "book.toml")
        if backup.exists():
            assert [dye.name for dye in read_book(backup).dyes] == ["sea"]

    assert every_moment(tmp_path, old, new, whole, full=full) >= 4


@linux
@pytest.mark.parametrize("save", [jobs.handout, jobs.risk])
def test_a_handout(folder, tmp_path, monkeypatch, full, save):
    content = [b""]
    for made in ("handout_pdf", "risk_pdf"):
        monkeypatch.setattr(handouts, made, lambda *given, **keys: content[0])

    def writing(what):
        def act(room):
            content[0] = what * 20_000 + MADE_BY.encode()
            save(folder, room / "paper.pdf")

        return act

    old, new = writing(b"old"), writing(b"newer")
    assert every_moment(tmp_path, old, new, one_of(tmp_path, old, new), full=full) >= 3


@linux
def test_the_worktable(build, folder, tmp_path, full):
    """A saved design always names pictures that are whole, and every version in the history can be opened."""
    first = read_design(folder)
    drawn = build.soft(1, seed=5)[0]
    shelf = MaskCache(lambda use: drawn)
    use = shelf.put_new("lines", drawn)
    changed = replace(first, title="Changed", steps=(replace(first.steps[0], mask=use), *first.steps[1:]))

    def old(room):
        shutil.copytree(folder, room, dirs_exist_ok=True)

    def new(room):
        keeper = Autosave(room / "design.toml", _with_new(drawn), on_saved=lambda *told: None)
        try:
            keeper._save(changed, say("document.change.stroke"), merged=False)
        finally:
            keeper.close()

    def _with_new(mask):
        again = MaskCache(lambda use: mask)
        again.put_new("lines", mask)
        return again

    def whole(room, full):
        found = jobs.open_design(room)
        assert found.design in (first, changed)
        if found.design == changed:
            assert np.array_equal(found.masks[0], drawn)
        keeper = Autosave(room / "design.toml", shelf, on_saved=lambda *told: None)
        versions = [keeper.history.design(one.key) for one in keeper.history.versions()]
        assert all(one in (first, changed) for one in versions)
        if found.design == changed:
            assert first in versions
        keeper.close()

    assert every_moment(tmp_path, old, new, whole, full=full, told=(BatikError, OSError)) >= 8


@linux
def test_the_disk_of_these_tests_does_break_files(tmp_path):
    """A plain write is found out, and a power cut leaves half of it."""
    with Disk(tmp_path) as disk:
        (tmp_path / "a.txt").write_text("all of it")
    assert disk.written_openly == ["a.txt"]
    with Disk(tmp_path, at=1):
        (tmp_path / "b.txt").write_text("all of it")
        (tmp_path / "c.txt").write_text("never")
    assert (tmp_path / "b.txt").read_text() == "all "
    assert not (tmp_path / "c.txt").exists()
    with pytest.raises(OSError, match="No space"), Disk(tmp_path, at=0, full=True):
        (tmp_path / "d.txt").write_text("never")
    with pytest.raises(PowerCut):
        raise PowerCut


# Two at once, and killed for good


def child(code: str, *words: object, **keys: object) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-c", code, *map(str, words)], env=ENVIRONMENT, stderr=subprocess.PIPE, **keys
    )


WRITES = """
import sys
from pathlib import Path
from batiksim.files.outputs import output_set
from batiksim.values import MADE_BY
letter, names, out, times = sys.argv[1], sys.argv[2].split(","), sys.argv[3], int(sys.argv[4])
for turn in range(times):
    with output_set(out, replaces=("a", "b", "c", "d", "e")) as stage:
        for name in names:
            (stage / name).write_text(letter * 1000 + MADE_BY)
    print(turn, flush=True)
"""
SETS = {"x": "a,b,c", "y": "b,c,d,e"}


def is_one_set(out: Path) -> bool:
    found = {name: content[:1].decode() for name, content in seen(out).items()}
    return any(found == dict.fromkeys(names.split(","), letter) for letter, names in SETS.items())


@pytest.mark.full
def test_two_commands_write_into_one_folder(tmp_path):
    out = tmp_path / "out"
    both = [child(WRITES, letter, names, out, 60, stdout=subprocess.DEVNULL) for letter, names in SETS.items()]
    for one in both:
        assert one.communicate(timeout=60)[1] == b""
        assert one.returncode == 0
    assert is_one_set(out)
    assert not list(out.glob(".*"))


@pytest.mark.skipif(os.name == "nt", reason="there is no such signal")
@pytest.mark.parametrize("sets", [1, 2, 7])
def test_killed_while_writing(tmp_path, sets):
    """Both write set after set; once each has written some they are killed, wherever they are in the next one."""
    out = tmp_path / "out"
    with outputs.output_set(out) as stage:
        for name in SETS["x"].split(","):
            (stage / name).write_text("x" * 1000 + MADE_BY)
    both = [child(WRITES, letter, names, out, 100_000, stdout=subprocess.PIPE) for letter, names in SETS.items()]
    for one in both:
        assert [int(one.stdout.readline()) for _ in range(sets)] == list(range(sets))
    for one in both:
        os.kill(one.pid, signal.SIGKILL)
        one.communicate(timeout=30)
    outputs.finish_outputs(out)
    assert is_one_set(out)


LEARNS = """
import sys
from batiksim.files.toml.dyebooks import save_dyes
from batiksim.values import BookDye
for number in range(12):
    save_dyes(sys.argv[2], [BookDye(name=f"{sys.argv[1]} {number}", colour="#1aa7b8")])
"""


@pytest.mark.skipif(os.name == "nt", reason="folders can't be locked there")
def test_two_calibrations_into_one_book_lose_no_dye(tmp_path):
    book = tmp_path / "book.toml"
    for one in [child(LEARNS, name, book) for name in ("left", "right")]:
        assert one.communicate(timeout=60)[1] == b""
    assert len(read_book(book).dyes) == 24


# What stands in the way


@pytest.mark.parametrize("name", ["cloth.png", "plate-02.png"])
def test_a_folder_where_a_picture_goes(folder, tmp_path, name):
    out = tmp_path / "out"
    (out / name).mkdir(parents=True)
    (out / name / "mine.txt").write_text("mine")
    before = seen(out)
    with pytest.raises(BatikError, match="is a folder, but this command writes"):
        jobs.save_preview(folder, out)
    assert seen(out) == before
    assert not list(out.glob(".*"))


def test_files_in_folders_of_an_output_set_join_those_there(tmp_path):
    (tmp_path / "masks").mkdir()
    (tmp_path / "masks" / "mine.png").write_text("mine")
    with outputs.output_set(tmp_path) as stage:
        (stage / "masks" / "deep").mkdir(parents=True)
        (stage / "masks" / "new.png").write_text("new")
        (stage / "masks" / "deep" / "too.png").write_text("too")
    assert set(seen(tmp_path)) == {"masks/mine.png", "masks/new.png", "masks/deep/too.png"}
    with pytest.raises(BatikError, match="is a file, but"), outputs.output_set(tmp_path) as stage:
        (stage / "masks" / "mine.png").mkdir(parents=True)
    assert (tmp_path / "masks" / "mine.png").read_text() == "mine"


def test_the_output_folder_vanishes_meanwhile(folder, tmp_path):
    out = tmp_path / "out"

    def progress(done, whole, what):
        if what.key == "jobs.progress.plates":
            shutil.rmtree(out, ignore_errors=True)

    with pytest.raises(BatikError, match=r"can't be written"):
        jobs.save_preview(folder, out, progress=progress)
    assert not out.exists()


def test_a_mask_vanishes_meanwhile(folder, tmp_path):
    def progress(done, whole, what):
        for path in folder.glob("*.png"):
            path.unlink(missing_ok=True)  # two threads tell of progress

    with contextlib.suppress(BatikError):
        jobs.save_preview(folder, tmp_path / "out", progress=progress)
    assert not (tmp_path / "out").exists() or (tmp_path / "out" / "report.json").exists()
    with pytest.raises(BatikError, match="no such picture|is not there"):
        jobs.save_preview(folder, tmp_path / "again")
    assert not (tmp_path / "again").exists()


# The clock


def keeper_of(folder: Path, told: list[object]) -> Autosave:
    shelf = MaskCache(lambda use: np.zeros((3, 4), np.uint8))
    return Autosave(folder / "design.toml", shelf, on_saved=lambda *what: told.append(what))


class Clock(datetime.datetime):
    """A clock that says what it is set to."""

    times: list[datetime.datetime] = []

    @classmethod
    def now(cls, tz=None):
        return cls.times[0]


def test_a_clock_set_back_leaves_the_versions_in_their_order(folder, monkeypatch):
    """An hour each autumn; a year when it was wrong. No version is lost for it, and the newest stands first."""
    design = read_design(folder)
    keeper = keeper_of(folder, [])
    noon = datetime.datetime(2026, 10, 25, 2, 30)
    monkeypatch.setattr(version_history.datetime, "datetime", Clock)
    for number, hours in enumerate([0, 0, -1, -1, 9000, 1, 1]):
        Clock.times = [noon + datetime.timedelta(hours=hours)]
        keeper._save(replace(design, title=f"No. {number}"), f"change {number}", merged=False)
    told = [one.what for one in keeper.history.versions()]
    keeper.close()
    assert told[:7] == [f"change {number}" for number in (6, 5, 4, 3, 2, 1, 0)]


def test_files_of_strange_names_in_the_history_are_left_alone(folder):
    told = []
    keeper = Autosave(
        folder / "design.toml", MaskCache(lambda use: np.zeros((3, 4), np.uint8)), on_saved=lambda *t: told.append(t)
    )
    shed = folder / "history" / "design"
    shed.mkdir(parents=True)
    for name in ("99999999T999999-000000", "20260101T000000-zzzzzz", "notes", "20260101T000000-000000 (copy)"):
        (shed / f"{name}.toml").write_text("mine")
    keeper.save_soon(1, replace(read_design(folder), title="Changed"), say("document.change.set_title"))
    keeper.close()
    assert told == [(1, None)]
    assert len(keeper.history.versions()) == 1
    assert len(list(shed.iterdir())) == 5


def test_the_keeper_goes_on_after_any_mishap(folder, monkeypatch):
    told = []
    keeper = Autosave(
        folder / "design.toml", MaskCache(lambda use: np.zeros((3, 4), np.uint8)), on_saved=lambda *t: told.append(t)
    )
    design = read_design(folder)
    usual = write_design
    monkeypatch.setattr(autosave.designs, "write_design", lambda *given: 1 / 0)
    keeper.save_soon(1, replace(design, title="Lost"), say("document.change.set_title"))
    keeper.flush()
    monkeypatch.setattr(autosave.designs, "write_design", usual)
    keeper.save_soon(2, replace(design, title="Kept"), say("document.change.set_title"))
    keeper.close()
    assert "couldn't be saved" in str(told[0][1])
    assert told[1] == (2, None)
    assert read_design(folder).title == "Kept"
