"""The maker's own dyes, out of the book beside the design."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import pytest

from batiksim.document.document import Document
from batiksim.document.own_dyes import all_dyes, own_dyes, with_own_dyes
from batiksim.document.uploads.clicked_patches import OWN_BOOK
from batiksim.files.toml.designs import read_design, write_design
from batiksim.files.toml.dyebooks import write_book
from batiksim.values import BookDye, Dye, DyeBook


def write(folder: Path, book: str, colour: str, *, tick: int) -> None:
    """A book with one dye, ink. tick : seconds that its file counts as changed at, as a disk's clock may be coarse."""
    file = folder / book
    file.parent.mkdir(exist_ok=True)
    file.unlink(missing_ok=True)
    write_book(DyeBook(name=book, title="Mine", entries=(BookDye(name="ink", colour=colour),)), file)
    os.utime(file, (tick, tick))


@pytest.fixture(params=["mine.toml", "books/mine.toml"])
def book(request, folder) -> str:
    """The name of a book that the cloth's ink is from."""
    write(folder, request.param, "#2a2c55", tick=1000)
    design = read_design(folder)
    ink = Dye(name="ink", book=request.param, colour="#2a2c55")
    write_design(replace(design, dyes=(design.dyes[0], ink)), folder, in_place=True)
    return request.param


def test_her_own_book_is_the_one_of_that_name_beside_the_design(folder) -> None:
    document = Document.open(folder)
    assert own_dyes(document) == {}
    write(folder, OWN_BOOK, "#553c2a", tick=1000)
    assert own_dyes(document)["ink"].book == OWN_BOOK
    dyes = {dye["name"]: dye for dye in all_dyes(document)}
    assert dyes["ink"]["own"]
    assert not dyes["magenta"]["own"]
    document.change(with_own_dyes(document, [{"do": "swap_dye", "dye": "ink", "name": "ink", "own": True}]))
    assert document.design.dyes[1].book == OWN_BOOK
    (folder / OWN_BOOK).write_text("title = ", encoding="utf-8")
    assert own_dyes(document) == {}, "she is editing it just now"
    document.close()
