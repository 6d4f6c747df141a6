"""A small cloth on disk, and a document opened from it: nothing here needs a browser or a server."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from batiksim.document import autosave
from batiksim.document.document import Document
from batiksim.files.toml.designs import write_design
from batiksim.values import Cloth, Design, Dye, DyeBath, MaskUse, Paint, Pot, Wax

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
