"""A new cloth from dropped pictures; and masks that went from a folder are written again."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from batiksim import jobs
from batiksim.document.document import Document
from batiksim.document.missing_files import check_books, restore_masks
from batiksim.document.uploads.new_cloth import steps_of
from batiksim.document.uploads.pictures import DroppedPictures
from batiksim.document.verbs import apply_changes
from batiksim.errors import BatikError
from batiksim.files.toml.designs import read_design
from batiksim.values import Cloth, Design, Dye, MaskUse, Want, Wax


@pytest.fixture
def dropped() -> DroppedPictures:
    return DroppedPictures()


def waxing(dropped: DroppedPictures, file: Path, at: int, **how: object) -> dict[str, object]:
    """A waxing by a picture that is dropped now."""
    where = {"dropped": {"key": dropped.take(file, file.name).key, "marks": "dark"} | how}
    return {"do": "add_step", "at": at, "step": {"kind": "wax", "where": where}}


def test_a_cloth_of_two_pictures_is_on_disk_with_both_masks(dropped, picture, tmp_path) -> None:
    first = picture(tmp_path / "Big leaves.png", (10, 10, 40, 50))
    second = picture(tmp_path / "small.png", (0, 0, 20, 30), size=(40, 30))
    dye = {"do": "add_dye", "name": "ink", "colour": "#2a2c55"}
    bath = {"do": "add_step", "at": 2, "step": {"kind": "dye", "pot": "ink"}}
    changes, masks = steps_of(dropped, [dye, waxing(dropped, first, 1), bath, waxing(dropped, second, 3)])
    assert changes[0] == dye
    assert changes[2] == bath
    assert [mask.shape for _, mask in masks] == [(60, 80), (60, 80)], "the first one sets the size"
    design = apply_changes(Design(title="Two", cloth=Cloth(width_mm=200)), changes)
    document = Document.create(tmp_path / "home", design, masks)
    document.close()
    assert document.undo_words is None
    kept = jobs.open_design(tmp_path / "home" / "two")
    assert kept.design == design
    assert [use.picture.split("-")[0] for _, use in design.mask_uses()] == ["masks/Big leaves", "masks/small"]
    assert kept.masks[0][30, 20] == 255
    assert kept.masks[0][5, 5] == 0
    assert kept.masks[1][30, 20] == 255
    assert kept.masks[1][30, 60] == 0


def test_a_picture_of_another_shape_is_refused_by_its_name(dropped, picture, tmp_path) -> None:
    first = picture(tmp_path / "wide.png", (10, 10, 40, 50))
    second = picture(tmp_path / "tall.png", (10, 10, 40, 50), size=(60, 80))
    with pytest.raises(BatikError, match=r"tall\.png.*another shape"):
        steps_of(dropped, [waxing(dropped, first, 1), waxing(dropped, second, 2)])


def test_a_picture_that_is_gone_is_told(dropped, picture, tmp_path) -> None:
    change = waxing(dropped, picture(tmp_path / "wide.png", (10, 10, 40, 50)), 1)
    with pytest.raises(BatikError, match="no longer here"):
        steps_of(DroppedPictures(), [change])
    (tmp_path / "strange.png").write_bytes(b"no picture")
    with pytest.raises(BatikError, match="strange"):
        dropped.take(tmp_path / "strange.png", "strange.png")


def test_a_second_cloth_of_a_title_gets_a_folder_of_its_own(tmp_path) -> None:
    for folder in ("tide", "tide-2"):
        document = Document.create(tmp_path, Design(title="Tide", cloth=Cloth(width_mm=200)))
        document.change([{"do": "set_title", "title": f"In {folder}"}])
        document.close()
        assert read_design(tmp_path / folder).title == f"In {folder}"


# Files that went


@pytest.mark.parametrize("marks", ["dark", "light", None])
def test_a_mask_that_went_is_written_so_that_it_is_read_the_same(tmp_path, leaves, marks) -> None:
    use = MaskUse(picture="in/leaves.png", marks=marks)
    design = Design(title="x", cloth=Cloth(width_mm=80), steps=(Wax(mask=use),))
    restore_masks(design, tmp_path, lambda wanted: leaves if wanted == use else None)
    np.testing.assert_array_equal(jobs.read_mask(tmp_path, use, step=1)[0], leaves)


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
