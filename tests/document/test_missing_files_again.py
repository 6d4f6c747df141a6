"""Masks that went from a folder are written again, so that they are read the same."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from batiksim import jobs
from batiksim.document.missing_files import check_books, restore_masks
from batiksim.errors import BatikError
from batiksim.files.toml.designs import read_design
from batiksim.values import Cloth, Design, Dye, MaskUse, Want, Wax


@pytest.mark.parametrize("marks", ["dark", "light", None])
def test_a_mask_that_went_is_written_so_that_it_is_read_the_same(tmp_path, leaves, marks) -> None:
    use = MaskUse(picture="in/leaves.png", marks=marks)
    design = Design(title="x", cloth=Cloth(width_mm=80), steps=(Wax(mask=use),))
    restore_masks(design, tmp_path, lambda wanted: leaves if wanted == use else None)
    np.testing.assert_array_equal(jobs.read_mask(tmp_path, use)[0], leaves)


def test_a_mask_that_is_there_is_left_alone(folder) -> None:
    before = (folder / "leaves.png").read_bytes()
    restore_masks(read_design(folder), folder, lambda use: np.zeros((60, 80), np.uint8))
    assert (folder / "leaves.png").read_bytes() == before


def test_a_mask_that_can_not_be_written_again_is_told_and_nothing_is_left(tmp_path, leaves) -> None:
    for picture, held in (("leaves.jpg", leaves), ("leaves.png", None)):
        design = Design(title="x", cloth=Cloth(width_mm=80), steps=(Wax(mask=MaskUse(picture=picture)),))
        with pytest.raises(BatikError, match=picture):
            restore_masks(design, tmp_path, lambda use, held=held: held)
    assert list(tmp_path.iterdir()) == []


def test_the_picture_of_a_want_is_looked_for_too(folder) -> None:
    want = Want(colour="#d6246e", where=MaskUse(picture="want.png", marks="dark"))
    with pytest.raises(BatikError, match=r"want\.png"):
        restore_masks(replace(read_design(folder), wants=(want,)), folder, lambda use: None)


def test_books_and_spectra_that_went_are_told_the_built_in_book_is_not_looked_for(tmp_path) -> None:
    def with_dye(**how: object) -> Design:
        return Design(title="x", cloth=Cloth(width_mm=80), dyes=(Dye(name="ink", **how),))

    check_books(with_dye(book="demo"), tmp_path)
    for name, dye in (("mine.toml", {"book": "mine.toml"}), ("ink.csv", {"spectrum": "ink.csv"})):
        with pytest.raises(BatikError, match=name):
            check_books(with_dye(**dye), tmp_path)
        (tmp_path / name).write_text("", encoding="utf-8")
        check_books(with_dye(**dye), tmp_path)


def test_a_document_saves_again_once_its_folder_is_gone(document, folder, leaves) -> None:
    (folder / "leaves.png").unlink()
    document.change([{"do": "set_title", "title": "Again"}])
    document.autosave.flush()
    assert document.problem is None
    assert (np.asarray(Image.open(folder / "leaves.png").convert("L")) == 255 - leaves).all()
