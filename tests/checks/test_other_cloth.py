"""Dyes that were seen on another cloth than the one they are to dye, and what is said of the cloth that was taken."""

from __future__ import annotations

from dataclasses import replace

import pytest

from batiksim import checks, jobs
from batiksim.cloth.dyes_on_cloth import cloth_dyes
from batiksim.dyes.other_cloth import cloth_notes, colour_trouble
from batiksim.values import Cloth, Dye, Undyed

STRIP = "#efe9dd"


def learnt(dye, surface, colour=STRIP):
    """A dye as a calibration would have left it."""
    return replace(dye, seen_on=Undyed(colour=colour, surface=surface))


def on(case, floors, **cloth):
    """A case whose dyes were seen on such floors, in their order; the last floor holds for the rest."""
    floors = [*floors, *([floors[-1]] * len(case.design.dyes))]
    dyes = tuple(learnt(dye, floor) for dye, floor in zip(case.design.dyes, floors, strict=False))
    return case.with_design(dyes=dyes, cloth=replace(case.design.cloth, **{"colour": None, "surface": None} | cloth))


def told(case, code="cloth"):
    return [(one.severity, str(one.message), str(one.remedy)) for one in case.check(code)]


@pytest.fixture
def poppies(sample):
    return sample("garden_poppies")


@pytest.fixture
def geese(sample):
    return sample("estuary_geese")


def test_samples_and_dyes_that_say_nothing_of_their_cloth_are_left_alone(poppies, geese):
    assert told(poppies) == told(geese) == []


def test_dyes_of_one_strip_need_no_word_about_the_cloth(poppies):
    case = on(poppies, [0.04])
    assert case.dyes.surface == 0.04
    assert told(case) == []
    assert told(on(poppies, [0.04], surface=0.036, colour=STRIP)) == []


def test_a_stated_floor_that_is_not_the_dyes_is_told_with_what_to_write(poppies):
    ((severity, message, remedy),) = told(on(poppies, [0.04], surface=0.015))
    assert severity == "warn"
    assert "set to 0.015" in message
    assert "0.04" in message
    assert "surface = 0.04" in remedy
    assert "Delete the surface line" in remedy


def test_dyes_of_two_cloths_are_told(geese):
    names = [dye.name for dye in geese.design.dyes]
    case = on(geese, [0.06, *[0.02] * (len(names) - 1)])
    ((severity, message, remedy),) = told(case)
    assert severity == "warn"
    assert message.lower().startswith(names[0].lower())
    assert "dye) of 0.06" in message
    assert "0.02" in message
    assert "surface = 0.06" in remedy
    assert case.dyes.surface == 0.02


def test_a_dye_that_no_bath_uses_is_not_told(draw):
    dyes = (Dye(name="sun", colour="#f0d92e"), Dye(name="sea", colour="#1aa7b8"))
    case = on(draw.case(("dye", "sun", None), dyes=dyes, pots=()), [0.02, 0.06], surface=0.02)
    assert told(case) == []
    assert len(told(on(draw.case(("dye", "sea", None), dyes=dyes, pots=()), [0.02, 0.06], surface=0.02))) == 1


def test_cloth_of_another_colour_is_a_note(poppies):
    ((severity, message, remedy),) = told(on(poppies, [0.02], colour="#c9b183"))
    assert severity == "note"
    assert "#c9b183" in message
    assert f'colour = "{STRIP}"' in remedy
    assert told(on(poppies, [0.02], colour="#f1ebe0")) == []


def test_each_colour_of_cloth_is_named_once():
    """Strips of one cloth differ a little; dyes of another cloth aren't said to be of the first."""
    seen = {"a": "#efe9dd", "b": "#f0e9dc", "c": "#c9b183"}
    trouble = colour_trouble(
        Cloth(width_mm=100, colour="#ffffff"), {name: Undyed(colour=colour) for name, colour in seen.items()}
    )
    assert trouble is not None
    assert "a, b and c were measured on cloth whose colour is #efe9dd and #c9b183." in str(trouble.message)
    assert "one of these" in str(trouble.remedy)


@pytest.mark.full
def test_its_limits_are_settings_and_it_can_be_left_out(poppies):
    case = on(poppies, [0.04], surface=0.015)
    assert case.check("cloth", settings={"cloth": {"floors": 0.03}}) == ()
    assert "cloth" not in {one.code for one in checks.check(case.scene, skip=["cloth"])}


# What was taken


def book(folder, floor, name="mine.toml"):
    dyes = "".join(
        f'[[dye]]\nname = "{dye}"\ncolour = "{colour}"\ncloth = {{ colour = "{STRIP}", surface = {floor} }}\n'
        for dye, colour in (("straw", "#f2e08a"), ("tide", "#3d9fb4"))
    )
    file = folder / name
    file.write_text(f'format = 1\ntitle = "Mine"\n{dyes}', encoding="utf-8")
    return file


def design(folder, cloth=""):
    dyes = "".join(f'[[dye]]\nname = "{name}"\nbook = "mine.toml"\n' for name in ("straw", "tide"))
    steps = '[[step]]\ndye = "straw"\n[[step]]\ndye = "tide"\n'
    text = f'format = 1\ntitle = "T"\n[cloth]\nwidth_mm = 100\n{cloth}{dyes}{steps}'
    (folder / "design.toml").write_text(text, encoding="utf-8")
    return folder


def test_a_preview_says_which_cloth_it_took(tmp_path):
    book(tmp_path, 0.04)
    (note,) = jobs.preview(design(tmp_path), width_px=40).assumed
    assert STRIP in str(note)
    assert "0.04" in str(note)
    stated = jobs.preview(design(tmp_path, f'colour = "{STRIP}"\nsurface = 0.04\n'), width_px=40)
    assert stated.assumed == ()
    assert stated.regions[0].hex == jobs.preview(design(tmp_path), width_px=40).regions[0].hex


def test_book_and_design_show_one_and_the_same_overlay(tmp_path):
    """Pot, chart and preview reckon with one cloth, whichever way the dyes are asked for."""
    file = book(tmp_path, 0.04)
    folder = design(tmp_path)
    shown = jobs.preview(folder, width_px=40)
    of_book, of_design = jobs.overdye(file), jobs.overdye(folder)
    assert of_book.cells == of_design.cells
    pots = [jobs.pot("straw=1", dyes=source).dry.hex for source in (file, folder)]
    assert pots[0] == pots[1]
    assert shown.project.dyes.colour == STRIP
    assert any(STRIP in str(note) for note in of_book.notes)


def test_a_book_of_two_cloths_says_so(tmp_path):
    cloth = Cloth(width_mm=100)
    dyes = [learnt(Dye(name=name, colour="#3d9fb4"), floor) for name, floor in (("a", 0.02), ("b", 0.02), ("c", 0.05))]
    there = cloth_dyes(cloth, dyes)
    taken, trouble, remedy = cloth_notes(cloth, there, dyes)
    assert "0.02" in str(taken)
    assert str(trouble).startswith("C was measured on cloth with a surface floor (the least light that it reflects")
    assert "Calibrate all these dyes again" in str(remedy)
