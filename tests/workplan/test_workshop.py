"""Amounts: hand-worked by the recipe makers know, never less than needed whatever the design, and told in words."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from batiksim import jobs
from batiksim.cli import main
from batiksim.cloth.areas import StepArea, StepAreas, survey_areas
from batiksim.errors import BatikError
from batiksim.sheets.documents import markdown
from batiksim.values import BookDye, Pot
from batiksim.workplan.amounts import cloth_piece_mm, plan_workshop
from batiksim.workplan.cautions import CAUTIONS, KINDS, cautions_for
from batiksim.workplan.figures import FIGURES, GRADES
from batiksim.workplan.measures import SYSTEMS
from batiksim.workplan.shopping import shopping_list
from batiksim.workplan.values import WorkshopRequest

SAMPLES = Path(__file__).resolve().parents[2] / "sample_designs"
POPPIES = SAMPLES / "garden_poppies"
TSP = {"dye": 2.5, "urea": 4.0, "soda": 5.0, "softener": 5.0}  # g in a level teaspoon, common practice


def whole_cloth(ml: float) -> StepAreas:
    """A cloth, dyed all over, that drinks so much at 150 ml to the square metre."""
    mm2 = ml / 150 * 1e6
    reach = StepArea(step=1, work="dye", pot="sun", mm2=mm2, marked_mm2=mm2)
    return StepAreas(width_mm=math.sqrt(mm2), height_mm=math.sqrt(mm2), reaches=(reach,), waxed_mm2=0.0)


def planned(build, ml: float, pot: str = "sun", pots: tuple[Pot, ...] = (), **asked):
    design = build.design(build.dye(pot), pots=pots)
    areas = whole_cloth(ml)
    areas = StepAreas(
        width_mm=areas.width_mm,
        height_mm=areas.height_mm,
        waxed_mm2=0.0,
        reaches=(StepArea(step=1, work="dye", pot=pot, mm2=areas.reaches[0].mm2, marked_mm2=areas.reaches[0].mm2),),
    )
    book = asked.pop("book", None)
    return plan_workshop(design, areas, WorkshopRequest(**({"waste": 0.0} | asked)), book=book, systems=SYSTEMS)


# The recipe as makers hand it on: half a teaspoon of powder to 50 ml of water; chemical water of 5 teaspoons urea,
# 2 teaspoons soda ash and 1 teaspoon softener (hard water) in half a litre; as much chemical water as dye.


def test_a_litre_of_full_strength_by_hand(build):
    plan = planned(build, 1000, hard_water=True)
    (pot,), (stock,), (water,) = plan.pots, plan.mixes[0].stocks, plan.mixes[0].waters
    assert pot.ml == pytest.approx(1000)
    assert dict(pot.stocks) == pytest.approx({"sun": 500})
    assert pot.chemical_ml == pytest.approx(500)
    assert stock.water_ml == pytest.approx(500)
    assert stock.powder_g / TSP["dye"] == pytest.approx(5)  # ten times half a teaspoon
    assert water.ml == pytest.approx(500)
    assert water.urea_g / TSP["urea"] == pytest.approx(5)
    assert water.soda_g / TSP["soda"] == pytest.approx(2)
    assert water.softener_g / TSP["softener"] == pytest.approx(1)


def test_a_small_pot_by_hand(build):
    """100 ml: 50 ml of stock from half a teaspoon, 50 ml of chemical water from half a teaspoon of urea."""
    plan = planned(build, 100)
    (pot,), (stock,), (water,) = plan.pots, plan.mixes[0].stocks, plan.mixes[0].waters
    assert (pot.ml, dict(pot.stocks), pot.chemical_ml) == (100, {"sun": 50}, 50)
    assert (stock.powder_g / TSP["dye"], stock.water_ml) == (0.5, 50)
    assert (water.ml, water.urea_g / TSP["urea"], water.soda_g / TSP["soda"]) == (50, 0.5, 0.25)
    assert water.softener_g == 0  # soft water


@pytest.mark.parametrize(
    ("strength", "stock_ml", "chemical_ml", "times"), [(0.5, 50, 150, 1), (1, 100, 100, 1), (2, 100, 100, 2)]
)
def test_paler_pots_take_more_chemical_water_and_stronger_ones_a_stronger_stock(
    build, strength, stock_ml, chemical_ml, times
):
    plan = planned(build, 200, "wash", pots=(Pot(name="wash", parts={"sun": 1}, strength=strength),))
    (pot,), (stock,) = plan.pots, plan.mixes[0].stocks
    assert dict(pot.stocks) == pytest.approx({"sun": stock_ml})
    assert pot.chemical_ml == pytest.approx(chemical_ml)
    assert stock.grams_per_litre == pytest.approx(25 * times)


def test_a_book_that_knows_its_powder_is_believed(build):
    book = {"sun": BookDye(name="sun", colour="#f0d92e", grams_per_litre=40)}
    plan = planned(build, 1000, book=book)
    assert plan.mixes[0].stocks[0].powder_g == pytest.approx(20)  # 500 ml at 40 g/l
    assert not plan.notes
    (note,) = planned(build, 1000).notes
    assert (note.key, note.values["dyes"]) == ("workshop.note.guessed_powder", ["sun"])


def test_presoaked_cloth_has_no_fixative_in_its_pots(build):
    plan = planned(build, 1000, presoak=True)
    assert plan.mixes[0].waters[0].soda_g == 0
    assert plan.presoak.soda_g >= plan.presoak.ml / 1000 * 30 * (1 - 1e-9)
    assert math.isinf(plan.times.useful_min)
    assert "soak" in [task.work for task in plan.times.before]


def test_twelve_need_twelve_times_as_much_and_a_sixth_spare(build):
    one, twelve = planned(build, 100), planned(build, 100, makers=12, waste=0.15)
    assert twelve.pots[0].need_ml == pytest.approx(one.pots[0].need_ml * 12 * 1.15)
    assert twelve.pots[0].each_ml == pytest.approx(115)
    assert twelve.wax_pots == 0


# Whatever the design


@settings(max_examples=25, deadline=None)
@given(st.data(), st.integers(1, 40), st.floats(0, 1), st.booleans(), st.booleans(), st.integers(0, 50))
def test_no_amount_is_less_than_needed(build, data, makers, waste, presoak, hard, seed):
    steps = data.draw(build.some_steps(masks=6, most=8))
    design = build.design(*steps)
    masks = build.stack(design, build.soft(6, seed=seed)) if list(design.mask_uses()) else np.zeros((0, 30, 40), "u1")
    areas = survey_areas(build.program(design), masks, width_mm=400, threads=1)
    asked = WorkshopRequest(makers=makers, waste=waste, presoak=presoak, hard_water=hard)
    plan = plan_workshop(design, areas, asked, systems=SYSTEMS)
    shopping = {item.key: item.need for item in shopping_list(plan).items}
    scale, short = makers * (1 + waste), 1 - 1e-9

    for mixes in plan.mixes:
        powder: dict[str, float] = {}
        for reach in areas.reaches:
            if reach.work == "dye":
                ml = reach.mm2 / 1e6 * 150 * scale
                assert reach.mm2 == 0 or any(reach.step in pot.steps and pot.pot == reach.pot for pot in mixes.pots)
                for dye, load in design.pot(reach.pot).loads().items():
                    powder[dye] = powder.get(dye, 0) + ml / 2 * load * 25 / 1000
        for pot in mixes.pots:
            assert (
                pot.need_ml
                >= sum(
                    r.mm2 / 1e6 * 150 * scale
                    for r in areas.reaches
                    if r.work == "dye" and r.pot == pot.pot and r.step in pot.steps
                )
                * short
            )
            assert pot.each_ml * makers >= pot.need_ml * short
            assert pot.ml >= pot.each_ml * makers * short
            stock = sum(ml for _, ml in pot.stocks)
            assert stock + pot.chemical_ml == pytest.approx(pot.ml)
            assert pot.chemical_ml >= stock * short
        for stock in mixes.stocks:
            assert stock.powder_g >= max(powder[stock.dye], stock.need_g) * short
            assert stock.water_ml >= sum(ml for pot in mixes.pots for dye, ml in pot.stocks if dye == stock.dye) * short
            assert stock.powder_g / stock.water_ml * 1000 >= stock.grams_per_litre * short
            assert shopping[stock.dye] >= stock.powder_g * short
        assert {dye for dye, grams in powder.items() if grams > 1e-9} <= {stock.dye for stock in mixes.stocks}
        sitting_of = {lot.number: lot.sitting for lot in plan.times.lots}
        assert {pot.lot for pot in mixes.pots} <= set(sitting_of)
        for water in mixes.waters:
            assert (
                water.ml >= sum(pot.chemical_ml for pot in mixes.pots if sitting_of[pot.lot] == water.sitting) * short
            )
            assert water.urea_g >= water.ml / 1000 * 10 * TSP["urea"] * short
            assert presoak or water.soda_g >= water.ml / 1000 * 4 * TSP["soda"] * short
            assert not hard or water.softener_g >= water.ml / 1000 * 2 * TSP["softener"] * short
        assert shopping.get("urea", 0) >= sum(water.urea_g for water in mixes.waters) * short

    for use in plan.waxes:
        assert use.beeswax_g + use.paraffin_g >= use.mm2 / 1e6 * 140 * scale * short
    for name, place in (("beeswax", 0), ("paraffin", 1)):
        used = sum((use.beeswax_g, use.paraffin_g)[place] for use in plan.waxes)
        assert used == 0 or shopping[name] >= (used + plan.pot_fill_g[place]) * short
    for bleach in plan.bleaches:
        assert bleach.ml >= bleach.mm2 / 1e6 * 150 * scale * short


@given(st.floats(20, 3000), st.floats(20, 3000), st.integers(1, 60))
def test_the_cloth_bought_holds_all_pieces(build, width, height, makers):
    areas = StepAreas(width_mm=width, height_mm=height, reaches=(), waxed_mm2=0.0)
    plan = plan_workshop(build.design(), areas, WorkshopRequest(makers=makers))
    cloth = shopping_list(plan).items[0]
    wide, high = (side * 1.05 for side in cloth_piece_mm(areas))  # it shrinks
    assert (cloth.key, str(cloth.name)) == ("cloth", "cloth")
    if min(wide, high) > 1400:
        assert "wide sheeting" in str(cloth.note)
        return
    held = [
        int(1400 / across + 1e-9) * int(cloth.need / along + 1e-9)
        for across, along in ((wide, high), (high, wide))
        if across <= 1400
    ]
    assert max(held) >= makers


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ({"makers": 0}, "makers"),
        ({"makers": 501}, "makers"),
        ({"makers": True}, "makers"),
        ({"room_c": 60}, "room_c"),
        ({"room_c": float("nan")}, "room_c"),
        ({"waste": -0.1}, "waste"),
        ({"sessions": "some evenings"}, "sessions"),
    ],
)
def test_a_request_must_make_sense(asked, field):
    with pytest.raises(BatikError) as caught:
        WorkshopRequest(**asked)
    assert caught.value.field == field


# Prices


PRICES = """format = 1
currency = "EUR"
[[price]]
name = "urea"
pack = "500 g"
price = 4.50
[[price]]
name = "cloth"
pack = "1 m"
price = 6.00
[[price]]
name = "primrose"
pack = "25 g"
price = 5.00
"""


def test_packs_and_what_is_used_of_them_by_hand(tmp_path):
    (tmp_path / "prices.toml").write_text(PRICES, encoding="utf-8")
    found = jobs.workshop(POPPIES, makers=12, prices=tmp_path / "prices.toml").shopping
    items = {item.key: item for item in found.items}
    cloth = items["cloth"]
    assert cloth.packs == math.ceil(cloth.need / 1000)
    assert cloth.pay == 6.0 * cloth.packs
    assert cloth.used == pytest.approx(6.0 * cloth.need / 1000)
    assert (items["urea"].packs, items["urea"].pay) == (1, 4.5)
    assert found.pay == pytest.approx(cloth.pay + 4.5 + 5.0)
    assert found.used < found.pay
    assert items["soda ash"].pay is None
    (missing,) = (note.values["names"] for note in found.notes if note.key == "workshop.note.no_price")
    assert "soda ash" in missing


def test_what_a_part_of_the_list_costs_is_not_said_of_all(tmp_path):
    urea = 'format = 1\n[[price]]\nname = "urea"\npack = "500 g"\nprice = 4.50\n'
    (tmp_path / "prices.toml").write_text(urea, encoding="utf-8")
    planned = jobs.workshop(POPPIES, makers=12, prices=tmp_path / "prices.toml")
    told = [one["text"] for one in planned.parts if one["kind"] == "paragraph"]
    assert any(text.startswith("To pay for urea alone: 4.50") and text.endswith("will cost extra.") for text in told)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("format = 1\n", "format = 9\n", "format"),
        ('pack = "500 g"', 'pack = "2 m"', "urea: pack"),
        ('pack = "500 g"', 'pack = "heaps"', "urea: pack"),
        ("price = 4.50", "price = -1", "price 1"),
        ("price = 4.50", 'price = "dear"', "price 1"),
        ('name = "cloth"', 'name = "urea"', "price 2"),
        ('name = "cloth"', 'nam = "cloth"', "nam"),
    ],
)
def test_a_price_list_with_a_mistake_is_one_clear_error(tmp_path, old, new, said):
    file = tmp_path / "prices.toml"
    file.write_text(PRICES.replace(old, new), encoding="utf-8")
    with pytest.raises(BatikError) as caught:
        jobs.workshop(POPPIES, prices=file)
    assert said in str(caught.value)
    assert "prices.toml" in str(caught.value)


# Words


def sheet(*, measures="metric", **asked) -> str:
    return jobs.workshop(POPPIES, measures=measures, **asked).text()


def test_every_step_that_can_hurt_says_so():
    told = sheet(makers=3, sessions="2x3h")
    for line, titles in (
        ("Wax 1: outlines", ("hot wax", "wax fire", "fumes", "children")),
        ("Young leaf", ("mixed dye", "soda ash")),
        ("Dissolve the dye powders", ("dye powder", "kitchen things")),
        ("Take the wax out", ("ironing wax out", "melting wax out in water")),
        ("Set up, melt the wax", ("hot wax",)),
    ):
        row = re.search(rf"{line}.*?(?=\n\S|\n\n)", told.split("TIMETABLE")[1], re.DOTALL).group()
        row = " ".join(row.split())
        assert all(title in row for title in titles), row
    for caution in [one for kind in ("wax", "dye", "powders", "remove_wax", "wash") for one in cautions_for(kind)]:
        assert " ".join(told.split()).count(str(caution.text)) >= 1


def test_every_kind_of_work_knows_its_cautions_and_each_has_a_source():
    assert {key for keys in KINDS.values() for key in keys} == set(CAUTIONS)
    assert all(str(caution.source) and str(caution.title) for caution in CAUTIONS.values())
    assert cautions_for("trace") == ()


def test_the_figures_behind_it_are_told_with_their_grade():
    told = sheet()
    assert "150 ml/m² (100 to 200)" in told
    assert all(one.grade in GRADES.values() and one.low <= one.value <= one.high for one in FIGURES.values())


def test_measures_stand_side_by_side():
    told = sheet(measures="all")
    stocks = told.split("MIX AHEAD: DYE STOCKS")[1].split("CHEMICAL WATER")[0]
    assert stocks.count("metric") == stocks.count("US") == stocks.count("imperial") == 4
    assert "US" not in sheet(measures="metric").split("WHERE THE FIGURES")[0]


@pytest.mark.parametrize(
    "asked",
    [
        {},
        {"makers": 30, "sessions": "3x3h", "measures": "all", "presoak": True, "room_c": 30},
        {"sessions": "45 min"},
        {"makers": 500, "room_c": 5, "measures": "us", "hard_water": True, "waste": 2.0},
    ],
)
def test_no_line_runs_off_the_page(asked):
    for line in sheet(**asked).splitlines():
        assert len(line) <= 100, line


def test_markdown_tables_are_whole():
    planned = jobs.workshop(SAMPLES / "estuary_geese", makers=4, measures="all")
    text = markdown(planned.blocks)
    for table in re.findall(r"(?:^\|.*\|$\n?)+", text, re.MULTILINE):
        assert len({line.count(" |") for line in table.replace("\\|", "").splitlines()}) == 1
    assert text.startswith("# Geese over the estuary: workshop sheet\n")


@pytest.mark.full
def test_every_kind_of_sheet_is_written(tmp_path):
    planned = jobs.workshop(POPPIES, makers=12, sessions="2x2h", room_c=19)
    for ending, start in ((".pdf", b"%PDF-"), (".png", b"\x89PNG"), (".txt", b"Garden"), (".md", b"# Garden")):
        planned.save(tmp_path / f"sheet{ending}")
        assert (tmp_path / f"sheet{ending}").read_bytes().startswith(start)
    assert b"StructTreeRoot" in (tmp_path / "sheet.pdf").read_bytes()  # tagged: readers for the blind can follow it
    with Image.open(tmp_path / "sheet.png") as chart:
        assert chart.width == 2400
    with pytest.raises(BatikError, match="this kind of file can't be written here"):
        planned.save(tmp_path / "sheet.doc")
    assert not (tmp_path / "sheet.doc").exists()


def test_a_mask_is_not_written_over(on_disk, build):
    folder = on_disk(build.design(build.wax("lines"), build.dye("sun")))
    before = (folder / "lines.png").read_bytes()
    with pytest.raises(BatikError, match="is part of the design"):
        jobs.workshop(folder).save(folder / "lines.png")
    assert (folder / "lines.png").read_bytes() == before


def test_the_command_gives_words_data_and_files(tmp_path):
    words = ["workshop", str(POPPIES), "--makers", "12", "--sessions", "two evenings of 2 hours", "--room", "19"]
    done = CliRunner().invoke(main, [*words, "--measures", "all"])
    assert done.exit_code == 0
    assert "12 makers, each with a cloth of 40 × 40 cm. Room at 19 °C. 2 sessions of 2 h." in " ".join(
        done.stdout.split()
    )
    data = json.loads(CliRunner().invoke(main, [*words, "--json"]).stdout)
    assert data["sessions_min"] == [120, 120]
    assert [pot["pot"] for pot in data["mixes"]["metric"]["pots"]] == ["young leaf", "strong pink", "blackcurrant"]
    assert data["timetable"]["sittings"][0]["slots"][0]["cautions"] == ["wax", "fire", "fumes"]
    assert data["figures"][0]["grade"] == "assumption"
    first = data["timetable"]["before"][0]
    assert first["title_says"] == {"key": "workshop.task.prepare", "values": {}}
    assert first["title"] == "Wash, dry and cut the cloth"
    assert CliRunner().invoke(main, [*words, "--out", str(tmp_path / "w.md")]).exit_code == 0
    assert (tmp_path / "w.md").exists()
