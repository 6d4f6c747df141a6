"""Tracing sheets measured from outside: sizes, check line and outlines as the PDF and SVG files hold them."""

import io
import re
from xml.etree import ElementTree

import numpy as np
import pdfplumber
import pikepdf
import pytest

from batiksim.cloth.outlines import outlines
from batiksim.errors import BatikError
from batiksim.sheets.trace.layout import PAPERS, Sheets, share_out
from batiksim.sheets.trace.lines import tracing_of
from batiksim.sheets.trace.places import map_axes, place_lines, place_words
from batiksim.sheets.trace.sheets import large_pdf, large_svg, sheets_pdf
from batiksim.texts.catalogue import texts
from batiksim.values import Cloth, Design, MaskUse, RemoveWax, Wax

PT = 72 / 25.4
WIDTH, HEIGHT = 660.0, 480.0
INK, PALE, AMBER = (0x22, 0x28, 0x3A), (0xA3, 0xA7, 0xB5), (0xC8, 0x89, 0x2B)


def soft(signed_px):
    """A mask with a soft edge from distances in pixels, inside above 0."""
    return np.rint(255 * np.clip(signed_px + 0.5, 0, 1)).astype(np.uint8)


@pytest.fixture(scope="module")
def masks():
    y, x = np.mgrid[0:480, 0:660] + 0.5  # 1 mm a pixel
    ring = 2.0 - np.abs(np.hypot(x - 330, y - 240) - 180)  # a line 4 mm wide, radius 180 mm about (330, 240)
    disc = 55 - np.hypot(x - 200, y - 200)  # radius 55 mm about (200, 200)
    return {MaskUse(picture="ring.png"): soft(ring), MaskUse(picture="disc.png"): soft(disc)}


def design_of(masks, *between):
    first, second = (Wax(mask=use, tool="canting") for use in masks)
    return Design(title="Moon", cloth=Cloth(width_mm=WIDTH), steps=(first, *between, second))


@pytest.fixture(scope="module")
def tracing(masks):
    return tracing_of(design_of(masks), masks)


@pytest.fixture(scope="module")
def made(tracing):
    return sheets_pdf(tracing, paper="a4")


@pytest.fixture(scope="module")
def pages(made):
    with pdfplumber.open(io.BytesIO(made.pdf)) as pdf:
        yield [(page, [*page.lines, *page.curves, *page.rects]) for page in pdf.pages]


def is_colour(thing, rgb):
    colour = thing["stroking_color"]
    return isinstance(colour, tuple) and len(colour) == 3 and np.allclose(np.array(colour) * 255, rgb, atol=0.6)


def points_of(thing):
    """Points in mm from the page's top left corner, in the order of the path."""
    return np.array([place for _, *places in thing["path"] for place in places], float) / PT


def check_lines(things):
    long = [t for t in things if is_colour(t, INK) and t["object_type"] == "line" and abs(t["width"] / PT - 100) < 0.2]
    return [t for t in long if t["height"] < 0.01]


def test_paper_is_a4_or_letter(tracing, pages):
    assert all(abs(page.width / PT - 210) < 0.01 or abs(page.width / PT - 297) < 0.01 for page, _ in pages)
    with pdfplumber.open(io.BytesIO(sheets_pdf(tracing, paper="letter").pdf)) as pdf:
        sides = {tuple(sorted((round(float(page.width)), round(float(page.height))))) for page in pdf.pages}
    assert sides == {(612, 792)}


def test_every_sheet_has_a_line_of_100_mm(pages):
    sheets = [things for page, things in pages if "Measure it" in page.extract_text()]
    assert len(sheets) >= 8
    for things in sheets:
        (line,) = check_lines(things)
        assert abs((line["x1"] - line["x0"]) / PT - 100) < 0.02


def test_a_known_circle_has_its_size_on_paper(tracing):
    with pdfplumber.open(io.BytesIO(large_pdf(tracing))) as pdf:
        page = pdf.pages[1]  # the disc
        (disc,) = [points_of(t) for t in page.curves if is_colour(t, INK)]
    assert np.allclose(np.ptp(disc, axis=0), 110, atol=0.2)
    middle = (disc.min(axis=0) + disc.max(axis=0)) / 2
    assert np.allclose(np.hypot(*(disc - middle).T), 55, atol=0.1)
    assert page.width / PT == pytest.approx(WIDTH + 2 * 3 + 2 * 15, abs=0.02)


def window_of(page, shared):
    """Where the cloth's corner lies on a sheet and where its window ends, in mm of the page, by what it says it is."""
    left, top, wide, high = shared.page.window
    said = page.crop(((left + wide - 40) * PT, 0, (left + wide + 1) * PT, top * PT)).extract_text().splitlines()
    (sheet,) = [sheet for sheet in shared.sheets if place_of(sheet, shared) == [line.lower() for line in said]]
    return np.array(shared.page.window[:2]) - sheet.box[:2], top + high


def place_of(sheet, shared):
    return [str(line) for line in place_lines(sheet.row, sheet.column, shared)]


def stretches(points):
    """All stretches of lines as rows of four hundredths of mm, the smaller end first."""
    ends = np.rint(np.concatenate([np.hstack([line[:-1], line[1:]]) for line in points]) * 100).astype(int)
    swap = (ends[:, 0] > ends[:, 2]) | ((ends[:, 0] == ends[:, 2]) & (ends[:, 1] > ends[:, 3]))
    ends[swap] = ends[swap][:, [2, 3, 0, 1]]
    return {tuple(row) for row in ends.tolist() if row[:2] != row[2:]}


@pytest.mark.parametrize("step", [1, 2])
def test_joined_sheets_are_the_outline_exactly(masks, tracing, pages, step):
    shared = share_out(tracing.width_mm, tracing.height_mm, paper="a4")
    found = set()
    for page, things in pages:
        if f"Step {step}." not in page.extract_text() or "Measure it" not in page.extract_text():
            continue
        corner, below = window_of(page, shared)
        lines = [points_of(t) for t in things if is_colour(t, INK) and t["stroke"]]
        found |= stretches([line - corner for line in lines if line[:, 1].min() < below])
    true = stretches(outlines(list(masks.values())[step - 1], width_mm=WIDTH))
    assert len(true) > 60
    assert len(near(true, found)) == len(true)
    assert len(near(found, true)) == len(found)


def near(some, others):
    """Those stretches that are among the others, up to the hundredth that a PDF's numbers are rounded to."""
    table = np.array(sorted(others))
    return [one for one in some if np.abs(table - one).max(axis=1).min() <= 1]


@pytest.mark.parametrize(
    ("size", "places"),
    [
        ((60, 40), {(0, 0): ""}),
        ((300, 40), {(0, 0): "left sheet", (0, 1): "right sheet"}),
        (
            (500, 700),
            {(0, 0): "top row, left sheet", (1, 1): "middle row, middle sheet", (2, 2): "bottom row, right sheet"},
        ),
        ((100, 1000), {(0, 0): "top row", (1, 0): "2nd row", (4, 0): "bottom row"}),
        ((2600, 900), {(0, 1): "top row, 2nd from left", (3, 10): "bottom row, 11th from left"}),
    ],
)
def test_sheets_are_called_by_their_place(size, places):
    shared = share_out(*size, paper="a4")
    for place, words in places.items():
        assert str(place_words(*place, shared) or "") == words
    every = {place_words(sheet.row, sheet.column, shared) for sheet in shared.sheets}
    assert len(every) == len(shared.sheets)


def test_a_sheet_tells_its_place_and_its_neighbours(pages):
    page, _ = next(one for one in pages if "Measure it" in one[0].extract_text())
    assert "1st from left" in page.extract_text()
    assert "next: bottom row, 1st from left" in page.extract_text()
    assert not any(re.search(r"\b[A-Z]\d\b", page.extract_text()) for page, _ in pages)
    assert "2nd from left" in pages[0][0].extract_text()  # the map


@pytest.mark.parametrize("count", [4, 12, 70])
def test_words_beside_the_map_keep_apart_however_many_sheets(count):
    shared = Sheets(page=share_out(10, 10, paper="a4").page, rows=count, columns=count, sheets=())
    wide, high = 146 / count, 126 / count
    cells = [
        {"row": row, "column": column, "at": [column * wide, row * high, wide, high]}
        for row in range(count)
        for column in range(count)
    ]
    axes = map_axes(cells, shared)
    for key, least in (("rows", 3.6), ("columns", 9.0)):
        middles = [middle for middle, _ in axes[key]]
        assert np.diff(middles).min() >= min(least, 146 / 4) - 1e-9
    assert (axes["rows"][0][1], axes["rows"][-1][1]) == ("top row", "bottom row")
    assert axes["columns"][-1][1].startswith(texts().ordinal(count))


def test_rings_fall_on_each_other():
    shared = share_out(1000, 750, paper="a4")
    by_place = {(sheet.row, sheet.column): sheet for sheet in shared.sheets}
    for sheet in shared.sheets:
        for side, *place in sheet.beside:
            other = by_place[tuple(place)]
            seam = {"left": 0, "right": 2, "top": 1, "bottom": 3}[side]
            mine = {ring for ring in sheet.rings if ring[seam % 2] == sheet.core[seam]}
            assert mine
            assert mine <= set(other.rings)
            assert all(
                one.box[0] < x < one.box[2] and one.box[1] < y < one.box[3] for one in (sheet, other) for x, y in mine
            )


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("size", [(60, 40), (180, 245), (1000, 750), (3000, 100)])
def test_sheets_cover_the_cloth_once(paper, size):
    shared = share_out(*size, paper=paper)
    area = 0.0
    for sheet in shared.sheets:
        left, top, right, bottom = sheet.core
        area += max(0, min(right, size[0]) - max(left, 0)) * max(0, min(bottom, size[1]) - max(top, 0))
        window = shared.page.window[2:]
        assert np.allclose(np.subtract(sheet.box[2:], sheet.box[:2]), window)
    assert area == pytest.approx(size[0] * size[1])


def test_an_unknown_paper():
    with pytest.raises(BatikError, match="letter"):
        share_out(100, 100, paper="lettre")


def test_bare_sheets_are_left_out(made, pages):
    shared = share_out(WIDTH, HEIGHT, paper="a4")
    printed = []
    for step in (1, 2):
        words = [text for page, _ in pages if f"Step {step}." in (text := page.extract_text())]
        printed.append(len([text for text in words if "Measure it" in text]))
        (told,) = [text for text in words if "How to use" in text]
        assert ("not printed" in told) == (printed[-1] < len(shared.sheets))
    assert printed[1] <= 4  # the disc is smaller than a sheet
    assert printed[1] < printed[0]
    assert sum(printed) == made.sheets
    assert len(pages) == made.pages == made.sheets + len(printed)


def test_earlier_wax_is_pale_until_it_is_removed(masks, tracing):
    assert tracing.waxings[0].earlier == ()
    before, after = tracing.waxings[1].earlier, tracing.waxings[0].now
    assert all(np.array_equal(a, b) for a, b in zip(before, after, strict=True))
    gone = tracing_of(design_of(masks, RemoveWax()), masks)
    assert gone.waxings[1].earlier == ()
    with pdfplumber.open(io.BytesIO(large_pdf(tracing))) as pdf:
        pale = [len([t for t in page.curves if is_colour(t, PALE)]) for page in pdf.pages]
    assert pale[0] == 0
    assert pale[1] > 0


def test_hatching_fills_the_disc_and_not_the_line(tracing):
    ring, disc = tracing.waxings
    assert ring.hatch == ()
    reach = np.array([np.hypot(*(line - [200, 200]).T) for line in disc.hatch])
    assert reach.max() < 55.1
    length = sum(np.hypot(*(line[1] - line[0])) for line in disc.hatch)
    assert length * 3.0 == pytest.approx(np.pi * 55**2, rel=0.03)


def test_mirrored_is_left_for_right(masks, tracing):
    turned = tracing_of(design_of(masks), masks, mirror=True)
    for mine, other in zip(tracing.waxings[1].now, turned.waxings[1].now, strict=True):
        assert np.allclose(mine[:, 0], WIDTH - other[:, 0])
        assert np.allclose(mine[:, 1], other[:, 1])
    with pdfplumber.open(io.BytesIO(sheets_pdf(turned, paper="a4").pdf)) as pdf:
        assert all("mirrored" in page.extract_text() for page in pdf.pages)


def test_the_large_svg_is_true_to_size(masks, tracing):
    root = ElementTree.fromstring(large_svg(tracing, tracing.waxings[1]))
    box = [float(part) for part in root.get("viewBox").split()]
    per_mm = box[2] / float(root.get("width").removesuffix("mm"))
    assert per_mm == pytest.approx(box[3] / float(root.get("height").removesuffix("mm")))
    paths = {p.get("class"): p.get("d") for p in root.iter("{http://www.w3.org/2000/svg}path")}
    check = np.array(paths["check"].removeprefix("M").split(), float)
    assert (check[2] - check[0]) / per_mm == pytest.approx(100, abs=0.001)
    drawn = []
    for ring in paths["now"].split("M")[1:]:
        line = np.array(ring.removesuffix("Z").split(), float).reshape(-1, 2) / per_mm
        drawn.append(np.vstack([line, line[:1]]))
    assert stretches(drawn) == stretches(outlines(list(masks.values())[1], width_mm=WIDTH))


def test_tagged_embedded_and_the_same_again(tracing, made):
    assert sheets_pdf(tracing, paper="a4").pdf == made.pdf
    with pikepdf.open(io.BytesIO(made.pdf)) as pdf:
        assert pdf.Root.MarkInfo.Marked
        assert str(pdf.Root.Lang) == "en-GB"
        figures = [str(o.Alt) for o in pdf.objects if isinstance(o, pikepdf.Dictionary) and o.get("/S") == "/Figure"]
        assert len(figures) == len(pdf.pages)
        assert sum("true size" in alt for alt in figures) == made.sheets
        for one in pdf.objects:
            if isinstance(one, pikepdf.Dictionary) and one.get("/Type") == "/FontDescriptor":
                assert "/FontFile2" in one or "/FontFile3" in one


def test_words_come_in_reading_order(pages):
    text = pages[0][0].extract_text()
    order = ["Moon: what to wax, true size", "Step 1. Wax", "With the canting.", "How to use", "Print at 100%"]
    places = [text.index(part) for part in order]
    assert places == sorted(places)


def test_outlines_stay_close_with_few_points():
    y, x = np.mgrid[0:600, 0:600] + 0.5
    mask = soft(200 - np.hypot(x - 300, y - 300))
    (ring,) = outlines(mask, width_mm=60)  # radius 20 mm
    assert np.allclose(np.hypot(*(ring - 30).T), 20, atol=0.03)
    assert len(ring) < 80


def test_more_sheets_than_anyone_tapes_are_left_out(tracing, monkeypatch):
    monkeypatch.setattr("batiksim.sheets.trace.sheets.MOST_SHEETS", 3)
    few = sheets_pdf(tracing, paper="a4")
    assert any(note.key == "trace.too_many" and note.values["step"] == 1 for note in few.notes)
    monkeypatch.setattr("batiksim.sheets.trace.sheets.MOST_SHEETS", 0)
    none = sheets_pdf(tracing, paper="a4")
    assert (none.pdf, none.sheets, len(none.notes)) == (b"", 0, 2)
