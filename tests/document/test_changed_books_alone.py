"""Dye books that are changed elsewhere, with a stand-in for the document."""

from __future__ import annotations

import os
from dataclasses import replace
from types import SimpleNamespace

import pytest

from batiksim.document.own_dyes import BookWatch
from batiksim.files.toml.dyebooks import write_book
from batiksim.values import BookDye, Dye, DyeBook


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
