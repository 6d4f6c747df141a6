"""Dye books beside a document: changes on disk are noticed, wherever in its folder the book lies."""

from __future__ import annotations

import os

import pytest

from batiksim.document.document import Document
from batiksim.document.own_dyes import BookWatch
from tests.document.conftest import write_ink


@pytest.fixture
def watched(book, folder):
    opened, watch = Document.open(folder), BookWatch()
    assert watch.reread(opened) == []
    yield opened, watch
    opened.close()


def test_a_book_that_stays_as_it_is_changes_nothing(watched) -> None:
    document, watch = watched
    before = document.design
    assert watch.reread(document) == []
    assert (document.design, document.revision) == (before, 0)


def test_a_book_changed_on_disk_is_noticed_once(watched, book, folder) -> None:
    document, watch = watched
    write_ink(folder, book, "#553c2a", tick=2000)
    assert watch.reread(document) == ["ink"]
    assert document.design.dyes[1].colour == "#553c2a"
    assert document.revision == 1
    assert watch.reread(document) == []


def test_designs_to_be_gone_back_to_have_the_new_dye_as_well(watched, book, folder) -> None:
    document, watch = watched
    document.set_aside = document.design
    document.change([{"do": "set_title", "title": "Other"}])
    write_ink(folder, book, "#553c2a", tick=2000)
    watch.reread(document)
    assert document.set_aside.dyes[1].colour == "#553c2a"
    assert document.undo().dyes[1].colour == "#553c2a"


def test_a_book_that_is_being_written_is_read_the_next_time(watched, book, folder) -> None:
    document, watch = watched
    (folder / book).write_text("title = ", encoding="utf-8")
    os.utime(folder / book, (2000, 2000))
    assert watch.reread(document) == []
    write_ink(folder, book, "#553c2a", tick=2000)
    assert watch.reread(document) == ["ink"]
    (folder / book).unlink()
    assert watch.reread(document) == []
    assert document.design.dyes[1].colour == "#553c2a"


def test_a_book_changed_while_another_cloth_lay_there_is_as_it_was_opened(watched, folder, tmp_path) -> None:
    document, watch = watched
    sample = Document.open_sample(tmp_path / "home")
    assert watch.reread(sample) == []
    sample.close()
    assert watch.reread(document) == []
