"""The risk sheet: the hazards of this class and no other, room for the tutor, deferring to label and local rules."""

from __future__ import annotations

import pytest
from PIL import Image

from batiksim import jobs
from batiksim.cloth.program import design_masks
from batiksim.files.toml.designs import write_design
from batiksim.sheets.workshop.risk import risk_keys
from batiksim.texts.catalogue import texts
from batiksim.texts.phrases import capital
from batiksim.workplan.cautions import CAUTIONS, DEFER, KINDS


@pytest.fixture(scope="module")
def sheet(tmp_path_factory, build, read_pdf):
    """Print the risk sheet of some steps and read it back."""

    def make(*steps, **keys):
        folder = tmp_path_factory.mktemp("risk")
        design = build.design(*steps)
        write_design(design, folder)
        uses = design_masks(design)
        for one, mask in zip(uses, build.soft(len(uses)), strict=True):
            Image.fromarray(255 - mask).save(folder / one.picture)
        return read_pdf(jobs.risk(folder, folder / "r.pdf", **keys).file.read_bytes())

    return make


@pytest.fixture(scope="module")
def whole(sheet, build):
    """A class of nine with wax, dye and bleach."""
    return sheet(build.wax("a", tool="canting"), build.dye("sun"), build.bleach("b"), makers=9)


@pytest.mark.full
def test_it_lies_flat_on_two_pages_and_can_be_read_aloud(whole, sheet, build, accessible):
    letter = sheet(build.wax("a"), build.dye("sun"), paper="letter")
    for reading, size in ((whole, (297.0, 210.0)), (letter, (279.4, 215.9))):
        assert len(reading.sizes_mm) == 2
        for found in reading.sizes_mm:
            assert found == pytest.approx(size, abs=0.2)
        accessible(reading)


def test_every_hazard_has_whom_precautions_and_what_to_do(whole):
    told, words = whole.ordered, texts()
    for key, caution in CAUTIONS.items():
        title, harm, who, act = (
            capital(caution.title),
            *(words(f"risk.{key}.{part}") for part in ("harm", "who", "act")),
        )
        parts = [title, harm, who, str(caution.text), act]
        start = told.index(f"{title} {harm}")
        places = [told.index(part, start) for part in parts]
        assert places == sorted(places), key
        assert places[-1] - start < 1000, key


def test_it_defers_and_says_that_it_is_not_complete(whole):
    assert str(DEFER) in whole.ordered
    assert texts()("risk.complete") in whole.ordered
    assert whole.ordered.index(str(DEFER)) < whole.ordered.index("Hot wax")


def test_there_is_room_for_the_tutor(whole):
    for field in (*texts().lines("risk.fields"), *texts().lines("risk.sign")):
        assert field in whole.ordered
    rows = len(CAUTIONS) + 2 + 2  # the room's hazards, and two rows for the tutor's own
    assert whole.ordered.count("low medium high") == rows
    assert whole.ordered.count("Your own") == 2


def test_class_and_amounts_are_told(whole):
    assert "A class of 9 makers, with hot wax, cold-water dyes and bleach." in whole.ordered
    assert "in 3 pots" in whole.ordered
    assert "of bleach, ready to use" in whole.ordered


@pytest.mark.parametrize(
    ("kinds", "absent"),
    [
        (("dye",), {"wax", "fire", "fumes", "bleach", "iron"}),
        (("wax",), {"powder", "soda", "dye", "bleach"}),
        (("wax", "dye"), {"bleach"}),
        (("discharge",), {"wax", "powder", "iron"}),
    ],
)
def test_only_hazards_of_the_work_that_is_done(build, on_disk, kinds, absent):
    steps = {"wax": build.wax("a"), "dye": build.dye("sun"), "discharge": build.bleach("b")}
    plan = jobs.workshop(on_disk(build.design(*(steps[kind] for kind in kinds)))).plan
    keys = risk_keys(plan)
    assert not absent & set(keys)
    assert set(KINDS[kinds[0]]) <= set(keys)
    assert len(set(keys)) == len(keys)


def test_the_same_class_gives_the_same_bytes(sheet, build):
    steps = (build.wax("a"), build.dye("sun"))
    assert sheet(*steps).raw == sheet(*steps).raw
