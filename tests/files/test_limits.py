"""Where the bounds of what is read lie: the last value that passes, and the first that doesn't."""

from __future__ import annotations

import io
from contextlib import nullcontext

import numpy as np
import pytest
from PIL import Image

from batiksim.errors import BatikError
from batiksim.files.measurements.spectra import read_spectrum
from batiksim.files.measurements.swatches import read_swatches
from batiksim.files.pictures.images import read_picture, read_rgb, reduced, write_png
from batiksim.files.toml.reading import LARGEST_BYTES, read_toml
from batiksim.files.toml.strips import read_strip
from batiksim.values import BookDye, Dye

GRID = range(400, 701, 10)


def refused(words):
    return nullcontext() if words is None else pytest.raises(BatikError, match=words)


@pytest.fixture
def written(tmp_path):
    def write(name, text):
        file = tmp_path / name
        file.write_bytes(text if isinstance(text, bytes) else text.encode())
        return file

    return write


def spectrum(values=None, nm=GRID):
    return "\n".join(f"{at}, {0.5 if values is None else values}" for at in nm)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (spectrum(), None),
        (spectrum(nm=range(400, 701, 20)), None),
        (spectrum(nm=range(400, 722, 21)), "has a gap of 21 nm.*after 694 nm"),
        (spectrum(nm=range(401, 702, 10)), "must cover 400 to 700 nm.*401-701 nm"),
        (spectrum(nm=range(399, 690, 10)), "must cover 400 to 700 nm"),
        (spectrum(nm=[100, *GRID, 3000]), None),  # gaps beyond what is seen don't count
        (spectrum(nm=[99, *GRID]), "line 1: is not a wavelength"),
        (spectrum(nm=[*GRID, 3001]), "line 32: is not a wavelength"),
        (spectrum(nm=[*GRID, 700]), "gives a wavelength twice .*700 nm"),
        (spectrum(values=1.05), None),
        (spectrum(values=1.06), "line 1: is not a reflectance"),
        (spectrum(values=0), None),
        (spectrum(values=-0.001), "line 1: is not a reflectance"),
        (spectrum(values=1.5), "line 1: is not a reflectance"),  # not above 1.5: no percent
        (spectrum(values=1.51), None),
        (spectrum(values=105), None),
        (spectrum(values=105.1), "line 1: is not a reflectance"),
        ("nm, R\n" + spectrum(), None),
        ("nm, R\nagain, R\n" + spectrum(), "line 2: needs two numbers"),
        ("# made\n\n" + spectrum(), None),
        (spectrum() + "\n710", "line 32: needs two numbers"),
        ("", "has no measured values"),
        (b"\xef\xbb\xbf" + spectrum().encode(), None),
        ("wavelength, réflectance\n".encode("latin-1") + spectrum().encode(), None),
        (spectrum().encode() + b"\0", "is not plain text"),
        (spectrum() + "\n#" + "x" * (1_000_000 - 2 - len(spectrum())), None),
        (spectrum() + "\n#" + "x" * (1_000_000 - 1 - len(spectrum())), "is far too large"),
    ],
)
def test_spectra(written, text, said):
    with refused(said):
        assert len(read_spectrum(written("a.csv", text))) >= 15


@pytest.mark.parametrize(
    ("text", "value"),
    [
        (spectrum(values=0.25), 0.25),
        (spectrum(values=25), 0.25),
        (spectrum(values="0.9 %"), 0.009),
        ("nm, % R\n" + spectrum(values=0.9), 0.009),
        ("# 100 % cotton\n" + spectrum(values=0.9), 0.9),
        (spectrum(values=1.04), 1.0),
        (spectrum(values="0,25").replace(", ", "; "), 0.25),
        (spectrum(values=0.25).replace(", ", "\t"), 0.25),
        (spectrum(values="0.25,,"), 0.25),
    ],
)
def test_a_spectrum_is_shares_whatever_it_was_written_in(written, text, value):
    pairs = read_spectrum(written("a.csv", text))
    assert pairs == tuple((nm, pytest.approx(value)) for nm in GRID)
    backwards = "\n".join(reversed(text.splitlines())) if text[0].isdigit() else text
    assert read_spectrum(written("b.csv", backwards)) == pairs


def test_one_value_of_percent_makes_all_percent(written):
    text = spectrum(nm=range(400, 691, 10), values=0.9) + "\n700, 90"
    pairs = read_spectrum(written("a.csv", text))
    assert (pairs[0], pairs[-1]) == ((400.0, pytest.approx(0.009)), (700.0, pytest.approx(0.9)))


def test_samples_written_elsewhere_are_shares_alone():
    def samples(value, once=None):
        return [(float(nm), value if once is None or nm != 500 else once) for nm in GRID]

    for kind in (BookDye, Dye):
        assert kind(name="grey", samples=samples(1.02)).samples[0] == (400.0, 1.0)
        kind(name="grey", samples=samples(1.05))
        for wrong in (1.06, -0.01):
            with pytest.raises(BatikError, match=rf"reflectance: is not a reflectance \(found {wrong}\); use 0 to 1"):
                kind(name="grey", samples=samples(0.2, once=wrong))
        with pytest.raises(BatikError, match="found 25.*divide percent by 100"):
            kind(name="grey", samples=samples(20.0, once=25.0))


def table(values="0.5", nm=GRID, dyes="sun 1"):
    return f"dyes,{','.join(map(str, nm))}\n{dyes},{','.join([str(values)] * len(nm))}\n"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (table(), None),
        (table(nm=range(420, 681, 20)), None),
        (table(nm=range(421, 682, 20)), "must reach from 420 to 680 nm"),
        (table(nm=range(419, 680, 20)), "must reach from 420 to 680 nm"),
        (table(nm=[420, 450, 480, 510, 550, 590, 630, 680]), None),
        (table(nm=[420, 450, 480, 510, 550, 590, 680]), "must reach from 420 to 680 nm"),
        (table(nm=[300, *GRID, 900]), None),
        (table(nm=[299, *GRID]), "line 1: .* isn't a column heading"),
        (table(nm=[*GRID, 901]), "line 1: .* isn't a column heading"),
        (table(values=1.05), None),
        (table(values=1.06), "line 2: 400: is not a reflectance"),
        (table(values=-0.1), "line 2: 400: is not a reflectance"),
        (table(values=1.5), "line 2: 400: is not a reflectance"),
        (table(values=100), None),
        (table(values=106), "line 2: 400: is not a reflectance"),
        (table(dyes="undyed"), "has no dyed swatch"),
        ("dyes,L,a,b\nsun 1,50,0,0\n", None),
        ("dyes,L,a,b\n", "needs a line of headings.*one line"),
        ("", "needs a line of headings.*nothing"),
        ("dyes,L,a,b\n" + "sun 1,50,0,0\n" * 1_999, None),
        ("dyes,L,a,b\n" + "sun 1,50,0,0\n" * 2_000, "needs a line of headings.*2001 lines"),
        ("dyes,L,a\nsun 1,50,0\n", "line 2: line 1: needs three columns"),
        ("L,a,b\n50,0,0\n", "line 1: has no column for dyes"),
        ("dyes,L,a,b\nsun 1,50,0\n", "line 2: b: needs a number .*nothing"),
        ("dyes,L,a,b\nsun 1,,,\n", "line 2: has no measured colour"),
        ("dyes,L,a,b\nsun 1,x,0,0\n", "line 2: L: needs a number .*write it like 92.1"),
        ("dyes;L;a;b\nsun 1;92,5;0;0\n", "line 2: L: needs a number .*write 92.5"),
        ("# note\n#also\ndyes,hex\nsun 1,#aabbcc\n", None),
        ("dyes,hex\n" + "#" * 10 + "\nsun 1,#aabbcc\n", None),
    ],
)
def test_swatches(written, text, said):
    with refused(said):
        assert read_swatches(written("a.csv", text))


def test_swatches_hold_what_was_written(written):
    one, two = read_swatches(
        written("a.csv", "name;dyes;L*;A*;b*;colour\nmy; sun 1 ;50;-3;7;\n;sea + sun 0.5;;;;#AABBCC\n")
    )
    assert (one.name, one.layers, one.lab, one.colour) == ("my", (("sun", 1.0),), (50.0, -3.0, 7.0), None)
    assert (two.name, two.layers, two.colour) == ("sea 1 + sun 0.5", (("sea", 1.0), ("sun", 0.5)), "#aabbcc")
    (bands,) = read_swatches(written("b.csv", table(values=102, nm=[f"{nm} nm" for nm in reversed(GRID)])))
    assert bands.samples == tuple((float(nm), 1.0) for nm in GRID)
    (bands,) = read_swatches(written("b.csv", table(values=50)))
    assert bands.samples == tuple((float(nm), 0.5) for nm in GRID)


def test_each_row_fills_in_one_kind_of_measurement(written):
    text = (
        table(values=50).replace("dyes,", "dyes,hex,").replace("sun 1,", "sun 1,,") + "sea 1,#aabbcc" + "," * len(GRID)
    )
    bands, colour = read_swatches(written("a.csv", text))
    assert bands.samples[0] == (400.0, 0.5)
    assert (colour.colour, colour.samples) == ("#aabbcc", ())


HEAD = "format = 1\n[photo]\ncorners = [[0, 0], [100, 0], [100, 50], [0, 50]]\n"
ONE = '[[patch]]\ndye = "a"\n'
AT = ONE + "at = [0, 0, 1, 1]\n"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[strip]\nrows = 100\ncolumns = 100\n" + ONE, None),
        ("[strip]\nrows = 101\ncolumns = 1\n" + ONE, "strip: rows: out of range .*101.*use a number from 1 to 100"),
        ("[strip]\nrows = 1\ncolumns = 1.5\n" + ONE, "strip: columns: needs a whole number"),
        ("[strip]\nrows = -1\ncolumns = 1\n" + ONE, "strip: rows: out of range"),
        ("[strip]\nrows = 1\n" + ONE, "patch 1: at: is missing"),
        ("[strip]\nrows = 1\ncolumns = 1\ngap = 0.8\n" + ONE, None),
        ("[strip]\nrows = 1\ncolumns = 1\ngap = 0.81\n" + ONE, "strip: gap: out of range"),
        ("[strip]\nrows = 1\ncolumns = 1\ngap = -0.1\n" + ONE, "strip: gap: out of range"),
        ('[strip]\nground = "sand"\n' + AT, "strip: ground: isn't one of the choices"),
        ("[strip]\nwidth_mm = 0\nheight_mm = 1\n" + AT, "strip: width_mm: out of range"),
        ("[strip]\nwidth_mm = 3\n" + AT, "strip: height_mm: is missing"),
        (ONE + "at = [-2, 0, 4, 1]\n", "outside the strip"),
        (ONE + "at = [-2, 0, 4.1, 1]\n", "looks like mm"),
        (ONE + "at = [0, 0, 1, 1000001]\n", "patch 1: at: height: out of range .*1000001"),
        (ONE + "at = [0, 0, 1, true]\n", "patch 1: at: needs left, top, width and height"),
        ("[[patch]]\nundyed = false\nat = [0, 0, 1, 1]\n" + AT, "patch 1: undyed: can only be true"),
        ("[[patch]]\ndyes = {}\nat = [0, 0, 1, 1]\n", "patch 1: dyes: doesn't name a dye"),
        ("[[patch]]\nundyed = true\nstrength = 2\nat = [0, 0, 1, 1]\n", "patch 1: strength: belongs to a single dye"),
        (AT + "[[card]]\nreflectance = 0.5\n", "card 1: at: is missing"),
        (AT + "[[card]]\nat = [0, 0, 1, 1]\n", "card 1: reflectance: is missing"),
        (AT.replace("at =", "aat ="), "patch 1: 'aat' isn't a setting of a patch"),
    ],
)
def test_strips(written, text, said):
    with refused(said):
        assert read_strip(written("strip.toml", HEAD + text)).patches


def test_a_strip_says_what_it_holds(written):
    head = HEAD.replace("[photo]\n", '[photo]\nlight = "A"\n')
    text = '[cloth]\ncolour = "#F1EDE2"\nassumed = true\n[[patch]]\nname = "mine"\ndye = "a"\nat = [0, 0.5, 0.5, 0.5]\n'
    strip = read_strip(
        written("strip.toml", head + text + '[[card]]\nname = "white"\nreflectance = 0.9\nat = [2, 0, 1, 1]\n')
    )
    assert (strip.title, strip.lit_by, strip.cloth_colour, strip.cloth_assumed) == ("Dyed strip", "A", "#f1ede2", True)
    assert strip.corners == ((0, 0), (100, 0), (100, 50), (0, 50))
    assert [(patch.name, patch.at, patch.card) for patch in strip.patches] == [
        ("mine", (0, 0.5, 0.5, 0.5), None),
        ("white", (2, 0, 1, 1), 0.9),
    ]
    plain = read_strip(written("strip.toml", HEAD + AT + "[[card]]\nreflectance = 0.9\nat = [2, 0, 1, 1]\n"))
    assert (plain.lit_by, plain.cloth_assumed, plain.patches[1].name) == ("D65", False, "card 1")


def test_a_toml_file_has_its_largest_size(written):
    text = "a = 1\n#"
    assert read_toml(written("a.toml", text + "x" * (LARGEST_BYTES - len(text)))) == {"a": 1}
    with pytest.raises(BatikError, match="is far too large .*1,000,001 bytes"):
        read_toml(written("a.toml", text + "x" * (LARGEST_BYTES - len(text) + 1)))


def test_many_parts_of_a_key_are_refused(written):
    assert read_toml(written("a.toml", ".".join("a" * 40) + " = 1"))
    with pytest.raises(BatikError, match="line 2: has a setting with far too many parts in its name"):
        read_toml(written("a.toml", "x = 1\n" + ".".join("a" * 41) + " = 1"))


@pytest.mark.parametrize(("rows", "cols", "good"), [(8, 8, True), (7, 9, False), (9, 7, False), (100, 8, True)])
def test_a_picture_has_eight_pixels_each_way(tmp_path, rows, cols, good):
    Image.new("L", (cols, rows), 7).save(tmp_path / "a.png")
    with refused(None if good else f"has too few pixels .*{cols} x {rows} pixels"):
        assert read_picture(tmp_path / "a.png").grey.shape == (rows, cols)


def test_a_picture_has_its_most_pixels(tmp_path):
    Image.new("L", (10, 12), 7).save(tmp_path / "a.png")
    assert read_picture(tmp_path / "a.png", most_pixels=120).alpha is None
    with pytest.raises(BatikError, match="has far too many pixels .*10 x 12 pixels.*at most 0.000119 million"):
        read_picture(tmp_path / "a.png", most_pixels=119)


@pytest.mark.parametrize("deep", [0, 1, 127, 128, 129, 384, 385, 386, 32_767, 32_896, 65_407, 65_535])
def test_sixteen_bits_to_eight_are_a_257th(tmp_path, deep):
    """To the nearest, halves a little early: 128 of 257 is .498."""
    Image.fromarray(np.full((8, 8), deep, np.uint16)).save(tmp_path / "a.png")
    assert np.unique(read_picture(tmp_path / "a.png").grey) == [int(deep / 257 + 0.502)]


def test_clear_parts_are_laid_over_white_band_by_band(tmp_path):
    """A picture of more pixels than a band: half clear black over white is the grey between."""
    rgba = np.zeros((1100, 1000, 4), np.uint8)
    rgba[::2, :, 3] = 255
    rgba[1::2, :, 3] = 128
    Image.fromarray(rgba).save(tmp_path / "a.png")
    rgb = read_rgb(tmp_path / "a.png")
    assert rgb.shape == (1100, 1000, 3)
    assert np.unique(rgb[::2]) == [0]
    assert np.unique(rgb[1::2]) == [127]


def test_a_picture_is_reduced_by_area():
    picture = np.array([[0, 100, 200, 200], [100, 200, 200, 200]], np.uint8)
    assert reduced(picture, 2).tolist() == [[100, 200]]
    assert reduced(picture, 4) is picture
    assert reduced(picture, 5) is picture
    assert reduced(picture, 2, 2).tolist() == [[50, 200], [150, 200]]
    assert reduced(np.zeros((1, 9), np.uint8), 3).shape == (1, 3)
    assert reduced(np.zeros((2, 8, 3), np.uint8), 4).shape == (1, 4, 3)


def test_a_plate_says_how_large_it_is():
    """100 pixels over 254 mm are 10 to the inch, about 394 to the metre."""
    rgb = np.random.default_rng(1).integers(0, 255, (50, 100, 3), np.uint8)
    out = io.BytesIO()
    write_png(out, rgb, width_mm=254)
    assert Image.open(out).info["dpi"] == pytest.approx((10, 10), abs=0.02)
    plain = io.BytesIO()
    write_png(plain, rgb)
    assert "dpi" not in Image.open(plain).info
