"""A small cloth on disk, and a document opened from it: nothing here needs a browser or a server."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from batiksim.document import autosave
from batiksim.document.document import Document
from batiksim.document.uploads.pictures import DroppedPictures
from batiksim.files.toml.designs import read_design, write_design
from batiksim.files.toml.dyebooks import write_book
from batiksim.values import BookDye, Cloth, Design, Dye, DyeBath, DyeBook, MaskUse, Paint, Pot, Wax

ROWS, COLS = 60, 80
LEAVES = MaskUse(picture="leaves.png", marks="dark")


def save_picture(file: Path, box: tuple[int, int, int, int], *, size: tuple[int, int] = (COLS, ROWS)) -> Path:
    """A white picture with a black box (left, top, right, bottom)."""
    picture = Image.new("L", size, 255)
    picture.paste(0, box)
    picture.save(file)
    return file


@pytest.fixture(autouse=True)
def saved_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """No test waits for more changes that might come before a save."""
    monkeypatch.setattr(autosave, "WAIT_S", 0)


@pytest.fixture
def picture() -> Callable[..., Path]:
    return save_picture


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Leaves waxed, then pink over all, then pale ink over all; 80 x 60 mm at a millimetre a pixel."""
    home = tmp_path / "cloths" / "leaves"
    design = Design(
        title="Leaves",
        cloth=Cloth(width_mm=COLS),
        dyes=(Dye(name="pink", colour="#d6246e"), Dye(name="ink", colour="#2a2c55")),
        pots=(Pot(name="pale ink", parts={"ink": 1.0}, strength=0.5),),
        steps=(
            Wax(mask=LEAVES, tool="brush"),
            DyeBath(paints=(Paint(pot="pink"),)),
            DyeBath(paints=(Paint(pot="pale ink"),)),
        ),
    )
    write_design(design, home)
    save_picture(home / "leaves.png", (10, 10, 40, 50))
    return home


@pytest.fixture
def document(folder: Path) -> Iterator[Document]:
    opened = Document.open(folder)
    yield opened
    opened.close()


@pytest.fixture
def leaves() -> np.ndarray:
    """The mask of the leaves, uint8 (60, 80)."""
    mask = np.zeros((ROWS, COLS), np.uint8)
    mask[10:50, 10:40] = 255
    return mask


@pytest.fixture
def dropped():
    return DroppedPictures()


@pytest.fixture
def drop(dropped, tmp_path):
    """Drop a picture of grey levels; its key."""

    def taken(grey, name="my lines.png"):
        file = tmp_path / "sent.png"
        Image.fromarray(np.asarray(grey, np.uint8)).save(file)
        return dropped.take(file, name).key

    return taken


def grey_box(rows=60, cols=80, *, ground=255, ink=0):
    """A picture with a dark box in its middle."""
    grey = np.full((rows, cols), ground, np.uint8)
    grey[rows // 3 : 2 * rows // 3, cols // 4 : cols // 2] = ink
    return grey


def write_ink(folder: Path, book: str, colour: str, *, tick: int) -> None:
    """A book with one dye, ink. tick : seconds that its file counts as changed at, as a disk's clock may be coarse."""
    file = folder / book
    file.parent.mkdir(exist_ok=True)
    file.unlink(missing_ok=True)
    write_book(DyeBook(name=book, title="Mine", entries=(BookDye(name="ink", colour=colour),)), file)
    os.utime(file, (tick, tick))


@pytest.fixture(params=["mine.toml", "books/mine.toml"])
def book(request, folder) -> str:
    """The name of a book that the cloth's ink is from."""
    write_ink(folder, request.param, "#2a2c55", tick=1000)
    design = read_design(folder)
    ink = Dye(name="ink", book=request.param, colour="#2a2c55")
    write_design(replace(design, dyes=(design.dyes[0], ink)), folder, in_place=True)
    return request.param
