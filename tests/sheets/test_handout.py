"""Handouts, read back from the PDF: sizes, tags, order, fonts, words, amounts; steps told apart in grey."""

from __future__ import annotations

import dataclasses
import itertools
import re

import numpy as np
import pytest
from PIL import Image

from batiksim import jobs
from batiksim.cloth.program import design_masks
from batiksim.errors import BatikError
from batiksim.files.toml.designs import write_design
from batiksim.sheets.handout.handout import SECTIONS
from batiksim.sheets.handout.lesson import letters_of
from batiksim.values import Cloth, Dye, Pot, RemoveWax
from batiksim.workplan.cautions import CAUTIONS, DEFER

PAPER_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
NOTE = "Bring an old shirt and a good lunch."


@pytest.fixture(scope="module")
def lesson(tmp_path_factory, build):
    """A design with every kind of step, notes and a maker, on disk."""
    steps = (
        dataclasses.replace(build.wax("lines", tool="canting", crackle=0.2), note="Slowly at the corners."),
        build.dye("leaf", ("pink", "petals")),
        build.bleach("pale", 0.7),
        RemoveWax(),
        build.wax("keep", tool="brush"),
        build.dye("night"),
    )
    cloth = Cloth(width_mm=400)
    design = build.design(*steps, cloth=cloth, title="Garden wall", maker="Ada Weaver", note=NOTE)
    folder = tmp_path_factory.mktemp("lesson")
    write_design(design, folder)
    uses = design_masks(design)
    for one, mask in zip(uses, build.soft(len(uses), 60, 80), strict=True):
        Image.fromarray(255 - mask).save(folder / one.picture)
    return folder


@pytest.fixture(scope="module")
def printed(lesson, tmp_path_factory, read_pdf):
    """Print the design in some way and read it back; each way once."""
    made = {}
    folder = tmp_path_factory.mktemp("pdf")

    def make(**keys):
        key = tuple(sorted(keys.items()))
        if key not in made:
            made[key] = read_pdf(jobs.handout(lesson, folder / "h.pdf", **keys).file.read_bytes())
        return made[key]

    return make


WAYS = [
    {"paper": "a4"},
    {"paper": "letter", "learner": True},
    {"paper": "a4", "one_page": True, "learner": True},
    {"paper": "letter", "one_page": True},
]


@pytest.mark.full
@pytest.mark.parametrize("way", WAYS, ids=str)
def test_every_page_has_the_paper_s_size_and_can_be_read_aloud(printed, accessible, way):
    reading = printed(**way)
    for size in reading.sizes_mm:
        assert size == pytest.approx(PAPER_MM[way["paper"]], abs=0.2)
    accessible(reading)
    assert len(reading.sizes_mm) == 1 if way.get("one_page") else len(reading.sizes_mm) > 3
    assert len(reading.raw) < 5_000_000


@pytest.mark.full
@pytest.mark.parametrize("way", WAYS, ids=str)
def test_all_that_is_drawn_lies_on_the_paper(printed, way):
    for page in printed(**way).plumbed.pages:
        for char in page.chars:
            assert 20 < char["x0"] < char["x1"] < page.width - 20
            assert 10 < char["top"] < char["bottom"] < page.height - 10


def test_reading_order_is_the_order_of_work(printed):
    told = printed().ordered
    places = [told.index(f"Step {number} ", told.index("Step by step")) for number in range(1, 7)]
    places += [told.index("To finish", places[-1]), told.index("What you need"), told.index("Timetable")]
    assert places == sorted(places)
    first = told[places[0] : places[1]]
    parts = ["Wax 1: ", "Lay hot wax", "wax now", "A canting", "Protects", "Look for", "Time", "Colours now"]
    found = [first.index(part) for part in [*parts, "Take care"]]
    assert found == sorted(found)


def poured(pot) -> float:
    """What goes into a pot, as it was measured."""
    return round(sum(ml for _, ml in pot.stocks) + pot.chemical_ml, 2)


@pytest.mark.full
def test_it_holds_name_notes_recipes_and_times(printed, lesson):
    reading = printed()
    for words in ("Garden wall", "A design by Ada Weaver", NOTE, "Slowly at the corners.", str(DEFER)):
        assert words in reading.ordered
    assert "Leaf: 5 parts sun and 1 part sea, at 80% of full strength." in reading.ordered
    plan = jobs.workshop(lesson).plan
    times = [slot for sitting in plan.times.sittings for slot in sitting.slots if slot.task.work == "dye"]
    assert f"About {times[0].minutes:.0f} min, with mixing." in reading.ordered
    leaf = next(pot for pot in plan.pots if pot.pot == "leaf")
    assert poured(leaf) >= leaf.ml >= 1
    assert f"{poured(leaf):g} ml for you:" in reading.ordered


@pytest.mark.full
def test_a_class_gets_amounts_for_all(printed, lesson):
    reading = printed(makers=12, sessions="3x2h")
    planned = jobs.workshop(lesson, makers=12, sessions="3x2h")
    pot = next(one for one in planned.plan.pots if one.pot == "leaf")
    assert f"{poured(pot):g} ml for all:" in reading.ordered
    assert "For 12 makers together" in reading.ordered
    assert "Session 2" in reading.ordered


@pytest.mark.full
def test_what_goes_into_a_pot_adds_up_to_what_it_holds(printed):
    told = re.findall(r"([\d.]+) ml for all: ([^.]*(?:\d\.\d[^.]*)*)\.", printed(makers=12, sessions="3x2h").ordered)
    assert len(told) >= 3
    for whole, parts in told:
        drops, millilitres = (re.findall(rf"([\d.]+) {unit}\b", parts) for unit in ("drops?", "ml"))
        assert len(drops) + len(millilitres) == parts.count(",") + parts.count(" and ") + 1
        assert sum(map(float, millilitres)) + 0.05 * sum(map(float, drops)) == pytest.approx(float(whole))


@pytest.mark.full
def test_a_dyeing_dries_for_what_comes_after_it(lesson, printed, tmp_path, read_pdf, build):
    assert "bone dry before you brush again" in printed().ordered  # it is bleached next
    assert "before the next wax" not in printed().ordered
    design = build.design(build.dye("night"), build.wax("keep", tool="brush"), build.dye("leaf"))
    write_design(design, tmp_path)
    (mask,) = build.soft(1, 60, 80)
    Image.fromarray(255 - mask).save(tmp_path / design_masks(design)[0].picture)
    told = read_pdf(jobs.handout(tmp_path, tmp_path / "h.pdf").file.read_bytes()).ordered
    assert told.count("bone dry before the next wax") == 1
    assert "before you brush again" not in told
    assert "Canting" in printed().ordered
    assert "Canting" not in told  # the word is explained only where one is used


@pytest.mark.full
def test_dye_that_creeps_is_told_of(tmp_path, read_pdf, build):
    bath = build.dye(("leaf", "leaves"), ("pink", "petals"))
    creeping = dataclasses.replace(bath.paints[0], spread=True, reach_mm=7.0)
    design = build.design(dataclasses.replace(bath, paints=(creeping, bath.paints[1])), title="Wet wall")
    write_design(design, tmp_path)
    for one, mask in zip(design_masks(design), build.soft(2, 60, 80), strict=True):
        Image.fromarray(255 - mask).save(tmp_path / one.picture)
    told = " ".join(read_pdf(jobs.handout(tmp_path, tmp_path / "h.pdf").file.read_bytes()).ordered.split())
    assert "Let leaf spread from there, about 7 mm or as far as the wax. Wet colours that meet will mingle." in told


def test_every_colour_of_every_step_is_named(printed, lesson):
    reading = printed()
    for stage in jobs.preview(lesson, width_px=400).stages:
        for name, _, share in stage.colours:
            if share > 0.05:
                assert str(name) in reading.ordered


@pytest.mark.full
def test_each_caution_is_told_in_full_once_and_named_where_it_comes_again(printed):
    told = printed(sections=("steps",)).ordered
    for key in ("wax", "fire", "fumes", "dye", "soda", "bleach", "iron", "hot_water", "drain"):
        assert told.count(str(CAUTIONS[key].text)) == 1, key
    second_wax = told[told.index("Step 5 ") : told.index("Step 6 ")]
    for key in ("wax", "fire", "fumes"):
        assert str(CAUTIONS[key].title) in second_wax
    assert str(CAUTIONS["bleach"].text) in told[told.index("Step 3 ") : told.index("Step 4 ")]


@pytest.mark.full
def test_sections_can_be_chosen(printed):
    starts = {
        "cover": "What you will see",
        "steps": "Step by step",
        "chart": "Every dye over every dye",
        "amounts": "What you need",
        "timetable": "Timetable",
        "glossary": "Words to know",
    }
    assert tuple(starts) == SECTIONS
    for chosen in (("cover", "glossary"), ("steps",), ("chart", "timetable"), ("amounts",)):
        names = {name for _, name in printed(sections=chosen).headings}
        assert {name for name, start in starts.items() if start in names} == set(chosen)


@pytest.mark.full
def test_the_same_design_gives_the_same_bytes(lesson, tmp_path, printed):
    again = jobs.handout(lesson, tmp_path / "other.pdf").file.read_bytes()
    assert again == printed().raw
    assert again != printed(makers=2).raw


def test_the_overdye_chart_is_a_table_of_named_colours(printed, lesson):
    reading = printed(sections=("chart",))
    (table,) = reading.elements("Table")
    chart = jobs.overdye(lesson, only=["sun", "sea", "pink", "night"])
    cells = " ".join(table.text.split())
    for row in chart.cells:
        for shade in row:
            assert shade.name in cells
    assert cells.count("night") >= 2


def boxes_of_steps(reading):
    """For every step with a map its page and its plate's and map's box, from the headings' and pictures' places."""
    found = []
    for number, page in enumerate(reading.plumbed.pages):
        large = sorted((one for one in page.images if one["x1"] - one["x0"] > 60), key=lambda one: one["top"])
        for plate, chart in itertools.pairwise(large):
            if chart["x0"] > plate["x1"] and chart["top"] - plate["top"] < 120:
                found.append(
                    (number, *(tuple(one[key] for key in ("x0", "top", "x1", "bottom")) for one in (plate, chart)))
                )
    return found


@pytest.mark.full
def test_printed_grey_every_step_still_looks_its_own(printed):
    """Plate or map of each step differs from those of every other by far more than a printer's noise."""
    reading = printed(sections=("steps",))
    steps = boxes_of_steps(reading)
    assert len(steps) == 6
    greys = [[reading.grey(page, box) for box in (plate, chart)] for page, plate, chart in steps]
    for one, other in itertools.combinations(greys, 2):
        assert max(np.abs(a - b).mean() for a, b in zip(one, other, strict=True)) > 8
    numbers = re.findall(r"Step (\d)\b", reading.ordered)
    assert numbers == list("123456")


@pytest.mark.full
def test_a_learner_s_plates_are_outlines_with_letters(printed):
    reading = printed(learner=True, sections=("steps",))
    page, plate, _ = boxes_of_steps(reading)[1]
    shown = reading.plumbed.pages[page].crop(plate, strict=False).to_image(resolution=100).original
    spread = np.ptp(np.asarray(shown.convert("RGB"), int), axis=2)
    assert np.mean(spread < 12) > 0.98  # no colour but the pegs'
    letters = {char["text"] for char in reading.plumbed.pages[page].crop(plate, strict=False).chars}
    assert {"a", "b"} <= letters
    assert any(one.alt.startswith("Outlines of Garden wall after step 2") for one in reading.elements("Figure"))


def test_a_design_of_nothing_is_still_a_page(build, on_disk, tmp_path, read_pdf, accessible):
    reading = read_pdf(jobs.handout(on_disk(build.design(title="Bare")), tmp_path / "b.pdf").file.read_bytes())
    accessible(reading)
    assert "Bare" in reading.ordered


def test_signs_of_markup_are_plain_letters(build, on_disk, tmp_path, read_pdf):
    folder = on_disk(build.design(build.wax("lines"), build.dye("sun"), title="Cat → <b> #let x"))
    reading = read_pdf(jobs.handout(folder, tmp_path / "c.pdf", one_page=True).file.read_bytes())
    assert reading.headings[0][1].startswith("Cat → <b> #let x")


LONG = ("golden yellow of the long barley field", "very dark, nearly black walnut brown")


@pytest.mark.full
def test_long_names_leave_every_column_its_room(on_disk, build, tmp_path, read_pdf):
    dyes = tuple(Dye(name=name, colour=hexed) for name, hexed in zip(LONG, ("#eab52a", "#36241d"), strict=True))
    pot = Pot(name="orange of the second evening", parts=dict.fromkeys(LONG, 1), strength=0.5)
    design = build.design(build.dye(LONG[0]), build.dye(pot.name), dyes=dyes, pots=(pot,))
    reading = read_pdf(jobs.handout(on_disk(design), tmp_path / "h.pdf").file.read_bytes())
    margin = 18 / 25.4 * 72
    for page in reading.plumbed.pages:
        assert max(char["x1"] for char in page.chars if char["text"].strip()) < page.width - margin + 1


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ({"sections": ["step"]}, "did you mean 'steps'"),
        ({"paper": "a3"}, "paper: isn't one of the choices .*use one of 'a4', 'letter'"),
        ({"makers": 0}, "makers: out of range .*use a number from 1 to 500"),
    ],
)
def test_what_can_t_be_printed_is_an_error_and_nothing_written(lesson, tmp_path, keys, words):
    with pytest.raises(BatikError, match=words):
        jobs.handout(lesson, tmp_path / "h.pdf", **keys)
    with pytest.raises(BatikError, match=r"end its name in \.pdf"):
        jobs.handout(lesson, tmp_path / "h.txt")
    assert not list(tmp_path.iterdir())


def test_a_colour_keeps_its_letter_though_its_mean_moves_by_a_hair():
    green, moved, paler = ("light green", "#9fc67c"), ("light green", "#9ec67c"), ("light green", "#b4d89a")
    assert letters_of([("white", "#f4efe2"), green, moved, paler]) == {
        ("white", "#f4efe2"): "a",
        green: "b",
        moved: "b",
        paler: "c",
    }


def test_after_z_letters_are_doubled():
    greys = [("grey", f"#{8 * place:02x}{8 * place:02x}{8 * place:02x}") for place in range(28)]
    assert list(letters_of(greys).values())[-3:] == ["z", "aa", "ab"]


TWO_DYES = """format = 1
title = "Fish"
[cloth]
width_mm = 450
[[dye]]
name = "emerald"
book = "demo"
[[dye]]
name = "magenta"
book = "demo"
[[pot]]
name = "magenta pot"
parts = { magenta = 1 }
strength = 1.05
[[step]]
wax = "waves.png"
tool = "canting"
[[step]]
dye = "emerald"
[[step]]
wax = "fish.png"
tool = "brush"
[[step]]
dye = "magenta pot"
"""


@pytest.mark.full
@pytest.mark.parametrize("more", ["", "[[step]]\ndye = 'emerald'\n"], ids=["two dyeings", "three"])
def test_the_last_page_is_not_kept_for_a_few_words(tmp_path, read_pdf, more):
    (tmp_path / "design.toml").write_text(TWO_DYES + more, encoding="utf-8")
    for name, box in (("waves", (0, 100, 400, 160)), ("fish", (120, 60, 280, 240))):
        mask = Image.new("L", (400, 300), 255)
        mask.paste(0, box)
        mask.save(tmp_path / f"{name}.png")
    reading = read_pdf(jobs.handout(tmp_path, tmp_path / "h.pdf").file.read_bytes())
    last = reading.plumbed.pages[-1].extract_text()
    assert "is only a reminder" in last
    assert len(last.split()) > 100


@pytest.mark.full
def test_what_is_left_of_the_last_page_is_for_notes(tmp_path, read_pdf):
    for name in ("hedge_parsley", "estuary_geese"):
        made = jobs.handout(f"sample_designs/{name}", tmp_path / "h.pdf")
        page = read_pdf(made.file.read_bytes()).plumbed.pages[-1]
        words = [word["bottom"] for word in page.extract_words() if word["bottom"] < page.height * 0.9]
        drawn = [
            one["bottom"] for one in [*page.lines, *page.images, *page.rects] if one["bottom"] < page.height * 0.95
        ]
        assert max(words + drawn) > 0.75 * page.height


def shaped(folder, wide, high, steps=""):
    """A design of 4 steps on a cloth of some shape, in pixels of a quarter mm."""
    (folder / "design.toml").write_text(TWO_DYES.replace("450", f"{wide / 4:g}") + steps, encoding="utf-8")
    for name, share in (("waves", 0.3), ("fish", 0.6)):
        mask = Image.new("L", (wide, high), 255)
        mask.paste(0, (0, round(share * high), wide, round((share + 0.1) * high)))
        mask.save(folder / f"{name}.png")
    return folder


@pytest.mark.full
@pytest.mark.parametrize(("wide", "high"), [(1600, 400), (400, 1200)], ids=["scarf", "banner"])
def test_two_steps_stand_on_a_page_whatever_the_cloth_s_shape(tmp_path, read_pdf, wide, high):
    more = "[[step]]\nwax = 'fish.png'\n[[step]]\ndye = 'emerald'\n" * 2
    made = jobs.handout(shaped(tmp_path, wide, high, more), tmp_path / "h.pdf")
    pages = [page.extract_text() for page in read_pdf(made.file.read_bytes()).plumbed.pages]
    assert "How you get there" in pages[0]
    assert [len(re.findall(r"^.*Step \d ", page, re.MULTILINE)) for page in pages[1:5]] == [2, 2, 2, 2]


def test_a_cloth_without_wax_hears_nothing_of_it(build, on_disk, tmp_path, read_pdf):
    reading = read_pdf(jobs.handout(on_disk(build.design(build.dye("sun"))), tmp_path / "h.pdf").file.read_bytes())
    told = reading.ordered.replace("wax or bleach", "")  # labels come first, of dye, wax or bleach
    assert "Step 1" in told
    for word in ("line of wax", "protects", "Wax left", "Open, closed", "Overdye"):
        assert word not in told
