"""Photos of strips that mustn't be learnt from: undyed cloth or a card that isn't, no colour, patches mixed up."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from batiksim.cloth.dyes_on_cloth import cloth_dyes
from batiksim.colour import kubelka_munk, spaces, spectra
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.dyes.other_cloth import floor_words
from batiksim.errors import BatikError
from batiksim.files.toml.dyebooks import read_book
from batiksim.jobs import calibrate
from batiksim.photo.homography import transform_points
from batiksim.photo.patches import strip_homography
from batiksim.photo.strip_plausibility import looks_toned
from batiksim.texts.catalogue import say
from batiksim.values import FLOOR, Cloth
from tests.calibration.made_strips import HARD, SHOT, made, photo_of

CLOTH_TABLE = f'[cloth]\ncolour = "{made.CLOTH}"            # undyed, by daylight\n'
UNDYED = [place for place, layers in enumerate(made.CELLS) if not layers]


@pytest.fixture(scope="module")
def plain():
    return made.take_photo(shot=SHOT)


def painted(rgb, left, top, right, bottom, colour):
    """A box over the photo, by shares of the strip."""
    corners = np.array([[left, top], [right, bottom]])
    (x0, y0), (x1, y1) = transform_points(corners, strip_homography(made.corners_px(SHOT))).astype(int)
    changed = rgb.copy()
    changed[y0:y1, x0:x1] = colour
    return changed


def patches_painted(rgb, places, colour):
    for place in places:
        row, column = divmod(place, made.COLUMNS)
        sides = (column + 0.1) / 5, (row + 0.1) / 5, (column + 0.9) / 5, (row + 0.9) / 5
        rgb = painted(rgb, *sides, colour)
    return rgb


def card_painted(rgb, colour):
    left, top, width, height = made.CARD_AT
    return painted(rgb, left - 0.01, top, left + width + 0.01, top + height, colour)


@pytest.fixture
def learn(tmp_path):
    def run(rgb, *without, card=True, **keys):
        text = made.strip_toml(made.corners_px(SHOT), card=card)
        for part in without:
            assert part in text
            text = text.replace(part, "")
        (tmp_path / "strip.toml").write_text(text, encoding="utf-8")
        Image.fromarray(rgb).save(tmp_path / "photo.png")
        return calibrate(tmp_path / "book.toml", picture=tmp_path / "photo.png", strip=tmp_path / "strip.toml", **keys)

    return run


GROUND = 'ground = "undyed"'


@pytest.mark.some(2)
@pytest.mark.parametrize(
    ("colour", "card", "words"),
    [
        ((15, 15, 15), True, "light and dark as they should"),
        ((15, 15, 15), False, "dye only makes cloth darker"),
        ((235, 205, 60), True, "as bright as perfect white"),
        ((235, 205, 60), False, "dye only makes cloth darker"),
    ],
)
def test_undyed_cloth_that_is_none_is_refused(learn, plain, tmp_path, colour, card, words):
    with pytest.raises(BatikError, match=words) as told:
        learn(patches_painted(plain, UNDYED, colour), GROUND, card=card)
    assert "undyed" in str(told.value)
    assert not (tmp_path / "book.toml").exists()


@pytest.mark.full
def test_one_undyed_patch_unlike_the_others_is_left_out(learn, plain):
    result = learn(patches_painted(plain, UNDYED[:1], (15, 15, 15)))
    left = {place: one.problems for place, one in enumerate(result.calibration.pieces) if one.problems}
    assert left == {UNDYED[0]: (say("photo.patch.odd_undyed"),)}
    assert result.calibration.median("held_out") < 1


@pytest.mark.some(2)
@pytest.mark.parametrize(
    ("colour", "without", "words"),
    [
        ((12, 12, 12), (), "light and dark as they should"),
        ((12, 12, 12), (CLOTH_TABLE,), "as bright as perfect white"),
        ((220, 60, 140), (), "far from the colour given"),
        ((220, 60, 140), (CLOTH_TABLE,), "dark or strongly coloured"),
        ((235, 235, 235), (CLOTH_TABLE,), "dark or strongly coloured"),
    ],
)
def test_a_card_that_is_none_is_refused(learn, plain, colour, without, words):
    with pytest.raises(BatikError, match=words) as told:
        learn(card_painted(plain, colour), *without)
    assert "card" in str(told.value)


def test_a_photo_without_colour_is_refused(learn, plain):
    grey = np.asarray(Image.fromarray(plain).convert("L"))
    with pytest.raises(BatikError, match="no colour, only greys") as told:
        learn(np.repeat(grey[..., None], 3, axis=2))
    assert told.value.file.endswith("photo.png")


def toned(rgb, tint, quality):
    """A photo toned as programs do it, as it is saved."""
    grey = np.asarray(Image.fromarray(rgb).convert("L"))[..., None] / 255
    shown = np.rint(255 * np.clip(grey ** np.array(tint), 0, 1)).astype(np.uint8)
    file = io.BytesIO()
    Image.fromarray(shown).save(file, format="JPEG", quality=quality)
    return np.asarray(Image.open(file))


@pytest.mark.parametrize("tint", [(0.75, 1.0, 1.45), (1.15, 1.0, 0.8)], ids=["sepia", "blue toned"])
@pytest.mark.parametrize("quality", [60, 92])
def test_a_toned_photo_is_refused(learn, plain, tint, quality):
    with pytest.raises(BatikError, match="toned in one colour") as told:
        learn(toned(plain, tint, quality))
    assert "as it was taken" in str(told.value)


@pytest.mark.full
def test_photos_of_dull_dyes_and_of_nothing_are_not_taken_for_toned(plain):
    grey = {name: ((550.0, 400.0, 2.0 + at),) for at, name in enumerate(made.DYES)}
    for shot in (SHOT, replace(SHOT, noise=0.0, quality=96), replace(SHOT, exposure=0.25)):
        assert not looks_toned(photo_of(shot, dyes=grey))
    assert not looks_toned(photo_of(HARD))
    assert not looks_toned(np.full_like(plain, (90, 60, 30)))


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("card", [True, False])
@pytest.mark.parametrize("colour", [(0, 1, 0), (120, 130, 110)])
def test_a_photo_of_something_else_is_refused(learn, plain, tmp_path, card, colour):
    with pytest.raises(BatikError, match="look"):
        learn(np.full_like(plain, colour), card=card)
    assert not (tmp_path / "book.toml").exists()


@pytest.mark.full
def test_patches_mixed_up_are_not_learnt(learn, plain, tmp_path):
    """Dyed patches are listed in the order of another strip: one sentence says so, and no book is written."""
    dyed = [cell for cell in made.CELLS if cell]
    turned = iter([*dyed[7:], *dyed[:7]])
    cells = tuple(next(turned) if cell else () for cell in made.CELLS)
    (tmp_path / "mixed.toml").write_text(made.strip_toml(made.corners_px(SHOT), cells), encoding="utf-8")
    Image.fromarray(plain).save(tmp_path / "photo.png")
    result = calibrate(tmp_path / "book.toml", picture=tmp_path / "photo.png", strip=tmp_path / "mixed.toml")
    assert result.changes is None
    assert any(note.key == "jobs.note.calibration_unusable" for note in result.notes)
    assert sum(note.key == "calibration.note.many_odd" for note in result.notes) == 1
    assert not (tmp_path / "book.toml").exists()


@pytest.mark.full
def test_a_photo_turned_by_its_camera_is_read_upright(learn, plain, tmp_path):
    upright = learn(plain).calibration
    turned, exif = Image.fromarray(np.rot90(plain)), Image.Exif()
    exif[274] = 6  # "turn right to see it upright"; EXIF 2.32, tag Orientation
    turned.save(tmp_path / "turned.png", exif=exif)
    found = calibrate(
        tmp_path / "turned-book.toml", picture=tmp_path / "turned.png", strip=tmp_path / "strip.toml"
    ).calibration
    assert [one.measured for one in found.pieces] == [one.measured for one in upright.pieces]


@pytest.mark.full
def test_a_dark_table_does_no_harm(learn, monkeypatch):
    wood = made._table
    monkeypatch.setattr(made, "_table", lambda u, v, rng: 0.03 * wood(u, v, rng))
    assert learn(made.take_photo(shot=SHOT), card=False).calibration.median("held_out") < 1


@pytest.mark.full
def test_two_strips_of_one_cloth_make_one_book(learn, tmp_path):
    def only(*names):
        return tuple(cell if all(name in names for name, _ in cell) else () for cell in made.CELLS)

    for names in (("primrose", "bottle blue"), ("strong pink", "blackcurrant")):
        cells = only(*names)
        text = made.strip_toml(made.corners_px(SHOT), cells)
        (tmp_path / "half.toml").write_text(text, encoding="utf-8")
        Image.fromarray(made.take_photo(cells, shot=SHOT)).save(tmp_path / "half.png")
        result = calibrate(tmp_path / "two.toml", picture=tmp_path / "half.png", strip=tmp_path / "half.toml")
    assert [dye.name for dye in read_book(tmp_path / "two.toml").entries] == list(made.DYES)
    assert not any("floor" in str(note) for note in result.notes)


# Tables of measured swatches


def test_undyed_swatches_darker_than_the_dyed_ones_are_refused(tmp_path):
    (tmp_path / "t.csv").write_text("dyes,hex\nundyed,#101010\nprimrose 1,#c0a030\nprimrose 0.5,#e0cc70\n")
    with pytest.raises(BatikError, match="dye only makes cloth darker") as told:
        calibrate(tmp_path / "book.toml", table=tmp_path / "t.csv")
    assert told.value.file.endswith("t.csv")


@pytest.mark.parametrize(("undyed", "word"), [("#e8c030", "strongly coloured"), ("#5a5650", "dark"), ("#efe9dd", "")])
def test_undyed_swatches_that_hardly_are_get_a_word(tmp_path, undyed, word):
    (tmp_path / "t.csv").write_text(f"dyes,hex\nundyed,{undyed}\nmoss 1,#1f3a1c\nmoss 0.5,#2c4a26\n")
    notes = calibrate(tmp_path / "book.toml", table=tmp_path / "t.csv").notes
    assert [str(note) for note in notes if "Is it really undyed?" in str(note)] == (
        [f"The undyed cloth looks {word} ({undyed}). Is it really undyed?"] if word else []
    )


def test_measured_undyed_cloth_is_taken_as_measured(tmp_path):
    """Cloth with a dip in green that no smooth curve has: the dye's own K/S comes out right all the same."""
    nm = spectra.BANDS_NM
    cloth = 0.82 - 0.35 * np.exp(-0.5 * ((nm - 520) / 12) ** 2)
    cloth_ks = kubelka_munk.ks_from_reflectance(cloth, surface=FLOOR)
    dye = made.dye_ks("strong pink", made.DYES)
    rows = {"undyed": cloth} | {
        f"pink {part:g}": kubelka_munk.reflectance_from_ks(cloth_ks + part * dye, surface=FLOOR)
        for part in (1, 0.5, 0.25)
    }
    text = "dyes," + ",".join(f"{one:g}" for one in nm) + "\n"
    text += "".join(f"{name},{','.join(f'{value:.5f}' for value in row)}\n" for name, row in rows.items())
    (tmp_path / "t.csv").write_text(text)
    result = calibrate(tmp_path / "book.toml", table=tmp_path / "t.csv")
    assert result.calibration.median("held_out") < 0.3
    learnt = cloth_dyes(Cloth(width_mm=100), read_book(tmp_path / "book.toml").dyes).dyes["pink"].ks
    for load in (0.1, 1.0, 2.0):
        shown, true = (
            spaces.xyz_to_lab(
                spectra.reflectance_to_xyz(kubelka_munk.reflectance_from_ks(cloth_ks + load * ks, surface=FLOOR))
            )
            for ks in (learnt, dye)
        )
        assert delta_e_2000(shown, true) < 1.0


def test_a_black_without_any_reflection_is_learnt(tmp_path):
    """An instrument may read 0 of the deepest black: the floor is then as low as can be reckoned with."""
    rows = [("undyed", "0.9"), *((f"black {part:g}", "0") for part in (1, 0.5, 0.25, 2))]
    text = "".join(f"{name},{','.join([value] * 31)}\n" for name, value in rows)
    (tmp_path / "t.csv").write_text("dyes," + ",".join(f"{one:g}" for one in spectra.BANDS_NM) + "\n" + text)
    found = calibrate(tmp_path / "book.toml", table=tmp_path / "t.csv").calibration
    assert 0 < found.surface <= 0.001
    assert found.median("miss_after") < 2
    assert floor_words(found.surface) == "0"


@pytest.mark.full
def test_a_card_that_is_left_out_is_told(learn, plain):
    """Half of it in shadow: what it was to tell is then taken from the undyed cloth, and that is said."""
    left, top, width, height = made.CARD_AT
    shaded = painted(plain, left, top, left + width / 2, top + height, (45, 45, 45))
    found = learn(shaded, dry_run=True)
    assert any(str(note).startswith("Card 1 is left out: ") for note in found.notes)
    assert any("corrected using the undyed cloth, taken as" in str(note) for note in found.notes)
