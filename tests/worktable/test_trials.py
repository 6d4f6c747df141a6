"""Remedies that can be tried with one press: each changes the design into one without the trouble."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from batiksim import checks
from batiksim.changes.verbs import apply_changes
from batiksim.document.design_data import findings_data
from batiksim.document.document import Document
from batiksim.document.frames.frames import View
from batiksim.files.toml.designs import read_design, write_design
from batiksim.files.toml.dyebooks import DEMO, read_book
from batiksim.values import Cloth, Design, Dye, DyeBath, MaskUse, Paint, Pot, Wax

SAMPLES = Path(__file__).resolve().parents[2] / "sample_designs"


def misfits(document: Document, design: Design) -> list[checks.Misfit]:
    drawn = document.frames.drawn(design)
    return checks.misfits(checks.Scene(design=design, dyes=document.frames.dyes(design), masks=drawn))


def trials(document: Document, code: str) -> list[dict]:
    found = [one for one in findings_data(document.frames, document.design)["findings"] if one["code"] == code]
    return [trial for one in found for trial in one["remedies"]]


@pytest.fixture
def never_waxed(muddy) -> Path:
    """Green leaves, pink over everything; the leaves are never waxed."""
    design = read_design(muddy)
    write_design(replace(design, steps=design.steps[:2]), muddy)
    return muddy


def test_brown_leaves_are_waxed_by_the_picture_they_were_brushed_with(never_waxed) -> None:
    document = Document.open(never_waxed)
    green = document.frames.frame(document.design, View(step=1, width=400))[150, 100]
    (wax,) = [one for one in trials(document, "mud") if one["words"].startswith("Wax “leaves”")]
    assert wax["words"] == "Wax “leaves” (brushed in step 1) before step 2"
    after = document.change(wax["changes"])
    assert after.steps[1] == Wax(mask=MaskUse(picture="leaves.png", marks="dark"), tool="brush")
    np.testing.assert_array_equal(document.frames.frame(after, View(width=400))[150, 100], green)
    assert not [one for one in trials(document, "mud") if "leaves" in one["words"]]
    document.close()


def test_what_is_waxed_later_is_brought_forward_and_not_waxed_twice(muddy) -> None:
    document = Document.open(muddy)
    words = [one["words"] for one in trials(document, "mud")]
    assert "Wax “leaves” before step 2" in words
    assert not [one for one in words if "brushed in" in one]
    document.close()


def test_no_pot_of_the_same_dye_is_offered_instead(never_waxed) -> None:
    design = read_design(never_waxed)
    pots = (*design.pots, Pot(name="pink pot", parts={"pink": 1.0}, strength=0.1))
    write_design(replace(design, pots=pots), never_waxed)
    document = Document.open(never_waxed)
    assert not [one["words"] for one in trials(document, "mud") if one["words"].startswith("Use pink")]
    document.close()


@pytest.mark.full
def test_leaves_that_lie_askew_are_moved_to_where_they_fit(tmp_path) -> None:
    folder = Path(shutil.copytree(SAMPLES / "garden_poppies", tmp_path / "poppies"))
    file = folder / "remedy.toml"
    picture = np.asarray(Image.open(folder / "keep-leaves.png").convert("L"))
    px = round(5 * picture.shape[1] / read_design(file).cloth.width_mm)
    askew = np.roll(picture, (0, px), axis=(0, 1))
    Image.fromarray(askew).save(folder / "keep-leaves.png")
    document = Document.open(file)
    found = trials(document, "fit")
    assert [one["words"] for one in found] == ["Move “keep-leaves” to where it fits"]
    (step,) = [change["step"] for change in found[0]["changes"]]
    after = document.change(found[0]["changes"])
    moved = 255 - document.masks.full(after.steps[step - 1].mask)
    inside = np.s_[:, 3 * px : -3 * px]
    shift = (
        np.abs(moved[inside].astype(int) - picture[inside]).mean(),
        np.abs(askew[inside].astype(int) - picture[inside]).mean(),
    )
    assert shift[0] < 0.25 * shift[1]
    assert not misfits(document, after)
    document.autosave.flush()
    assert read_design(file) == after
    document.close()


@pytest.mark.full
def test_of_two_masks_either_may_be_moved(tmp_path) -> None:
    folder = Path(shutil.copytree(SAMPLES / "garden_poppies", tmp_path / "poppies"))
    Image.open(folder / "keep-leaves.png").rotate(2, fillcolor=255).save(folder / "keep-leaves.png")
    design = read_design(folder / "remedy.toml")
    only = [step for step in design.steps if isinstance(step, Wax) and "petals" not in step.mask.picture]
    (folder / "remedy.toml").unlink()
    leaves = MaskUse(picture="paint-leaves.png", marks="dark")
    write_design(replace(design, steps=(Wax(mask=leaves), only[1]), wants=()), folder)
    document = Document.open(folder)
    found = trials(document, "fit")
    assert [one["words"] for one in found] == [
        "Move “keep-leaves” to where it fits",
        "Move “paint-leaves” to where it fits",
    ]
    for one in found:
        after = apply_changes(document.design, one["changes"])
        assert not misfits(document, after)
    document.close()


def test_where_nothing_on_the_table_helps_a_dye_of_the_book_is_offered(tmp_path) -> None:
    """Emerald over the whole cloth, magenta over all of it: nothing to wax or to move would leave any magenta."""
    whole = (DyeBath(paints=(Paint(pot=name),)) for name in ("emerald", "magenta"))
    dyes = (Dye(name="emerald", book="demo"), Dye(name="magenta", book="demo"))
    lines = Wax(mask=MaskUse(picture="lines.png", marks="dark"), tool="canting")
    write_design(Design(title="Two dyes", cloth=Cloth(width_mm=200), dyes=dyes, steps=(lines, *whole)), tmp_path)
    picture = Image.new("L", (400, 300), 255)
    picture.paste(0, (40, 40, 360, 60))
    picture.save(tmp_path / "lines.png")
    document = Document.open(tmp_path)
    before = [one for one in findings_data(document.frames, document.design)["findings"] if one["code"] == "mud"]
    offered = before[0]["remedies"]
    assert offered
    for trial in offered:
        assert "(example dye) instead of magenta" in trial["words"]
        after = document.change(trial["changes"])
        assert not [one for one in findings_data(document.frames, after)["findings"] if one["code"] == "mud"]
        assert after.steps[2].paints[0].pot in trial["words"]
        document.undo()
    document.close()


def test_the_maker_s_own_dye_is_offered_before_the_book_s(tmp_path) -> None:
    """A violet that she has learnt stands in for magenta over emerald; with hers there, it comes first."""
    whole = (DyeBath(paints=(Paint(pot=name),)) for name in ("emerald", "magenta"))
    dyes = (Dye(name="emerald", book="demo"), Dye(name="magenta", book="demo"))
    lines = Wax(mask=MaskUse(picture="lines.png", marks="dark"), tool="canting")
    write_design(Design(title="Two dyes", cloth=Cloth(width_mm=200), dyes=dyes, steps=(lines, *whole)), tmp_path)
    picture = Image.new("L", (400, 300), 255)
    picture.paste(0, (40, 40, 360, 60))
    picture.save(tmp_path / "lines.png")
    document = Document.open(tmp_path)
    (told,) = [one for one in findings_data(document.frames, document.design)["findings"] if one["code"] == "mud"]
    book = told["remedies"][0]["changes"][0]["name"]
    own = {"my rose": replace(next(one for one in read_book(DEMO).dyes if one.name == book), name="my rose")}
    (told,) = [
        one for one in findings_data(document.frames, document.design, own=own)["findings"] if one["code"] == "mud"
    ]
    first, *others = [one["words"] for one in told["remedies"]]
    assert first == "Use my rose (from your own dyes) instead of magenta"
    assert f"Use {book} (example dye) instead of magenta" in others
    assert told["remedies"][0]["changes"][0] == {"do": "add_dye", "name": "my rose", "own": True}
    document.close()


def test_a_brushed_colour_that_a_bath_takes_can_be_waxed_in_time(tmp_path) -> None:
    """Moss, pink over everything, ink over everything: black leaves, and one press keeps them."""
    leaves = MaskUse(picture="leaves.png", marks="dark")
    dyes = (Dye(name="moss", book="demo"), Dye(name="magenta", book="demo"), Dye(name="navy", book="demo"))
    steps = (
        DyeBath(paints=(Paint(pot="moss", where=leaves),)),
        *(DyeBath(paints=(Paint(pot=one),)) for one in ("magenta", "navy")),
    )
    write_design(Design(title="Black leaves", cloth=Cloth(width_mm=200), dyes=dyes, steps=steps), tmp_path)
    picture = Image.new("L", (400, 300), 255)
    picture.paste(0, (40, 40, 200, 200))
    picture.save(tmp_path / "leaves.png")
    document = Document.open(tmp_path)
    assert [one["words"] for one in trials(document, "lost")] == ["Wax “leaves” (brushed in step 1) before step 2"]
    green = document.frames.frame(document.design, View(step=1, width=400))[100, 100]
    after = document.change(trials(document, "lost")[0]["changes"])
    np.testing.assert_array_equal(document.frames.frame(after, View(width=400))[100, 100], green)
    assert not [one for one in findings_data(document.frames, after)["findings"] if one["code"] == "lost"]
    document.close()
