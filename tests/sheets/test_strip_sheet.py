"""The strip sheet from outside: dyed as its printed words say, photographed, and read with its own strip file."""

from pathlib import Path

import numpy as np
import pdfplumber
import pikepdf
import pytest
from PIL import Image
from skimage.transform import ProjectiveTransform

from batiksim.calibration.strip_plan import strip_plans
from batiksim.colour import spaces, spectra
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.errors import BatikError
from batiksim.files.toml.dyebooks import read_book
from batiksim.files.toml.strips import read_strip
from batiksim.jobs.learning import calibrate
from batiksim.jobs.printing import strip
from tests.calibration.made_strips import made

SAMPLES = Path(__file__).resolve().parents[2] / "sample_designs"
PT = 72 / 25.4
SHARES = {"full": 1.0, "half": 0.5, "quarter": 0.25}
PX_PER_MM = 6


@pytest.fixture(scope="module")
def photos():
    return made


@pytest.fixture(scope="module")
def printed(tmp_path_factory):
    folder = tmp_path_factory.mktemp("strip")
    strip(SAMPLES / "garden_poppies", folder, cloth="#f0eadb")
    return folder


class Layout:
    """The squares, crosses and card's place of a printed page, as the PDF holds them, in mm."""

    def __init__(self, page):
        self.cells, self.crosses, self.card = [], [], None
        for rect in page.rects:
            box = tuple(rect[key] / PT for key in ("x0", "top", "x1", "bottom"))
            if rect["dash"] and rect["dash"][0]:
                self.card = box
            elif rect["stroke"]:
                self.cells.append((box, self._layers(page.crop([side * PT for side in box]).extract_text())))
        level = [line for line in page.lines if line["height"] < 0.01 and abs(line["width"] / PT - 10) < 0.05]
        self.crosses = sorted(((line["x0"] + line["x1"]) / 2 / PT, line["top"] / PT) for line in level)

    @staticmethod
    def _layers(text):
        found = []
        for line in " ".join(text.split()).split(" then "):
            if line != "bare":
                dye, share = line.rsplit(", ", 1)
                found.append((dye, SHARES[share]))
        return tuple(found)


@pytest.fixture(scope="module")
def layout(printed):
    with pdfplumber.open(printed / "strip.pdf") as pdf:
        return Layout(pdf.pages[1])


def test_the_printed_squares_are_those_of_the_file(printed, layout):
    strip = read_strip(printed / "strip.toml", corners=((0, 0), (1, 0), (1, 1), (0, 1)))
    left, top = layout.crosses[0]
    right, bottom = layout.crosses[-1]
    cloth = [patch for patch in strip.patches if patch.card is None]
    assert len(layout.cells) == len(cloth) == 20
    for (box, layers), patch in zip(sorted(layout.cells, key=lambda c: (round(c[0][1]), c[0][0])), cloth, strict=True):
        x, y, wide, high = np.array(patch.at) * [right - left, bottom - top, right - left, bottom - top]
        assert np.allclose(box, (left + x, top + y, left + x + wide, top + y + high), atol=0.1)
        assert layers == patch.layers
    (card,) = [patch for patch in strip.patches if patch.card is not None]
    x, y, wide, high = np.array(card.at) * [right - left, bottom - top, right - left, bottom - top]
    assert np.allclose(layout.card, (left + x, top + y, left + x + wide, top + y + high), atol=0.2)


def photo_of(layout, photos, seed=5):
    """The page's squares dyed as their words say, on cloth on a table, seen aslant in warm uneven light."""
    rng = np.random.default_rng(seed)
    flat = np.full((297 * PX_PER_MM, 210 * PX_PER_MM, 3), (0.3, 0.2, 0.11))
    (left, top), (right, bottom) = layout.crosses[0], layout.crosses[-1]
    paint(flat, (left - 4, top - 4, right + 4, bottom + 4), photos.true_xyz(()))
    for box, layers in layout.cells:
        paint(flat, box, photos.true_xyz(layers))
    x0, y0, x1, y1 = layout.card
    flat[round(y0 * PX_PER_MM) : round((y1 + 30) * PX_PER_MM), round(x0 * PX_PER_MM) : round(x1 * PX_PER_MM)] = 0.18
    rows, cols = 1500, 1100
    square = np.array([[0, 0], [210, 0], [210, 297], [0, 297]], float)
    place = ProjectiveTransform.from_estimate(np.array([[60, 40], [1050, 70], [1010, 1460], [90, 1420]], float), square)
    x, y = np.meshgrid(np.arange(cols), np.arange(rows))
    at = place(np.stack([x.ravel(), y.ravel()], axis=1)) * PX_PER_MM
    at = np.clip(at.astype(int), 0, [flat.shape[1] - 1, flat.shape[0] - 1])
    seen = flat[at[:, 1], at[:, 0]].reshape(rows, cols, 3)
    seen = seen * (0.9 - 0.2 * x / cols - 0.1 * y / rows)[..., None] * [1.06, 1.0, 0.86]
    seen = seen * (1 + rng.normal(0, 0.015, seen.shape))
    corners = [layout.crosses[place] for place in (0, 2, 3, 1)]
    return np.rint(255 * spaces.encode_srgb(np.clip(seen, 0, 1))).astype(np.uint8), place.inverse(np.array(corners))


def paint(flat, box, xyz):
    x0, y0, x1, y1 = (round(side * PX_PER_MM) for side in box)
    flat[y0:y1, x0:x1] = spaces.xyz_to_linear_srgb(xyz)


@pytest.mark.full
def test_print_dye_photograph_calibrate(printed, layout, photos, tmp_path):
    rgb, corners = photo_of(layout, photos)
    Image.fromarray(rgb).save(tmp_path / "photo.png")
    off = corners + [[2, -2], [-2, 1], [1, 2], [-2, -1]]
    result = calibrate(
        tmp_path / "my-dyes.toml",
        picture=tmp_path / "photo.png",
        strip=printed / "strip.toml",
        corners=tuple((float(x), float(y)) for x, y in off),
    )
    assert all(not piece.problems for piece in result.calibration.pieces)
    assert {entry.name for entry in read_book(tmp_path / "my-dyes.toml").entries} == set(photos.DYES)
    for dye in result.calibration.dyes:
        true = spaces.xyz_to_lab(photos.true_xyz(((dye.name, 1.0),)))
        learnt = spaces.xyz_to_lab(spectra.reflectance_to_xyz(dye.full))  # the blue is outside what #rrggbb can say
        assert delta_e_2000(learnt, true) < 2.0
    assert result.calibration.median("held_out") < 2.0


def test_without_corners_the_file_asks_for_them(printed):
    with pytest.raises(BatikError, match="corners"):
        read_strip(printed / "strip.toml")


def test_the_sheet_is_true_to_size_tagged_and_the_same_again(printed, tmp_path):
    again = strip(SAMPLES / "garden_poppies", tmp_path, cloth="#f0eadb")
    assert (tmp_path / again.sheet).read_bytes() == (printed / "strip.pdf").read_bytes()
    with pdfplumber.open(printed / "strip.pdf") as pdf:
        page = pdf.pages[1]
        (line,) = [one for one in page.lines if abs(one["width"] / PT - 100) < 0.2 and one["height"] < 0.01]
        assert (line["x1"] - line["x0"]) / PT == pytest.approx(100, abs=0.02)
        assert page.width / PT == pytest.approx(210, abs=0.01)
        words = pdf.pages[0].extract_text()
    places = [words.index(part) for part in ("Test strip", "Print at 100", "To teach batiksim", "batiksim calibrate")]
    assert places == sorted(places)
    with pikepdf.open(printed / "strip.pdf") as pdf:
        assert pdf.Root.MarkInfo.Marked


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5, 7, 8, 15])
def test_any_number_of_dyes(count):
    names = [f"dye {number}" for number in range(count)]
    plans = strip_plans(names, title="Many")
    assert [name for plan in plans for name in plan.dyes] == names
    for plan in plans:
        assert 1 <= plan.rows <= 7
        dyed = [frozenset(cell) for cell in plan.cells if cell]
        assert len(dyed) == len(set(dyed))  # nothing is dyed twice
        for dye in plan.dyes:
            alone = [cell for cell in plan.cells if len(cell) == 1 and cell[0][0] == dye]
            assert [strength for ((_, strength),) in alone] == [1.0, 0.5, 0.25]


def test_names_that_toml_must_quote(tmp_path):
    book = tmp_path / "book.toml"
    entry = '[[dye]]\nname = \'blue "7" \\ é\'\ncolour = "#16808f"\n'
    book.write_text('format = 1\ntitle = "Mine"\n' + entry, encoding="utf-8")
    strip(book, tmp_path / "out")
    read = read_strip(tmp_path / "out" / "strip.toml", corners=((0, 0), (9, 0), (9, 9), (0, 9)))
    assert {dye for patch in read.patches for dye, _ in patch.layers} == {'blue "7" \\ é'}


def test_bad_asks(tmp_path):
    with pytest.raises(BatikError, match="primrose"):
        strip(SAMPLES / "garden_poppies", tmp_path, only=["primrise"])
    with pytest.raises(BatikError, match="0.18"):
        strip(SAMPLES / "garden_poppies", tmp_path, card=18)
    assert not list(tmp_path.iterdir())
