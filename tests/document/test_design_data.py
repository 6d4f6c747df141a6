"""A document as plain data: every key as the page reads it."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest

from batiksim import jobs
from batiksim.changes.remedy import DesignRemedy
from batiksim.cloth.program import Emit
from batiksim.document import design_data as module
from batiksim.document.design_data import design_data, findings_data, regions_data, state_data, step_data
from batiksim.document.document import Document
from batiksim.document.uploads.clicked_patches import OWN_BOOK
from batiksim.texts.catalogue import say
from batiksim.values import Cloth, Design, Discharge, Dye, DyeBath, Finding, MaskUse, Paint, Pot, RemoveWax, Wax

KEEP = MaskUse(picture="masks/2-keep-petals.png", marks="dark", clean=True)
SKY = MaskUse(picture="mask.png")


@pytest.fixture
def dyes():
    """What the data asks of the dyes on a cloth: the cloth's colour."""
    return SimpleNamespace(colour="#f1ede2")


@pytest.fixture(autouse=True)
def hexes(monkeypatch, request):
    """A pot's colour is its name here, but for the tests of a document."""
    if "dyes" in request.fixturenames:
        monkeypatch.setattr(jobs, "pot_hex", lambda design, dyes, name: f"#{name}")


def planned(*steps, dyes=("sun", "pink", "sea"), pots=()):
    return Design(
        title="Tide",
        cloth=Cloth(width_mm=200, grams_per_m2=90),
        dyes=tuple(Dye(name=name, colour="#aa5533") for name in dyes),
        pots=pots,
        steps=steps,
    )


def bath(*names):
    return DyeBath(paints=tuple(Paint(pot=name) for name in names))


def test_a_cloth_is_as_high_as_its_pictures_are(dyes):
    data = design_data(planned(), dyes, 30, 40)
    assert data["title"] == "Tide"
    assert data["cloth"] == {"width_mm": 200, "height_mm": 150, "colour": "#f1ede2", "grams_per_m2": 90}
    assert data["size"] == {"rows": 30, "cols": 40}
    assert data["strengths"] == {"weakest": 0.01, "strongest": 2.5}
    assert (data["dyes"][0]["name"], data["pots"], data["steps"], data["pictures"]) == ("sun", [], [], [])


def test_dyes_say_whether_a_bath_uses_them_and_whose_they_are(dyes):
    design = planned(bath("sea", "mix"), pots=(Pot(name="mix", parts={"sun": 1}),))
    own = Dye(name="rust", book=OWN_BOOK, colour="#aa5533")
    other = Dye(name="moss", book="demo", colour="#557733")
    data = design_data(replace(design, dyes=(*design.dyes, own, other)), dyes, 3, 4)["dyes"]
    assert data[2] == {"name": "sea", "pot": "sea pot", "hex": "#sea", "used": True, "own": False}
    assert [dye["used"] for dye in data] == [False, False, True, False, False], "by its own name, not in a pot"
    assert [dye["own"] for dye in data] == [False, False, False, True, False]


def test_bowls_stand_in_the_order_of_their_main_dyes(dyes):
    """Of each dye itself first, then its plain pot, then other pots of it; a plain dye that no bath uses is no bowl."""
    pots = (
        Pot(name="teal", parts={"sea": 3, "sun": 1}),
        Pot(name="sea pot", parts={"sea": 1}),
        Pot(name="rose", parts={"pink": 1}, drops={"sun": 2}, ml=50),
    )
    design = planned(Wax(mask=SKY), bath("sea", "rose"), bath("rose"), pots=pots)
    names = [pot["name"] for pot in design_data(design, dyes, 3, 4)["pots"]]
    assert names == ["rose", "sea", "sea pot", "teal"]
    assert [pot.name for pot in module._bowls(replace(design, steps=()))] == ["rose", "sea pot", "teal"]
    assert [pot.name for pot in module._bowls(planned(bath("sea"), bath("sun")))] == ["sun", "sea"]


def test_a_pot_whose_dyes_are_not_on_the_shelf_stands_last():
    """Such a design is no whole one, so a stand-in: its pots are asked for by name."""
    pots = {
        name: SimpleNamespace(name=name, dyes=dyes) for name, dyes in (("lost", ("gone",)), ("last", ("gone", "b")))
    }
    shelf = [SimpleNamespace(name="a"), SimpleNamespace(name="b")]
    design = SimpleNamespace(dyes=shelf, pots=list(pots.values()), steps=(), pot=pots.get)
    assert [pot.name for pot in module._bowls(design)] == ["last", "lost"]


def test_a_bowl_says_what_is_in_it_and_where_it_is_used(dyes):
    rose = Pot(name="rose", parts={"pink": 1}, drops={"sun": 2}, ml=50, strength=0.5)
    data = design_data(planned(bath("rose", "sea"), RemoveWax(), bath("rose"), pots=(rose,)), dyes, 3, 4)["pots"]
    words = jobs.pot_words(rose)
    assert set(words) == {"recipe", "dilution"}
    assert data[0] == words | {
        "name": "rose", "hex": "#rose", "strength": 0.5, "parts": {"pink": 1}, "drops": {"sun": 2}, "ml": 50,
        "mixed": True, "steps": [1, 3],
    }  # fmt: skip
    assert (data[1]["name"], data[1]["mixed"], data[1]["steps"], data[1]["ml"]) == ("sea", False, [1], None)


def test_a_waxing_as_data(dyes):
    wax = Wax(mask=KEEP, grey="thin", crackle=0.1, paraffin=0.2, edges=0.3, cool=0.4, tool="brush")
    data = step_data(planned(bath("sun"), wax), dyes, 2)
    assert data.pop("title_says") == {"key": "steps.only_wax_named", "values": {"name": "petals"}}
    assert data.pop("detail_says")["key"] == "steps.sentences"
    assert data == {
        "kind": "wax", "title": "Wax: petals",
        "detail": "With the brush. Thin wax: it holds back only part of the dye.",
        "where": {"picture": KEEP.picture, "marks": "dark", "clean": True, "name": "2-keep-petals", "shape": "petals"},
        "grey": "thin", "crackle": 0.1, "paraffin": 0.2, "edges": 0.3, "cool": 0.4, "tool": "brush", "seed": None,
        "note": "",
    }  # fmt: skip


def test_a_dyeing_as_data(dyes):
    step = DyeBath(paints=(Paint(pot="sun"), Paint(pot="sea", where=SKY, spread=True, reach_mm=3.0)))
    data = step_data(planned(step), dyes, 1)
    sky = {"picture": "mask.png", "marks": None, "clean": False, "name": "mask", "shape": "mask"}
    assert (data["kind"], data["title"]) == ("dye", "Sun and sea")
    assert data["paints"] == [
        {"pot": "sun", "hex": "#sun", "where": None, "spread": False, "reach_mm": None},
        {"pot": "sea", "hex": "#sea", "where": sky, "spread": True, "reach_mm": 3.0},
    ]
    assert set(data) == {"kind", "title", "title_says", "detail", "detail_says", "paints"}


def test_a_discharge_and_wax_taken_out_as_data(dyes):
    design = planned(Discharge(where=KEEP, strength=0.5), Discharge(), RemoveWax())
    brushed, over, out = (step_data(design, dyes, number) for number in (1, 2, 3))
    assert (brushed["kind"], brushed["strength"], brushed["where"]["name"]) == ("discharge", 0.5, "2-keep-petals")
    assert (over["where"], over["strength"]) == (None, 1.0)
    said = {"title_says": {"key": "steps.wax_removed", "values": {}}, "detail_says": None}
    assert out == {"kind": "remove_wax", "title": "Wax removed", "detail": ""} | said


def test_every_picture_is_listed_once_in_order(dyes):
    steps = (Wax(mask=KEEP), DyeBath(paints=(Paint(pot="sun", where=SKY),)), Wax(mask=KEEP), Discharge(where=SKY))
    data = design_data(planned(*steps), dyes, 3, 4)
    assert [use["picture"] for use in data["pictures"]] == [KEEP.picture, SKY.picture]
    assert [step["kind"] for step in data["steps"]] == ["wax", "dye", "wax", "discharge"]


# Of a document


def test_the_state_of_a_document(document: Document):
    state = state_data(document)
    assert state | {
        "document": document.number, "revision": 0, "saved": 0, "design_number": document.stack.number,
        "problem": None, "sample": False, "folder": "leaves", "undo": None, "redo": None, "set_aside": False,
        "new_names": {}, "elsewhere": False, "title": "Leaves", "size": {"rows": 60, "cols": 80},
    } == state  # fmt: skip
    assert state["cloth"]["height_mm"] == 60
    assert state["cloth"]["colour"] == document.frames.dyes(document.design).colour
    document.set_aside = document.design
    document.problem = "no room"
    document.change([{"do": "rename_pot", "pot": "pale ink", "to": "dusk"}])
    document.change([{"do": "set_title", "title": "Two"}])
    document.undo()
    after = state_data(document)
    assert (after["revision"], after["undo"], after["redo"]) == (3, "Renamed pale ink", "Changed the title")
    assert (after["set_aside"], after["new_names"]) == (True, {"pale ink": "dusk"})
    assert after["design_number"] not in (state["design_number"], None)


def test_the_state_of_a_sample_and_of_a_cloth_open_elsewhere(document: Document, folder, tmp_path):
    sample = Document.open_sample(tmp_path / "home")
    again = Document.open(folder)
    state = state_data(sample)
    assert (state["sample"], state["folder"], state["elsewhere"]) == (True, "", False)
    assert (state_data(again)["elsewhere"], state_data(again)["folder"]) == (True, "leaves")
    for opened in (sample, again):
        opened.close()


def test_regions_are_of_masks_of_a_thousand_pixels_and_findings_of_all(monkeypatch):
    """What each job is given: the design, its dyes, the masks; new ones that a remedy needs are kept for the page."""
    sizes, kept, given = [], [], []

    class Frames:
        masks = SimpleNamespace(put_unsaved=lambda use, mask: kept.append((use, mask)))

        def dyes(self, design):
            return f"dyes of {design}"

        def planes(self, design, width=None):
            sizes.append(width)
            return f"planes of {design}"

        def drawn(self, design, width=None):
            sizes.append(width)
            return "masks"

    def cloth_findings(*arguments, own):
        given.append((arguments, own))
        helps = DesignRemedy(words=say("checks.nothing"), changes=({"do": "x"},), masks={"masks/a-1.png": "moved"})
        told = say("checks.nothing")
        return (Finding(code="fit", severity="warn", message=told, remedy=told, remedies=(helps,)),)

    monkeypatch.setattr(module, "jobs", SimpleNamespace(cloth_findings=cloth_findings))
    stage = SimpleNamespace(emit=Emit(step=1), colours=("#aa5533",))
    monkeypatch.setattr(module, "outcome_of", lambda *given: SimpleNamespace(regions=given))
    monkeypatch.setattr(module, "stages", lambda outcome: [stage])
    monkeypatch.setattr(module.render, "engine_notes", tuple)
    regions = ["tide", "dyes of tide", "planes of tide"]
    stages = [{"step": 1, "finished": False, "colours": ["#aa5533"]}]
    assert regions_data(Frames(), "tide") == {"regions": regions, "stages": stages, "notes": []}
    assert sizes == [1000]
    (told,) = findings_data(Frames(), "tide", own={"rust": 1})["findings"]
    words = str(say("checks.nothing"))
    says = {"key": "checks.nothing", "values": {}}
    assert told["remedies"] == [{"words": words, "words_says": says, "changes": [{"do": "x"}]}]
    assert (sizes, kept) == ([1000, None], [(MaskUse(picture="masks/a-1.png", marks="dark"), "moved")])
    findings_data(Frames(), "tide")
    assert given == [(("tide", "dyes of tide", "masks"), own) for own in ({"rust": 1}, {})]
