"""Strength ladders and spectra: their values, and that the charts show them."""

import io
import shutil
import subprocess

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.text import Text
from numpy.testing import assert_allclose
from PIL import Image

from batiksim.cloth.dyes_on_cloth import cloth_dyes
from batiksim.colour.spaces import hex_to_lab
from batiksim.dyes.ladders import ladder, spectra
from batiksim.dyes.overdye import overdye
from batiksim.sheets.charts.curves import apart, ladder_chart, spectra_chart
from batiksim.sheets.charts.figures import figure_bytes
from batiksim.values import BuildUp, Cloth, Dye, Pot

COLOURS = {"sun": "#f0d92e", "pink & rose $x$": "#d6246e", "sea": "#1aa7b8", "night": "#20284a"}
CLOTH = Cloth(width_mm=100)
STRENGTHS = (0.0625, 0.125, 0.25, 0.5, 1.0, 2.0)


def dyes(**keys):
    return cloth_dyes(CLOTH, [Dye(name=name, colour=shown, **keys) for name, shown in COLOURS.items()])


def pots():
    return [Pot(name=name, parts={name: 1}) for name in COLOURS]


def picture(figure):
    with Image.open(io.BytesIO(figure_bytes(figure, "png"))) as image:
        return np.asarray(image.convert("RGB")).astype(int)


def test_a_ladder_reaches_the_dye_s_own_colour_at_full_strength_and_darkens():
    for pot in pots():
        rungs = ladder(dyes(), pot, STRENGTHS)
        light = [hex_to_lab(colour)[0] for colour in rungs.colours]
        assert light == sorted(light, reverse=True)
        assert_allclose(hex_to_lab(rungs.colours[4]), hex_to_lab(COLOURS[pot.name]), atol=0.6)


def test_a_ladder_is_the_edge_of_the_overdye_chart_also_where_cloth_is_full():
    made = overdye(dyes(), pots(), title="Test", strength=3.5)
    for name, shade in zip(made.dyes, made.seconds, strict=True):
        pot = next(pot for pot in pots() if pot.name == name)
        assert ladder(dyes(), pot, [3.5]).colours == (shade.hex,)


def test_build_up_is_used():
    flat = dyes(build_up=BuildUp(law="saturating", bend=3.0))
    sun = pots()[2]
    assert hex_to_lab(ladder(flat, sun, [0.25]).colours[0])[0] < hex_to_lab(ladder(dyes(), sun, [0.25]).colours[0])[0]


def test_spectra_are_of_dyed_cloth():
    found = spectra(dyes(), pots(), strength=0.5)
    assert [one.name for one in found] == list(COLOURS)
    for one, pot in zip(found, pots(), strict=True):
        assert one.reflectance.shape == (31,)
        assert ladder(dyes(), pot, [0.5]).colours == (one.colour,)


def test_the_ladder_s_ribbons_show_its_colours():
    rungs = [ladder(dyes(), pot, STRENGTHS) for pot in pots()]
    figure = ladder_chart(rungs)
    shown = picture(figure)
    axes = figure.axes[0]
    for row, one in enumerate(rungs):
        for strength, colour in zip(one.strengths[1:-1], one.colours[1:-1], strict=True):
            x, y = axes.transData.transform((np.log2(strength) + 0.03, row + 0.2))
            seen = shown[shown.shape[0] - round(y), round(x)]
            assert np.abs(seen - list(bytes.fromhex(colour[1:]))).max() <= 9


def test_measured_swatches_lie_on_the_ribbon():
    without = ladder(dyes(), pots()[0], STRENGTHS)
    with_one = ladder(dyes(), pots()[0], STRENGTHS, measured=[(0.5, "#2040c0")])
    figure = ladder_chart([with_one])
    x, y = figure.axes[0].transData.transform((-1.0, 0.0))
    shown, plain = picture(figure), picture(ladder_chart([without]))
    at = (shown.shape[0] - round(y), round(x) + 4)
    assert_allclose(shown[at], [0x20, 0x40, 0xC0], atol=2)
    assert not np.array_equal(plain[at], shown[at])


@pytest.mark.parametrize("count", [1, 4, 24])
def test_names_of_spectra_stay_on_the_figure_and_apart(count):
    some = [one for _ in range(6) for one in spectra(dyes(), pots())][:count]
    figure = spectra_chart(some)
    figure.canvas.draw()
    names = [text for text in figure.axes[0].texts if text.get_text() in COLOURS]
    boxes = sorted((text.get_window_extent() for text in names), key=lambda box: box.y0)
    assert len(boxes) == count
    for below, above in zip(boxes, boxes[1:], strict=False):
        assert above.y0 - below.y0 > 0.95 * below.height
    wide, high = figure.get_size_inches() * figure.dpi
    assert boxes[0].y0 >= 0
    assert boxes[-1].y1 <= high
    assert max(box.x1 for box in boxes) <= wide


@pytest.mark.full
@given(st.lists(st.floats(0, 1), min_size=0, max_size=12), st.floats(0.01, 0.08))
def test_places_move_apart_in_order(places, least):
    moved = np.array(apart(sorted(places), least))
    assert np.all(np.diff(moved) >= least - 1e-9)
    assert np.all((moved >= -1e-9) & (moved <= 1 + 1e-9))


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext is not on this machine")
def test_words_of_a_chart_s_pdf_can_be_selected(tmp_path):
    made = figure_bytes(spectra_chart(spectra(dyes(), pots())), "pdf")
    assert made.count(b"/FontFile2") == 2
    (tmp_path / "chart.pdf").write_bytes(made)
    told = subprocess.run(["pdftotext", tmp_path / "chart.pdf", "-"], capture_output=True, text=True, check=True).stdout
    assert "pink & rose $x$" in told
    assert "How much daylight each dye reflects" in told


LONG = {"golden yellow of the long barley field": "#eab52a", "very dark, nearly black walnut brown": "#36241d"}


@pytest.mark.parametrize("kind", ["ladders", "spectra"])
@pytest.mark.parametrize("names", [LONG, {"ひまわり \u0b95\u0bcd": "#eab52a", "синий": "#2e4f9c"}, COLOURS], ids=str)
def test_names_stand_on_the_chart_whatever_they_are(kind, names):
    made = cloth_dyes(CLOTH, [Dye(name=name, colour=shown) for name, shown in names.items()])
    ones = [Pot(name=name, parts={name: 1}) for name in names]
    figure = (
        ladder_chart([ladder(made, one, STRENGTHS) for one in ones])
        if kind == "ladders"
        else spectra_chart(spectra(made, ones))
    )
    figure_bytes(figure, "png")  # a letter that is missing would be a warning, which is an error here
    wide, high = figure.get_size_inches() * figure.dpi
    written = [text for text in figure.findobj(Text) if text.get_visible() and text.get_text()]
    assert len(written) > len(names)
    for text in written:
        box = text.get_window_extent()
        assert box.x0 >= 0, text
        assert box.y0 >= 0, text
        assert box.x1 <= wide, text
        assert box.y1 <= high, text
    assert any("синий" in text.get_text() for text in written) == ("синий" in names)
