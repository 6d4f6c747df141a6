"""The plane of a cloth's colours: ways of its regions, rounds and numbers, and the command that draws charts."""

import io
import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from PIL import Image

from batiksim import cli, jobs
from batiksim.cloth.journeys import journeys
from batiksim.errors import BatikError
from batiksim.jobs.previews import preview_of
from batiksim.sheets.charts.figures import figure_bytes
from batiksim.sheets.charts.lab_plane import plane_chart, tag_places
from batiksim.values import MADE_BY

POPPIES = "sample_designs/garden_poppies"


@pytest.fixture(scope="module")
def poppies():
    return jobs.open_design(POPPIES, width_px=200)


@pytest.fixture(scope="module")
def ways(poppies):
    return journeys(poppies.outcome)


def test_ways_end_where_the_preview_says(poppies, ways):
    regions = {region.hex: region for region in preview_of(poppies).regions}
    assert {one.hex for one in ways[:3]} <= set(regions)
    for one in ways:
        region = regions.get(one.hex)  # ways that end nearly alike are one region
        if region is not None:
            assert (one.name, one.history) == (region.name, region.history)
            assert_allclose(one.labs[-1], region.lab)
        assert len(one.labs) == len(one.history) + 1


def test_a_way_leads_over_green_to_brown(ways):
    leaf = next(one for one in ways if one.history == ("young leaf", "strong pink"))
    bare, green, brown = leaf.labs
    assert bare[0] > green[0] > brown[0]
    assert green[1] < -20 < 0 < brown[1]


def test_every_colour_is_a_round_in_its_own_colour(ways):
    figure = plane_chart(ways)
    with Image.open(io.BytesIO(figure_bytes(figure, "png"))) as picture:
        shown = np.asarray(picture.convert("RGB")).astype(int)
    axes = figure.axes[0]
    middles = [axes.transData.transform(one.labs[-1][1:]) for one in ways]
    alone = [
        n for n, at in enumerate(middles) if all(np.hypot(*(at - other)) > 60 for other in middles if other is not at)
    ]
    assert len(alone) >= 3
    for one, (x, y) in [(ways[n], middles[n]) for n in alone]:
        seen = shown[shown.shape[0] - round(y), round(x)]
        assert_allclose(seen, list(bytes.fromhex(one.hex[1:])), atol=2)
    texts = [text.get_text() for part in figure.axes for text in part.texts]
    for number, one in enumerate(ways, 1):
        assert str(number) in texts
        assert any(one.name in text for text in texts)


def test_nothing_written_runs_off_the_figure(ways):
    figure = plane_chart([ways[0]] * 12, title="A very long title of a cloth " * 8)
    figure.canvas.draw()
    wide, high = figure.get_size_inches() * figure.dpi
    for text in [*figure.texts, *(text for part in figure.axes for text in part.texts)]:
        box = text.get_window_extent()
        assert box.x0 >= 0
        assert box.y0 >= 0
        assert box.x1 <= wide
        assert box.y1 <= high


@given(st.lists(st.tuples(st.floats(-2, 2), st.floats(-2, 2), st.floats(0.07, 0.35)), min_size=1, max_size=10))
@settings(max_examples=60)
def test_numbers_stand_clear_where_there_is_room(rounds):
    places = np.array([one[:2] for one in rounds])
    radii = np.array([one[2] for one in rounds])
    tags = tag_places(places, radii, np.zeros((0, 2)))
    assert tags.shape == places.shape
    away = np.hypot(*(tags - places).T)
    assert np.all(away >= radii)
    if len(rounds) <= 3:  # there is always room for so few
        for at, tag in enumerate(tags):
            assert np.all(np.hypot(*(tag - places).T) >= radii)
            assert np.all(np.hypot(*(tag - np.delete(tags, at, 0)).T) >= 0.25)


@pytest.mark.some(1)
@pytest.mark.parametrize("kind", jobs.CHARTS)
def test_charts_are_files_of_their_ending(kind, tmp_path):
    drawn = jobs.chart(kind, POPPIES)
    for ending, start in (("png", b"\x89PNG"), ("pdf", b"%PDF"), ("svg", b"<?xml"), ("json", b"{")):
        drawn.save(tmp_path / f"chart.{ending}")
        assert (tmp_path / f"chart.{ending}").read_bytes().startswith(start)
    with Image.open(tmp_path / "chart.png") as picture:
        assert picture.width > 1000
    assert json.loads((tmp_path / "chart.json").read_text()) == drawn.data() | {"made": MADE_BY}
    assert drawn._repr_png_().startswith(b"\x89PNG")


@pytest.mark.full
@pytest.mark.parametrize("kind", ["pdf", "svg"])
def test_the_same_chart_gives_the_same_bytes(kind, ways):
    assert figure_bytes(plane_chart(ways), kind) == figure_bytes(plane_chart(ways), kind)


def test_measured_swatches_come_from_a_table(tmp_path):
    (tmp_path / "swatches.csv").write_text("dyes,hex\nlemon 0.5,#ece27a\nlemon 1 + navy 1,#2a3a30\nlemon 3,#e0d000\n")
    drawn = jobs.chart("ladders", "demo", only=["lemon"], measured=tmp_path / "swatches.csv")
    assert drawn.data()["dyes"][0]["measured"] == [[0.5, "#ece27a"]]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["colours", "demo", "--out", "a.png"], "is a dye book"),
        (["ladders", "demo"], "needs a file"),
        (["ladders", "demo", "--only", "lemmon", "--out", "a.png"], "did you mean 'lemon'"),
        (["spectra", "demo", "--strength", "0", "--out", "a.png"], "above 0"),
        (["spectra", "demo", "--out", "a.gif"], "a.gif"),
    ],
)
def test_mistakes_are_one_message(words, told, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    result = CliRunner().invoke(cli.main, ["chart", *words])
    assert result.exit_code == 2
    assert told in result.output
    assert list(tmp_path.iterdir()) == []


def test_a_chart_never_replaces_what_it_is_made_from(tmp_path):
    book = tmp_path / "book.json"
    book.write_text('format = 1\ntitle = "Mine"\n[[dye]]\nname = "sun"\ncolour = "#f0d92e"\n')
    drawn = jobs.chart("spectra", book)
    with pytest.raises(BatikError, match="made from"):
        drawn.save(book)


def test_a_design_in_memory_is_charted_as_it_is(poppies):
    held, read = (jobs.chart("ladders", source, use_pots=True).data() for source in (poppies.design, POPPIES))
    assert (held.pop("design")["file"], read.pop("design")["file"]) == (None, str(Path(POPPIES, "design.toml")))
    assert held == read
    assert held["pots"][0]["name"] == "young leaf"
    dark, own = (jobs.chart("ladders", poppies.design, cloth=cloth).data() for cloth in ("#c0b8a0", None))
    assert dark["dyes"][0]["colours"][0] != own["dyes"][0]["colours"][0]


def test_the_command_prints_data():
    result = CliRunner().invoke(cli.main, ["chart", "spectra", "demo", "--only", "lemon", "--json"])
    assert result.exit_code == 0
    told = json.loads(result.output)
    assert [one["name"] for one in told["dyes"]] == ["lemon"]
    assert len(told["nm"]) == len(told["dyes"][0]["reflectance"]) == 31


@pytest.mark.some(1)
@pytest.mark.parametrize("light", ["A", "LED"])
def test_charts_by_another_light(light, tmp_path):
    """Each chart's colours are those of the pot in that light; its title says so."""
    look = jobs.pot("strong pink", dyes=POPPIES, light=light)
    rungs = jobs.chart("ladders", POPPIES, only=["strong pink"], light=light).data()
    full = rungs["strengths"].index(1.0)
    assert rungs["dyes"][0]["colours"][full] == look.dry.hex
    assert rungs["light"] == light
    lines = jobs.chart("spectra", POPPIES, only=["strong pink"], light=light).data()
    by_day = jobs.chart("spectra", POPPIES, only=["strong pink"]).data()
    assert lines["dyes"][0]["hex"] == look.dry.hex != by_day["dyes"][0]["hex"]
    assert lines["dyes"][0]["reflectance"] == by_day["dyes"][0]["reflectance"]
    plane, day_plane = (
        {
            tuple(colour["history"]): colour["hex"]
            for colour in jobs.chart("colours", POPPIES, light=lit).data()["colours"]
        }
        for lit in (light, "D65")
    )
    assert plane[()] == look.cloth.hex
    assert plane["strong pink",] != day_plane["strong pink",]
    (tmp_path / "swatches.csv").write_text("dyes,hex\nstrong pink,#d6246e\n")
    with pytest.raises(BatikError, match="swatches are measured by daylight"):
        jobs.chart("ladders", POPPIES, light=light, measured=tmp_path / "swatches.csv")
