"""The history beside a design, by a clock of the test's own; books read anew; files that are gone."""

from __future__ import annotations

import datetime
import os
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from batiksim import jobs
from batiksim.document import version_history
from batiksim.document.changed_books import BookWatch
from batiksim.document.cloth_list import designs_in, newest_in, small_cloth
from batiksim.document.missing_files import check_books, restore_masks
from batiksim.document.version_history import VersionHistory
from batiksim.errors import BatikError
from batiksim.files.pictures import images
from batiksim.files.toml.dyebooks import write_book
from batiksim.values import BookDye, Dye, DyeBook, MaskUse, Want

NOON = datetime.datetime(2026, 5, 20, 12, 0, 0)


class Clock(datetime.datetime):
    time = NOON

    @classmethod
    def now(cls, tz=None):
        return cls.time


@pytest.fixture
def clock(monkeypatch):
    monkeypatch.setattr(version_history.datetime, "datetime", Clock)
    Clock.time = NOON
    return Clock


@pytest.fixture
def folder(plain_design, on_disk):
    return on_disk(plain_design)


@pytest.fixture
def history(folder):
    return VersionHistory(folder / "design.toml")


def whats(history):
    return [version.what for version in history.versions()]


def keep(history, clock, ages, newest=NOON):
    """Versions of these ages in minutes, the oldest first; then one more just now."""
    for age in sorted(ages, reverse=True):
        clock.time = newest - datetime.timedelta(minutes=age)
        history.add(b"", f"{age}")
    clock.time = newest
    history.add(b"", "now")
    return [what for what in whats(history) if what != "now"]


def test_versions_come_the_newest_first_in_words(history, clock):
    assert history.versions() == []
    history.add(b"title = 1\n", "the  first\nchange")
    clock.time += datetime.timedelta(seconds=1)
    history.add(b"", "the second")
    first = history.versions()[1]
    assert whats(history) == ["the second", "the first change"]
    assert first.when == NOON
    assert first.key == "20260520T120000-000000"
    assert (history.folder / f"{first.key}.toml").read_bytes() == b"# the first change\ntitle = 1\n"
    history.remove(first)
    history.remove(first)
    assert whats(history) == ["the second"]


def test_a_clock_set_back_does_not_change_the_order(history, clock):
    history.add(b"", "first")
    clock.time -= datetime.timedelta(hours=1)
    history.add(b"", "second")
    history.add(b"", "third")
    assert whats(history) == ["third", "second", "first"]
    assert [version.key[-6:] for version in history.versions()] == ["000002", "000001", "000000"]


def test_within_two_hours_all_are_kept(history, clock):
    ages = list(range(0, 119, 2))
    assert keep(history, clock, ages) == [str(age) for age in ages]


def test_older_ones_are_thinned_to_one_in_ten_minutes(history, clock):
    """Twenty within the last minutes; of those three hours old one for each ten minutes, the newest of them."""
    recent = [0.1 * n for n in range(20)]
    kept = keep(history, clock, [*recent, 180, 182, 184, 189, 191, 199, 201])
    assert kept[20:] == ["180", "182", "191", "201"]  # 9:00, 8:58 to 8:51, 8:49 to 8:41, 8:39


def test_after_two_days_one_a_day_is_kept(history, clock):
    day = 24 * 60
    recent = [0.1 * n for n in range(20)]
    kept = keep(history, clock, [*recent, 2 * day - 1, 2 * day + 1, 2 * day + 30, 3 * day, 3 * day + 20])
    assert kept[20:] == [str(2 * day - 1), str(2 * day + 1), str(3 * day)]


def test_the_last_twenty_are_kept_whatever_their_age(history, clock):
    day = 24 * 60
    kept = keep(history, clock, [5 * day + n for n in range(19)])
    assert len(kept) == 19
    assert len(keep(history, clock, [5 * day + n for n in range(25)], NOON + datetime.timedelta(days=1))) <= 22


def test_three_hundred_are_the_most(history, clock, monkeypatch):
    monkeypatch.setattr(version_history, "MOST_VERSIONS", 5)
    assert keep(history, clock, range(9)) == ["0", "1", "2", "3"]


def test_other_files_in_the_folder_are_no_versions(history, clock):
    history.add(b"", "mine")
    for name in ("notes.toml", "20260520T120000-00000.toml", "20261320T120000-000000.toml"):
        (history.folder / name).write_text("# other\n")
    assert whats(history) == ["mine"]


def test_a_version_is_read_back_as_the_design_it_was(history, folder):
    history.add((folder / "design.toml").read_bytes(), "one")
    (version,) = history.versions()
    assert history.design(version.key).title == "Test cloth"
    assert not [path for path in folder.iterdir() if path.name.startswith(".version")]
    for key in ("20260520T120000-00000f", "../design", ""):
        with pytest.raises(BatikError, match="there is no such version"):
            history.design(key)


def test_a_version_without_words(history, clock):
    history.add(b"", "x")
    (version,) = history.versions()
    (history.folder / f"{version.key}.toml").write_text("title = 3\n")
    assert whats(history) == [""]


# Books


class Watched(SimpleNamespace):
    """What a watch asks of a document."""

    def replace_own_dyes(self, own):
        self.learnt.append(own)
        dyes = tuple(own.get(dye.name, dye) if dye.book else dye for dye in self.design.dyes)
        self.design = replace(self.design, dyes=dyes)


def book(*colours):
    entries = tuple(BookDye(name=name, colour=colour) for name, colour in colours)
    return DyeBook(name="mine.toml", title="Mine", entries=entries)


@pytest.fixture
def document(build, tmp_path):
    """A cloth of a plain dye and one of a book beside it."""
    written = book(("rust", "#aa5533"))
    write_book(written, tmp_path / "mine.toml")
    dyes = (Dye(name="sun", colour="#f0d92e"), written.entries[0].dye("mine.toml"))
    autosave = SimpleNamespace(folder=tmp_path, elsewhere=False)
    return Watched(number=1, sample=False, autosave=autosave, design=build.design(dyes=dyes, pots=()), learnt=[])


def test_a_book_that_has_changed_is_read_anew(document, tmp_path):
    watch = BookWatch()
    assert watch.reread(document) == []
    assert watch.reread(document) == []
    assert document.learnt == []
    write_book(book(("rust", "#bb6644"), ("moss", "#557733")), tmp_path / "mine.toml")
    assert watch.reread(document) == ["rust"]
    assert sorted(document.learnt[0]) == ["moss", "rust"]
    assert document.learnt[0]["rust"].book == "mine.toml"
    assert watch.reread(document) == []
    assert len(document.learnt) == 1


def test_a_change_that_touches_no_dye_of_the_cloth_is_not_told(document, tmp_path):
    watch = BookWatch()
    watch.reread(document)
    write_book(book(("rust", "#aa5533"), ("moss", "#557733")), tmp_path / "mine.toml")
    assert watch.reread(document) == []
    assert len(document.learnt) == 1


def test_a_book_that_can_not_be_read_just_now_is_tried_again(document, tmp_path):
    watch = BookWatch()
    watch.reread(document)
    file = tmp_path / "mine.toml"
    whole = file.read_text()
    file.write_text(whole.replace("format", "form at"))
    assert watch.reread(document) == []
    file.write_text(whole.replace("#aa5533", "#bb6644"))
    assert watch.reread(document) == ["rust"]
    file.unlink()
    assert watch.reread(document) == []


def test_a_book_of_the_same_size_and_another_time_is_read(document, tmp_path):
    watch = BookWatch()
    watch.reread(document)
    file = tmp_path / "mine.toml"
    file.write_text(file.read_text().replace("#aa5533", "#ab5533"))
    os.utime(file, ns=(1, file.stat().st_mtime_ns + 5))
    assert watch.reread(document) == ["rust"]


def test_another_cloth_is_looked_at_from_the_start(document, tmp_path):
    watch = BookWatch()
    watch.reread(document)
    write_book(book(("rust", "#bb6644")), tmp_path / "mine.toml")
    document.number = 2
    assert watch.reread(document) == []  # it was read just now
    assert document.learnt == []


@pytest.mark.parametrize("where", ["sample", "elsewhere"])
def test_what_is_not_the_makers_to_change_is_not_watched(document, tmp_path, where):
    watch = BookWatch()
    watch.reread(document)
    write_book(book(("rust", "#bb6644")), tmp_path / "mine.toml")
    setattr(document if where == "sample" else document.autosave, where, True)
    assert watch.reread(document) == []
    assert document.learnt == []


# Files that are gone


def test_masks_that_are_gone_are_written_again(folder, plain_design):
    before = jobs.open_design(folder)
    uses = list(dict.fromkeys(use for _, use in plain_design.mask_uses()))
    held = dict(zip(uses, before.masks, strict=True))
    names = sorted(path.name for path in folder.iterdir())
    (folder / "lines.png").unlink()
    kept = (folder / "petals.png").read_bytes()
    restore_masks(plain_design, folder, held.get)
    assert sorted(path.name for path in folder.iterdir()) == names
    assert (jobs.open_design(folder).masks == before.masks).all()
    assert (folder / "petals.png").read_bytes() == kept


@pytest.mark.parametrize("marks", ["light", "dark"])
def test_marks_are_read_back_as_they_were(build, tmp_path, marks):
    use = MaskUse(picture="a.png", marks=marks)
    mask = build.soft(1)[0]
    restore_masks(build.design(build.wax("x"), wants=()), tmp_path, lambda _: mask)
    planned = replace(build.design(build.wax("x")), steps=(replace(build.wax("x"), mask=use),))
    restore_masks(planned, tmp_path, lambda _: mask)
    grey = images.read_picture(tmp_path / "a.png").grey
    assert (grey == (mask if marks == "light" else 255 - mask)).all()


def test_a_mask_that_nobody_holds_is_told(folder, plain_design):
    (folder / "lines.png").unlink()
    with pytest.raises(BatikError, match=r"the picture “lines\.png” is gone from .*put it back there"):
        restore_masks(plain_design, folder, lambda use: None)
    assert not (folder / "lines.png").exists()


@pytest.mark.parametrize("picture", ["a.jpg", "/nowhere/a.png", "../a.png"])
def test_only_pictures_inside_the_folder_are_written(build, tmp_path, picture):
    planned = build.design(replace(build.wax("x"), mask=MaskUse(picture=picture)))
    with pytest.raises(BatikError, match="is gone from"):
        restore_masks(planned, tmp_path, lambda _: build.soft(1)[0])
    assert list(tmp_path.iterdir()) == []


def test_pictures_of_wants_are_looked_for_too(build, tmp_path):
    want = Want(colour="#aa5533", where=MaskUse(picture="deep/want.png"), name="leaves")
    planned = build.design(wants=(want,))
    with pytest.raises(BatikError, match=r"deep/want\.png"):
        restore_masks(planned, tmp_path, lambda _: None)
    restore_masks(planned, tmp_path, lambda _: build.soft(1)[0])
    assert (tmp_path / "deep" / "want.png").exists()


def test_books_and_spectra_that_are_gone_are_told(build, tmp_path):
    samples = tuple((nm, 0.5) for nm in range(400, 701, 10))
    blue = Dye(name="blue", spectrum="blue.csv", samples=samples)
    rust = replace(Dye(name="rust", colour="#aa5533"), book="mine.toml")
    lemon = replace(Dye(name="lemon", colour="#ffee00"), book="demo")
    check_books(build.design(dyes=(lemon,), pots=()), tmp_path)
    for dye, name in ((blue, "reflectance file “blue.csv”"), (rust, "dye book “mine.toml”")):
        planned = build.design(dyes=(lemon, dye), pots=())
        with pytest.raises(BatikError, match=f"the {name} is gone"):
            check_books(planned, tmp_path)
        (tmp_path / (dye.spectrum or dye.book)).write_text("")
        check_books(planned, tmp_path)


# The cloths of a folder


def test_cloths_are_listed_by_name_and_the_newest_first(build, on_disk, tmp_path):
    for place, name in enumerate(("b", "a", "c")):
        folder = on_disk(build.design(build.wax("lines"), title=name.upper()), name=name)
        os.utime(folder / "design.toml", (1000 + place, 1000 + place))
    (tmp_path / "d").mkdir()
    (tmp_path / "d" / "design.toml").write_text("nonsense")
    os.utime(tmp_path / "d" / "design.toml", (1, 1))
    assert [folder.name for folder in newest_in(tmp_path)] == ["c", "a", "b", "d"]
    assert designs_in(tmp_path) == [{"name": name, "title": name.upper()} for name in "abc"]
    assert [one["name"] for one in designs_in(tmp_path, but=tmp_path / "b" / "design.toml")] == ["a", "c"]


def test_a_small_picture_of_a_cloth(folder):
    small = small_cloth(folder)
    assert small.shape == (30, 40, 4)
    assert (small[..., 3] == 255).all()
    assert len(np.unique(small.reshape(-1, 4), axis=0)) > 3
    assert small_cloth(None).shape[1] == 200
