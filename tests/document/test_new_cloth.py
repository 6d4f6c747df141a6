"""A new cloth from dropped pictures."""

from __future__ import annotations

from pathlib import Path

import pytest

from batiksim import jobs
from batiksim.changes.verbs import apply_changes
from batiksim.document.document import Document
from batiksim.document.uploads.pictures import DroppedPictures, steps_of
from batiksim.errors import BatikError
from batiksim.files.toml.designs import read_design
from batiksim.values import Cloth, Design


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
    assert document.stack.undo_words is None
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
    with pytest.raises(BatikError, match=r"tall\.png.*a different shape from the cloth's"):
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
