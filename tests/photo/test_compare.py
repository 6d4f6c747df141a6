"""A made photo of a made cloth, dyed otherwise than planned, laid over the plan."""

from __future__ import annotations

import csv
import json
from dataclasses import replace

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image, ImageDraw, ImageFilter
from skimage.transform import ProjectiveTransform

from batiksim import jobs
from batiksim.cli import main
from batiksim.cloth.program import design_masks
from batiksim.colour import spaces
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.errors import BatikError
from batiksim.files.toml.designs import read_design, write_design
from batiksim.jobs import learning
from batiksim.photo.homography import shrunk, transform_points, warp
from batiksim.photo.registration import register
from batiksim.sheets.comparison import BANDS, comparison_sheet, difference_map
from batiksim.values import Cloth, Dye

SIZE = (640, 480)
PHOTO = (1000, 760)
PLANNED = (Dye(name="sun", colour="#f0d92e"), Dye(name="pink", colour="#d6246e"), Dye(name="sea", colour="#1aa7b8"))
DYED = (PLANNED[0], Dye(name="pink", colour="#e05a72"), PLANNED[2])
WHERE = {
    "slanting": ((0.12, 0.1), (0.86, 0.07), (0.9, 0.93), (0.08, 0.9)),
    "upside down": ((0.9, 0.93), (0.08, 0.9), (0.12, 0.1), (0.86, 0.07)),
    "turned": ((0.25, 0.04), (0.93, 0.22), (0.8, 0.96), (0.1, 0.75)),
    "filling": ((0.0, 0.01), (1.0, 0.0), (0.99, 1.0), (0.01, 0.99)),
}


def mask(draw_on):
    picture = Image.new("L", SIZE)
    draw_on(ImageDraw.Draw(picture))
    return np.asarray(picture)


def masks():
    """Wax: some leaves and a ring. Sun: two thirds of the cloth. Pink: a wide slanting band. Sea: below."""
    rng = np.random.default_rng(4)

    def leaves(draw):
        for _ in range(14):
            x, y, r = rng.uniform(30, 600), rng.uniform(30, 440), rng.uniform(14, 40)
            draw.polygon(
                [(x, y - r), (x + r * 0.6, y), (x + rng.uniform(-20, 20), y + r), (x - r * 0.5, y + 3)], fill=255
            )
        draw.ellipse((420, 60, 560, 200), outline=255, width=22)

    return np.stack([
        mask(leaves),
        mask(lambda draw: draw.rectangle((0, 0, 420, 480), fill=255)),
        mask(lambda draw: draw.polygon([(0, 300), (640, 40), (640, 210), (120, 480), (0, 480)], fill=255)),
        mask(lambda draw: draw.polygon([(300, 480), (640, 300), (640, 480)], fill=255)),
    ])  # fmt: skip


@pytest.fixture(scope="module")
def folder(build, tmp_path_factory):
    planned = build.design(
        build.wax("leaves"),
        build.dye(("sun", "left")),
        build.dye(("pink", "band")),
        build.dye(("sea", "below")),
        dyes=PLANNED,
        pots=(),
        cloth=Cloth(width_mm=400, colour="#f1ede2"),
    )
    cloth = tmp_path_factory.mktemp("cloth")
    write_design(planned, cloth)
    for one, marks in zip(design_masks(planned), masks(), strict=True):
        Image.fromarray(255 - marks).save(cloth / one.picture)
    return cloth


@pytest.fixture(scope="module")
def dyed_otherwise(folder, tmp_path_factory):
    """The comparison of the cloth whose pink came out otherwise, its photo, and the folder it is written to."""
    place = tmp_path_factory.mktemp("dyed")
    result, photo, corners = compared(folder, place)
    return result, photo, corners, place / "out"


def dyed_cloth(folder, dyes=DYED):
    """The cloth as it came out, sRGB."""
    return jobs.preview(replace(read_design(folder), dyes=dyes), folder=folder).cloth


def snap(cloth, where, *, seed=0, uneven=0.3):
    """A photo of a cloth on a wooden table, and the cloth's corners in it (4, 2)."""
    rng = np.random.default_rng(seed)
    corners = np.array(WHERE[where]) * PHOTO
    rows, cols = cloth.shape[:2]
    frame = np.array([[0, 0], [cols - 1, 0], [cols - 1, rows - 1], [0, rows - 1]], dtype=float)
    to_photo = ProjectiveTransform.from_estimate(frame, corners).params
    seen = warp(spaces.decode_srgb(cloth / 255.0), np.linalg.inv(to_photo), (PHOTO[1], PHOTO[0]))
    y, x = np.mgrid[-1 : 1 : PHOTO[1] * 1j, -1 : 1 : PHOTO[0] * 1j]
    wood = np.array([0.36, 0.24, 0.13]) * (1 + 0.1 * np.sin(y * 30 + 2 * np.sin(x * 3)))[..., None]
    seen = np.where(np.isnan(seen), wood, seen)
    seen = seen * (1 - uneven * (0.45 * x + 0.15 * y + 0.2 * (x**2 + y**2)))[..., None] * 0.85 * [1.08, 1.0, 0.85]
    seen = seen + rng.normal(0, 0.01, seen.shape) * np.sqrt(np.maximum(seen, 0) + 0.002)
    bytes_ = np.rint(255 * spaces.encode_srgb(np.clip(seen, 0, 1))).astype(np.uint8)
    return np.asarray(Image.fromarray(bytes_).filter(ImageFilter.GaussianBlur(0.8))), corners


def corners_found(matrix):
    frame = np.array([[0, 0, 1], [SIZE[0] - 1, 0, 1], [SIZE[0] - 1, SIZE[1] - 1, 1], [0, SIZE[1] - 1, 1]], dtype=float)
    there = frame @ matrix.T
    return there[:, :2] / there[:, 2:]


@pytest.mark.full
@pytest.mark.parametrize("where", WHERE)
def test_the_cloth_is_found_by_its_pattern(folder, where):
    """Every corner within 1.5 pixels of 1000, though one dye came out quite another colour."""
    photo, corners = snap(dyed_cloth(folder), where)
    found = register(dyed_cloth(folder, PLANNED), photo)
    off = np.linalg.norm(corners_found(found.matrix) - corners, axis=1)
    assert np.max(off) < 1.5
    assert found.agreement > 0.6


@pytest.mark.full
def test_corners_given_a_little_off_are_made_better(folder):
    photo, corners = snap(dyed_cloth(folder), "slanting")
    off = corners + np.array([[6.0, -5.0], [-4.0, 6.0], [5.0, 4.0], [-6.0, 3.0]])
    found = register(dyed_cloth(folder, PLANNED), photo, corners=[tuple(pair) for pair in off.tolist()])
    assert found.how == "corners"
    assert np.linalg.norm(corners_found(found.matrix) - corners, axis=1).max() < 1.5  # given 7 off


@pytest.mark.parametrize(
    ("order", "words"), [((3, 2, 1, 0), "wrong way round"), ((0, 2, 1, 3), "make a four-sided cloth")]
)
def test_corners_in_another_order_are_refused(folder, order, words):
    photo, corners = snap(dyed_cloth(folder), "slanting")
    with pytest.raises(BatikError, match=words) as told:
        register(dyed_cloth(folder, PLANNED), photo, corners=[tuple(corners[at].tolist()) for at in order])
    assert "top left, top right" in str(told.value.fix)


@pytest.mark.some(1)
@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("shape", [(300, 400), (8, 3000), (3000, 12)])
def test_a_photo_without_any_pattern_is_refused(folder, shape):
    with pytest.raises(BatikError, match="corners"):
        register(dyed_cloth(folder, PLANNED), np.full((*shape, 3), 120, np.uint8))


@pytest.mark.full
def test_another_cloth_is_not_taken_for_this_one(folder):
    rng = np.random.default_rng(5)
    other = np.asarray(Image.fromarray(rng.integers(0, 255, (9, 12, 3), dtype=np.uint8)).resize(PHOTO, 3))
    with pytest.raises(BatikError, match="corners"):
        register(dyed_cloth(folder, PLANNED), other)


def compared(folder, tmp_path, dyes=DYED, where="slanting", **keys):
    photo, corners = snap(dyed_cloth(folder, dyes), where, **keys)
    file = tmp_path / "photo.png"
    Image.fromarray(photo).save(file)
    result = jobs.compare(folder, file)
    result.save(tmp_path / "out")
    return result, file, corners


def test_differences_are_told_region_by_region(folder, dyed_otherwise):
    result, *_ = dyed_otherwise
    true = dyed_cloth(folder)
    assert len(result.comparison.regions) >= 5
    for one in result.comparison.regions:
        x, y = round(one.place[0] * SIZE[0] - 0.5), round(one.place[1] * SIZE[1] - 0.5)
        real = spaces.xyz_to_lab(spaces.linear_srgb_to_xyz(spaces.decode_srgb(true[y, x] / 255)))
        assert delta_e_2000(real, np.array(one.labs[1])) < 2.0
        if "pink" not in one.history:
            assert str(one.words) == "as planned", one
    pink = next(one for one in result.comparison.regions if one.history == ("pink",))
    assert str(pink.words) in ("paler and redder than planned", "paler, redder and duller than planned")
    assert pink.miss > 8
    assert result.comparison.regions[0].miss == max(one.miss for one in result.comparison.regions)


@pytest.mark.full
def test_a_cloth_that_came_out_as_planned(folder, tmp_path):
    result, _, _ = compared(folder, tmp_path, PLANNED, uneven=0.5)
    assert {str(one.words) for one in result.comparison.regions} == {"as planned"}
    assert np.nanpercentile(result.comparison.misses, 95) < 2.0


@pytest.mark.parametrize("tint", [(1.0, 1.0, 1.0), (0.75, 1.0, 1.45)], ids=["black and white", "sepia"])
def test_a_photo_without_colours_of_its_own_is_refused(folder, tmp_path, tint):
    rgb, _ = snap(dyed_cloth(folder), "slanting")
    grey = np.asarray(Image.fromarray(rgb).convert("L"))[..., None] / 255
    Image.fromarray(np.rint(255 * grey ** np.array(tint)).astype(np.uint8)).save(tmp_path / "old.jpg")
    with pytest.raises(BatikError, match="as it was taken"):
        jobs.compare(folder, tmp_path / "old.jpg")


def test_the_map_shows_where(dyed_otherwise):
    result, *_ = dyed_otherwise
    pink = masks()[2] > 0
    wax = masks()[0] > 0
    assert np.nanmedian(result.comparison.misses[pink & ~wax]) > 5
    assert np.nanmedian(result.comparison.misses[~pink]) < 1.5


@pytest.mark.full
def test_without_bare_cloth_it_says_so(build, on_disk, tmp_path):
    planned = build.design(
        build.dye("sun"), build.dye(("pink", "band")), build.dye(("sea", "below")), dyes=PLANNED, pots=()
    )
    folder = on_disk(planned, masks()[2:])
    result, _, _ = compared(folder, tmp_path, PLANNED)
    assert any("no bare cloth" in str(note) for note in result.comparison.notes)
    assert result.swatches == ()
    assert not (tmp_path / "out" / jobs.COMPARE_TABLE).exists()


@pytest.mark.full
def test_a_cloth_teaches_its_dyes(dyed_otherwise, tmp_path):
    """From the photo of the cloth, by way of the table, to a book whose pink is the pink that was really used."""
    result, _, _, out = dyed_otherwise
    table = out / jobs.COMPARE_TABLE
    rows = list(csv.DictReader(table.read_text().splitlines()))
    assert len(rows) == len(result.swatches)
    assert {"undyed", "pink 1", "sun 1"} <= {row["dyes"] for row in rows}
    learnt = jobs.calibrate(tmp_path / "mine.toml", table=table).calibration
    pink = next(dye for dye in learnt.dyes if dye.name == "pink")
    assert delta_e_2000(spaces.hex_to_lab(pink.hex), spaces.hex_to_lab("#e05a72")) < 2.0


def test_a_large_photo_is_reduced_in_linear_light():
    """Blocks of four by hand; places keep their middles; what is left over at the far edges is cut off."""
    rng = np.random.default_rng(3)
    rgb = rng.integers(0, 256, (9, 10, 3), dtype=np.uint8)
    small, to_small = shrunk(rgb, 5)
    assert small.shape == (4, 5, 3)
    for row, col in ((0, 0), (3, 4), (2, 1)):
        block = spaces.decode_srgb(rgb[2 * row : 2 * row + 2, 2 * col : 2 * col + 2] / 255.0).mean(axis=(0, 1))
        assert np.abs(small[row, col] - 255 * spaces.encode_srgb(block)).max() < 0.51
    assert transform_points(np.array([[0.5, 0.5], [6.5, 2.5]]), to_small) == pytest.approx(np.array([[0, 0], [3, 1]]))
    same, unmoved = shrunk(rgb, 10)
    assert same is rgb
    assert np.array_equal(unmoved, np.eye(3))


@pytest.mark.full
def test_a_reduced_photo_tells_the_same(folder, dyed_otherwise, monkeypatch):
    """Beside the plain route over all its pixels: the same place, the same regions, colours within .5."""
    plain, photo, corners, _ = dyed_otherwise
    monkeypatch.setattr(learning, "PHOTO_PX", 500)
    reduced = jobs.compare(folder, photo)
    given = tuple((x, y) for x, y in corners.tolist())
    by_corners = jobs.compare(folder, photo, corners=given)
    there = corners_found(plain.comparison.registration.matrix)
    for other in (reduced, by_corners):
        back = transform_points(corners_found(other.comparison.registration.matrix), np.diag([2.0, 2.0, 1.0])) + 0.5
        assert np.linalg.norm(back - there, axis=1).max() < 1.5
        theirs = {one.history: one for one in other.comparison.regions}
        assert set(theirs) == {one.history for one in plain.comparison.regions}
        for one in plain.comparison.regions:
            assert delta_e_2000(np.array(one.labs[1]), np.array(theirs[one.history].labs[1])) < 0.5
            assert abs(one.miss - theirs[one.history].miss) < 0.5


def test_the_map_darkens_with_the_difference():
    """A grey print tells as much."""
    misses = np.array([[least + 0.1 for least, _, _ in BANDS]])
    drawn = difference_map(np.full((1, len(BANDS), 3), 255, np.uint8), misses)
    luma = drawn[0] @ np.array([0.299, 0.587, 0.114])
    assert np.all(np.diff(luma) < -20)


def test_the_sheet_holds_no_region_at_all():
    picture = np.full((30, 40, 3), 200, np.uint8)
    assert comparison_sheet("Cloth", "As planned.", (picture, picture, picture), [])[0, 0].tolist() == [244, 239, 228]


@pytest.mark.full
def test_the_command(folder, dyed_otherwise):
    result, photo, corners, out = dyed_otherwise
    assert {path.name for path in out.iterdir()} == set(result.files)
    told = CliRunner().invoke(main, ["compare", str(folder), str(photo), "--out", str(out)])
    assert told.exit_code == 0, told.output
    for words in ("compare.png", "calibrate --table", "redder", "came out different"):
        assert words in told.output
    at = " ".join(f"{x:.0f},{y:.0f}" for x, y in corners)
    told = CliRunner().invoke(main, ["compare", str(folder), str(photo), "--out", str(out), "--corners", at, "--json"])
    data = json.loads(told.output)
    assert data == json.loads((out / "compare.json").read_text())
    assert set(data["files"]) == {path.name for path in out.iterdir()}
    assert data["teaches"]["file"] == jobs.COMPARE_TABLE
    rows = list(csv.DictReader((out / jobs.COMPARE_TABLE).read_text().splitlines()))
    assert [one["name"] for one in data["teaches"]["swatches"]] == [row["name"] for row in rows]
    assert data["regions"][0]["words"].endswith("than planned")
    assert sum(one["share"] for one in data["regions"]) <= 1


def test_a_photo_that_is_missing(folder, tmp_path):
    told = CliRunner().invoke(main, ["compare", str(folder), "nowhere.jpg", "--out", str(tmp_path / "out")])
    assert told.exit_code == 2
    assert "nowhere.jpg" in told.output
    assert not (tmp_path / "out").exists()
