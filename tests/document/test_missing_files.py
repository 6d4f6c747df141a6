"""Files that are gone from a design's folder: masks are written again, all else is told."""

from __future__ import annotations

from dataclasses import replace

import pytest

from batiksim import jobs
from batiksim.document.missing_files import check_books, restore_masks
from batiksim.errors import BatikError
from batiksim.files.pictures import images
from batiksim.values import Dye, MaskUse, Want


@pytest.fixture
def folder(plain_design, on_disk):
    return on_disk(plain_design)


def test_masks_that_are_gone_are_written_again(folder, plain_design):
    before = jobs.open_design(folder)
    uses = list(dict.fromkeys(use for _, use in plain_design.mask_uses()))
    held = dict(zip(uses, before.masks, strict=True))
    names = sorted(path.name for path in folder.iterdir())
    (folder / "lines.png").unlink()
    kept = (folder / "petals.png").read_bytes()
    restore_masks(plain_design, folder, held.get)
    assert sorted(path.name for path in folder.iterdir()) == names
    assert (jobs.open_design(folder).masks == before.masks).all()
    assert (folder / "petals.png").read_bytes() == kept


@pytest.mark.parametrize("marks", ["light", "dark"])
def test_marks_are_read_back_as_they_were(build, tmp_path, marks):
    use = MaskUse(picture="a.png", marks=marks)
    mask = build.soft(1)[0]
    restore_masks(build.design(build.wax("x"), wants=()), tmp_path, lambda _: mask)
    planned = replace(build.design(build.wax("x")), steps=(replace(build.wax("x"), mask=use),))
    restore_masks(planned, tmp_path, lambda _: mask)
    grey = images.read_picture(tmp_path / "a.png").grey
    assert (grey == (mask if marks == "light" else 255 - mask)).all()


def test_a_mask_that_nobody_holds_is_told(folder, plain_design):
    (folder / "lines.png").unlink()
    with pytest.raises(BatikError, match=r"the picture “lines\.png” is gone from .*put it back there"):
        restore_masks(plain_design, folder, lambda use: None)
    assert not (folder / "lines.png").exists()


@pytest.mark.parametrize("picture", ["a.jpg", "/nowhere/a.png", "../a.png"])
def test_only_pictures_inside_the_folder_are_written(build, tmp_path, picture):
    planned = build.design(replace(build.wax("x"), mask=MaskUse(picture=picture)))
    with pytest.raises(BatikError, match="is gone from"):
        restore_masks(planned, tmp_path, lambda _: build.soft(1)[0])
    assert list(tmp_path.iterdir()) == []


def test_pictures_of_wants_are_looked_for_too(build, tmp_path):
    want = Want(colour="#aa5533", where=MaskUse(picture="deep/want.png"), name="leaves")
    planned = build.design(wants=(want,))
    with pytest.raises(BatikError, match=r"deep/want\.png"):
        restore_masks(planned, tmp_path, lambda _: None)
    restore_masks(planned, tmp_path, lambda _: build.soft(1)[0])
    assert (tmp_path / "deep" / "want.png").exists()


def test_books_and_spectra_that_are_gone_are_told(build, tmp_path):
    samples = tuple((nm, 0.5) for nm in range(400, 701, 10))
    blue = Dye(name="blue", spectrum="blue.csv", samples=samples)
    rust = replace(Dye(name="rust", colour="#aa5533"), book="mine.toml")
    lemon = replace(Dye(name="lemon", colour="#ffee00"), book="demo")
    check_books(build.design(dyes=(lemon,), pots=()), tmp_path)
    for dye, name in ((blue, "reflectance file “blue.csv”"), (rust, "dye book “mine.toml”")):
        planned = build.design(dyes=(lemon, dye), pots=())
        with pytest.raises(BatikError, match=f"the {name} is gone"):
            check_books(planned, tmp_path)
        (tmp_path / (dye.spectrum or dye.book)).write_text("")
        check_books(planned, tmp_path)
