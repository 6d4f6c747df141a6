"""What is shown as saved is whole on disk, whatever becomes of the cloth's folder while it lies on the table."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from batiksim.document.document import Table
from batiksim.files.toml.designs import read_design, write_design
from batiksim.files.toml.dyebooks import write_book
from batiksim.values import BookDye, Dye, DyeBook, MaskUse, Undyed, Wax


def saved(table: Table, title: str) -> bool:
    table.change([{"do": "title", "title": title}])
    table.keeper.flush()
    return table.problem is None and table.saved == table.revision


@pytest.mark.parametrize("marks", ["dark", "light", None])
@pytest.mark.parametrize("touched", [False, True])
def test_a_folder_that_went_is_made_again_with_all_its_masks(muddy: Path, marks, touched: bool) -> None:
    design = read_design(muddy)
    petals = MaskUse(picture="petals.png", marks=marks)
    write_design(replace(design, steps=(*design.steps, Wax(mask=petals, tool="brush"))), muddy)
    table = Table.open(muddy)
    before = [table.shelf.full(use) for _, use in table.design.mask_uses()]
    if touched:
        table.touch(3, None, [(20.0, 20.0), (90.0, 60.0)], 5.0, False)
        before = [table.shelf.full(use) for _, use in table.design.mask_uses()]
        table.keeper.flush()
    shutil.rmtree(muddy)
    assert saved(table, "Made again")
    again = Table.open(muddy)
    assert again.design == table.design
    for mask, (_, use) in zip(before, again.design.mask_uses(), strict=True):
        np.testing.assert_array_equal(again.shelf.full(use), mask)
    again.close()
    table.close()


def test_a_picture_that_cannot_be_made_again_is_told_and_nothing_passes_for_saved(muddy: Path) -> None:
    """Petals as a photo's file: its name promises another kind of picture than can be written without loss."""
    Image.open(muddy / "petals.png").save(muddy / "petals.jpg", quality=95)
    design = read_design(muddy)
    use = MaskUse(picture="petals.jpg", marks="dark")
    write_design(replace(design, steps=(*design.steps[:3], Wax(mask=use, tool="brush"), *design.steps[4:])), muddy)
    table = Table.open(muddy)
    written = (muddy / "design.toml").read_bytes()
    (muddy / "petals.jpg").rename(muddy / "elsewhere.jpg")
    assert not saved(table, "Without petals")
    assert "“petals.jpg” is gone" in str(table.problem)
    assert "put it back" in str(table.problem)
    assert not (muddy / "petals.jpg").exists()
    assert (muddy / "design.toml").read_bytes() == written
    (muddy / "elsewhere.jpg").rename(muddy / "petals.jpg")
    assert saved(table, "Whole again")
    table.close()


def test_a_book_that_went_is_told(muddy: Path) -> None:
    seen_on = Undyed(colour="#efe9dd")
    entry = BookDye(name="ink", colour="#2a2c55", seen_on=seen_on)
    write_book(DyeBook(name="mine.toml", title="Mine", entries=(entry,)), muddy / "mine.toml")
    design = read_design(muddy)
    ink = Dye(name="ink", book="mine.toml", colour="#2a2c55", seen_on=seen_on)
    write_design(replace(design, dyes=(*design.dyes[:2], ink)), muddy)
    table = Table.open(muddy)
    shutil.rmtree(muddy)
    assert not saved(table, "Without its book")
    assert "mine.toml" in str(table.problem)
    table.close()
