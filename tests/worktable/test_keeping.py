"""What is shown as saved is whole on disk, whatever becomes of the cloth's folder while it lies on the table."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from batiksim.document.document import Document
from batiksim.files.toml.designs import read_design, write_design
from batiksim.files.toml.dyebooks import write_book
from batiksim.values import BookDye, Dye, DyeBook, MaskUse, Undyed, Wax


def saved(document: Document, title: str) -> bool:
    document.change([{"do": "set_title", "title": title}])
    document.autosave.flush()
    return document.problem is None and document.saved == document.revision


@pytest.mark.parametrize("marks", ["dark", "light", None])
@pytest.mark.parametrize("touched", [False, True])
def test_a_folder_that_went_is_made_again_with_all_its_masks(muddy: Path, marks, touched: bool) -> None:
    design = read_design(muddy)
    petals = MaskUse(picture="petals.png", marks=marks)
    write_design(replace(design, steps=(*design.steps, Wax(mask=petals, tool="brush"))), muddy)
    document = Document.open(muddy)
    before = [document.masks.full(use) for _, use in document.design.mask_uses()]
    if touched:
        document.touch_up(3, None, [(20.0, 20.0), (90.0, 60.0)], 5.0, False)
        before = [document.masks.full(use) for _, use in document.design.mask_uses()]
        document.autosave.flush()
    shutil.rmtree(muddy)
    assert saved(document, "SourceCloth again")
    again = Document.open(muddy)
    assert again.design == document.design
    for mask, (_, use) in zip(before, again.design.mask_uses(), strict=True):
        np.testing.assert_array_equal(again.masks.full(use), mask)
    again.close()
    document.close()


def test_a_picture_that_cannot_be_made_again_is_told_and_nothing_passes_for_saved(muddy: Path) -> None:
    """Petals as a photo's file: its name promises another kind of picture than can be written without loss."""
    Image.open(muddy / "petals.png").save(muddy / "petals.jpg", quality=95)
    design = read_design(muddy)
    use = MaskUse(picture="petals.jpg", marks="dark")
    write_design(replace(design, steps=(*design.steps[:3], Wax(mask=use, tool="brush"), *design.steps[4:])), muddy)
    document = Document.open(muddy)
    written = (muddy / "design.toml").read_bytes()
    (muddy / "petals.jpg").rename(muddy / "elsewhere.jpg")
    assert not saved(document, "Without petals")
    assert "“petals.jpg” is gone" in str(document.problem)
    assert "put it back" in str(document.problem)
    assert not (muddy / "petals.jpg").exists()
    assert (muddy / "design.toml").read_bytes() == written
    (muddy / "elsewhere.jpg").rename(muddy / "petals.jpg")
    assert saved(document, "Whole again")
    document.close()


def test_a_book_that_went_is_told(muddy: Path) -> None:
    seen_on = Undyed(colour="#efe9dd")
    entry = BookDye(name="ink", colour="#2a2c55", seen_on=seen_on)
    write_book(DyeBook(name="mine.toml", title="Mine", entries=(entry,)), muddy / "mine.toml")
    design = read_design(muddy)
    ink = Dye(name="ink", book="mine.toml", colour="#2a2c55", seen_on=seen_on)
    write_design(replace(design, dyes=(*design.dyes[:2], ink)), muddy)
    document = Document.open(muddy)
    shutil.rmtree(muddy)
    assert not saved(document, "Without its book")
    assert "mine.toml" in str(document.problem)
    document.close()
