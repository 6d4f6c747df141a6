"""Orders: counting them, searching where there are too many, what is said about them, files and errors."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import permutations, product
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from batiksim import jobs
from batiksim.cli import main
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.spaces import hex_to_lab
from batiksim.errors import BatikError
from batiksim.ordering import ranking
from batiksim.ordering.areas import Partition
from batiksim.ordering.contrast import LOST, blurred, told_apart
from batiksim.ordering.design_of_order import order_design
from batiksim.ordering.enumeration import count_choices, count_orders, list_choices, list_orders
from batiksim.ordering.reasons import reasons
from batiksim.ordering.report import KEPT, met_wants, standing_words
from batiksim.ordering.search import differ
from batiksim.texts.catalogue import say
from batiksim.values import DyeBath

SAMPLES = Path(__file__).resolve().parents[2] / "sample_designs"
GEESE, POPPIES = SAMPLES / "estuary_geese", SAMPLES / "garden_poppies"


@given(st.lists(st.integers(0, 4), min_size=1, max_size=6).map(tuple))
def test_all_deals_are_listed_once(own):
    listed = [tuple(row) for row in list_orders(own).tolist()]
    assert sorted(listed) == sorted(set(permutations(own)))
    assert listed[0] == own
    assert count_orders(own) == len(listed)


@given(st.integers(1, 5), st.integers(1, 4), st.integers(1, 4))
def test_all_choices_are_listed_once(pots, slots, different):
    truth = [row for row in product(range(pots), repeat=slots) if len(set(row)) == different]
    if different <= min(pots, slots):
        assert sorted(map(tuple, list_choices(pots, slots, different).tolist())) == truth
    assert count_choices(pots, slots, different) == len(truth)


def test_four_of_twenty_four_in_order():
    assert count_choices(24, 4, 4) == 255_024  # 24 x 23 x 22 x 21


def _found(points: float, *colours: str) -> ranking.OrderCandidate:
    labs = np.array([hex_to_lab(colour) for colour in colours])
    return ranking.OrderCandidate(layout=(0,), choice=(int(points),), picks=None, points=points, parts={}, labs=labs)


def test_a_near_twin_is_left_out_and_the_better_of_two_kept():
    best, twin, other = (
        _found(1, "#c03040", "#20305a"),
        _found(2, "#c23142", "#20305a"),
        _found(3, "#308050", "#20305a"),
    )
    kept = differ([twin, other, best], np.array([0.5, 0.5]), best=5)
    assert [one.points for one in kept] == [1, 3]


def test_between_equals_the_design_as_it_stands_comes_first(tmp_path):
    jobs.new_design(tmp_path / "first")
    found = jobs.orders(tmp_path / "first").found  # asks for no colours: many orders are as good
    top = found.ranked[0].found
    assert top.points == pytest.approx(found.planned.found.points)
    assert (top.layout, top.choice) == (found.planned.found.layout, found.planned.found.choice)


def test_a_speck_of_another_colour_makes_no_other_plan():
    one, other = _found(1, "#c03040", "#20305a"), _found(2, "#c03040", "#e0c040")
    assert len(differ([one, other], np.array([0.995, 0.005]), best=5)) == 1


@pytest.fixture(scope="module")
def geese():
    return jobs.orders(GEESE)


@pytest.fixture(scope="module")
def poppies():
    return jobs.orders(POPPIES, derive=True)


def test_a_search_says_so_and_finds_what_trying_all_finds(geese, monkeypatch):
    monkeypatch.setattr(ranking, "MOST_TRIED", 10)
    searched = jobs.orders(GEESE).found
    assert (searched.how, geese.found.how) == ("search", "every")
    assert searched.of == geese.found.of
    assert searched.ranked[0].found.choice == geese.found.ranked[0].found.choice
    assert searched.ranked[0].found.points == pytest.approx(geese.found.ranked[0].found.points)
    assert "there may be better" in jobs.orders_data(replace(geese, found=searched))["told"]


@pytest.mark.full
def test_a_search_of_choices_keeps_to_the_numbers_asked_for(monkeypatch):
    every = jobs.orders(POPPIES, choose=(3, 3)).found
    monkeypatch.setattr(ranking, "MOST_TRIED", 10)
    searched = jobs.orders(POPPIES, choose=(3, 3)).found
    assert searched.how == "search"
    assert all(len(set(one.found.choice)) == 3 for one in searched.ranked)
    assert searched.ranked[0].found.points == pytest.approx(every.ranked[0].found.points)


def test_the_geese_already_stand_in_their_best_order(geese):
    top = geese.found.ranked[0]
    assert top.slot_pots == geese.found.planned.slot_pots
    assert geese.found.better == 0
    assert all(met.kept for met in met_wants(geese.found, top))


def test_waxing_the_leaves_first_mends_the_poppies(poppies):
    top, planned = poppies.found.ranked[0], poppies.found.planned
    leaves = {met.called: met for met in met_wants(poppies.found, top)}["leaves"]
    before = {met.called: met for met in met_wants(poppies.found, planned)}["leaves"]
    assert leaves.kept
    assert before.delta_e > 40
    assert any(str(reason) == "Wax leaves before strong pink." for reason in reasons(poppies.found, top))
    assert any(reason.key == "orders.reason.mud" for reason in reasons(poppies.found, planned))


def test_what_is_said_of_wants_agrees_with_their_numbers(geese):
    for one in geese.found.ranked:
        for met in met_wants(geese.found, one):
            assert delta_e_2000(met.wanted_lab, met.lab) <= met.delta_e + 6  # the largest part of what was wanted
            assert not met.kept or met.delta_e <= 12
            assert met.kept or met.delta_e > KEPT


def test_another_shade_of_the_colour_asked_for_is_told_by_how_it_differs():
    found = jobs.orders(POPPIES / "remedy.toml").found
    why = reasons(found, found.ranked[0])
    (missed,) = (reason for reason in why if reason.key == "orders.reason.near_miss")
    assert missed.values["off"] == 14
    assert str(missed).startswith("Leaves: ")
    assert not any(reason.key == "orders.reason.miss" for reason in why)


def test_parts_sum_up_to_the_points(geese):
    for one in (*geese.found.ranked, geese.found.planned):
        assert sum(one.found.parts.values()) == pytest.approx(one.found.points)


def test_a_strong_dye_before_a_pale_one_costs_and_is_told(geese):
    late = next(one for one in geese.found.ranked if one.found.parts["order"] > 0)
    assert any(reason.key == "orders.reason.strong_first" for reason in reasons(geese.found, late))
    assert say("orders.reason.pale_to_strong") in reasons(geese.found, geese.found.ranked[0])


def test_two_orders_of_equally_strong_dyes_are_told_apart_by_what_they_change(tmp_path):
    fish = np.full((300, 400), 255, np.uint8)
    fish[100:200, 120:280] = 0
    Image.fromarray(fish).save(tmp_path / "fish.png")
    (tmp_path / "design.toml").write_text(
        'format = 1\ntitle = "Fish"\n[cloth]\nwidth_mm = 300\n'
        '[[dye]]\nname = "emerald"\ncolour = "#137c5c"\n[[dye]]\nname = "magenta"\ncolour = "#c42a6c"\n'
        '[[step]]\ndye = "emerald"\nnote = "Damp"\n[[step]]\nwax = "fish.png"\n[[step]]\ndye = "magenta"\n',
        encoding="utf-8",
    )
    ordered = jobs.orders(tmp_path)
    first, second = (reasons(ordered.found, one) for one in ordered.found.ranked)
    assert say("orders.reason.equally_strong") in first
    assert say("orders.reason.pale_to_strong") not in [*first, *second]
    assert not any(reason.key == "orders.reason.changed" for reason in first)
    assert any(
        str(reason).startswith("Compared with your own order, 13% of the cloth is") for reason in second
    )  # the fish: 160 x 100
    data = jobs.orders_data(ordered)
    assert [one["as_it_stands"] for one in data["orders"]] == [True, False]
    assert data["told"] == f"All 2 orders tried. {standing_words(ordered.found)}"
    assert not any("The rest" in note or "[[" in note for note in data["notes"])  # both are shown
    for one in ordered.found.ranked:  # what the maker notes of a dyeing goes where it goes
        baths = [step for step in order_design(ordered.found, one).steps if isinstance(step, DyeBath)]
        assert {bath.paints[0].pot: bath.note for bath in baths} == {"emerald": "Damp", "magenta": ""}


@pytest.mark.full
def test_the_sheet_and_its_data_are_written_together(poppies, tmp_path):
    names = jobs.save_orders(poppies, tmp_path)
    assert names == ("orders.json", "orders.png")
    picture = np.asarray(Image.open(tmp_path / "orders.png"))
    assert picture.shape[1] == 2400
    data = json.loads((tmp_path / "orders.json").read_text(encoding="utf-8"))
    assert [one["rank"] for one in data["orders"]] == list(range(1, len(data["orders"]) + 1))
    assert data["masks"] == "derive"
    assert data["orders"][0]["wants"][0]["called"] == "leaves"


@pytest.mark.full
def test_a_written_order_is_a_design_that_previews_as_ranked(poppies, tmp_path):
    folder = tmp_path / "first"
    names = jobs.write_order(poppies, folder)
    assert {"design.toml", "new-wax-1.png"} <= set(names)
    saved = jobs.preview(folder)
    top = poppies.found.ranked[0]
    areas = poppies.found.areas
    large = int(np.argmax(areas.shares))
    nearest = min(delta_e_2000(np.array(region.lab), top.found.labs[large]) for region in saved.regions)
    assert nearest < 1


@pytest.mark.full
@pytest.mark.parametrize("what", ["design.toml", "new-wax-1.png"])
def test_nothing_of_another_design_is_overwritten(poppies, tmp_path, what):
    (tmp_path / what).write_text("mine")
    with pytest.raises(BatikError, match="already exists"):
        jobs.write_order(poppies, tmp_path)
    assert [entry.name for entry in tmp_path.iterdir()] == [what]
    assert (tmp_path / what).read_text() == "mine"


@pytest.mark.some(1)
@pytest.mark.parametrize(
    ("asked", "field"), [({"choose": (9, 9)}, "choose"), ({"choose": (3, 2)}, "choose"), ({"choose": (0, 2)}, "choose")]
)
def test_numbers_that_do_not_fit_are_one_clear_error(asked, field):
    with pytest.raises(BatikError) as caught:
        jobs.orders(POPPIES, **asked)
    assert caught.value.field == field
    assert str(caught.value.fix)


def test_a_rank_that_is_not_there(poppies, tmp_path):
    with pytest.raises(BatikError, match="there is no order 99"):
        jobs.write_order(poppies, tmp_path / "x", rank=99)
    assert not (tmp_path / "x").exists()


def test_a_design_without_a_dyeing_has_no_order(build, on_disk):
    with pytest.raises(BatikError, match="has no dyeing"):
        jobs.orders(on_disk(build.design(build.wax("lines"))))


def printed(*words: object) -> str:
    done = CliRunner().invoke(main, [str(word) for word in words])
    assert done.exit_code == 0, done.output
    return done.stdout


def test_the_command_prints_ranks_wants_and_how_it_looked():
    told = printed("orders", GEESE, "--best", 2)
    assert "All 480 orders tried." in told
    assert "1. Your own order: straw" in told
    assert "sunset: #" in told


def test_the_command_gives_data():
    data = json.loads(printed("orders", POPPIES, "--choose", "2-3", "--best", 2, "--json"))
    assert len(data["orders"]) == 2
    assert data["how"] == "every"


# Shapes that vanish


def moon_behind_bars(folder):
    """Yellow bars kept by wax on a green ground, and a small dark moon: pale to strong would hide the moon in navy."""
    bars, moon = np.full((400, 600), 255, np.uint8), np.full((400, 600), 255, np.uint8)
    for left in range(10, 600, 24):
        bars[:, left : left + 10] = 0
    rows, cols = np.ogrid[:400, :600]
    moon[np.hypot(rows - 200, cols - 300) < 60] = 0
    Image.fromarray(bars).save(folder / "bars.png")
    Image.fromarray(moon).save(folder / "moon.png")
    dyes = "".join(
        f'[[dye]]\nname = "{name}"\ncolour = "{colour}"\n'
        for name, colour in (("sun", "#f0d92e"), ("sea", "#1aa7b8"), ("navy", "#1f2a52"))
    )
    text = f"""format = 1
title = "Moon"
[cloth]
width_mm = 120
{dyes}
[[step]]
dye = "sun"
[[step]]
wax = "bars.png"
[[step]]
dye = [ {{ pot = "navy", where = "moon.png" }} ]
[[step]]
dye = "sea"
"""
    (folder / "design.toml").write_text(text, encoding="utf-8")
    return folder


def test_an_order_that_hides_a_shape_falls_behind(tmp_path):
    found = jobs.orders(moon_behind_bars(tmp_path), best=9).found
    assert found.ranked[0].found.parts["vanished"] == 0
    hidden = next(one for one in found.ranked if [pot.name for pot in one.slot_pots] == ["sun", "sea", "navy"])
    without = hidden.found.points - hidden.found.parts["vanished"]
    assert sum(one.found.points < without for one in found.ranked) == 2  # but for the moon it would come third
    assert hidden.rank > 3
    assert any(reason.key.startswith("orders.reason.lost") for reason in reasons(found, hidden))


@pytest.mark.full
def test_a_lost_shape_and_neighbours_that_read_are_never_told_together(tmp_path):
    for folder in (GEESE, POPPIES, moon_behind_bars(tmp_path)):
        for derive in (False, True):
            found = jobs.orders(folder, best=6, derive=derive).found
            for one in found.ranked:
                said = reasons(found, one)
                lost = [reason for reason in said if reason.key.startswith("orders.reason.lost")]
                assert not lost or one.found.parts["vanished"] > 0
                assert not (lost and say("orders.reason.distinct") in said)


def test_a_shape_counts_by_its_outline_and_its_size():
    """A disc of half a hundredth of the cloth, all of its outline against the ground, then told apart no more."""
    edges = np.array([[0.0, 0.2], [0.2, 0.0]])
    areas = Partition(
        labels=np.zeros((2, 2), np.int16),
        shares=np.array([0.995, 0.005]),
        opened=np.ones((2, 1), np.bool_),
        reached=np.ones((2, 1, 1), np.bool_),
        levels=np.ones((2, 1, 1)),
        wanted=np.zeros((2, 0), np.bool_),
        edges=edges,
        rest=np.zeros((2, 0), np.bool_),
        thresholds=(),
    )
    none, clean = np.full((2, 3), np.nan), np.zeros(2, np.bool_)
    before = np.array([[40.0, 0, 0], [80.0, 0, 0]])
    (border,) = told_apart(areas, before, none, clean)
    assert border.weight == pytest.approx(0.5)
    labs = np.array([[[50.0, 0, 0], [50.0, 0, 0]], [[50.0, 0, 0], [53.0, 0, 0]], [[20.0, 0, 0], [70.0, 0, 0]]])
    off = float(delta_e_2000(labs[1, 0], labs[1, 1]))
    assert blurred([border], labs, apart=LOST) == pytest.approx([0.5, 0.5 * (1 - off / LOST), 0.0])
    assert told_apart(areas, np.array([[50.0, 0, 0], [52.0, 0, 0]]), none, clean) == ()
    assert told_apart(areas, before, np.full((2, 3), 50.0), clean) == ()
    assert told_apart(areas, before, none, np.array([False, True])) == ()
