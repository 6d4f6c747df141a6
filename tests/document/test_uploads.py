"""Dropped pictures and the cloths begun with them, without a page; masks in memory."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image

from batiksim.document.frames import mask_cache
from batiksim.document.frames.mask_cache import MaskCache, mask_use, plain_stem
from batiksim.document.frames.rgba import rgba
from batiksim.document.uploads import pictures
from batiksim.document.uploads.new_cloth import steps_of
from batiksim.document.uploads.pictures import DroppedPictures, ReadMask, fit_to_cloth, picture_data, picture_preview
from batiksim.errors import BatikError
from batiksim.values import MaskUse


@pytest.fixture
def dropped():
    return DroppedPictures()


@pytest.fixture
def drop(dropped, tmp_path):
    """Drop a picture of grey levels; its key."""

    def taken(grey, name="my lines.png"):
        file = tmp_path / "sent.png"
        Image.fromarray(np.asarray(grey, np.uint8)).save(file)
        return dropped.take(file, name).key

    return taken


def box(rows=60, cols=80, *, ground=255, ink=0):
    """A picture with a dark box in its middle."""
    grey = np.full((rows, cols), ground, np.uint8)
    grey[rows // 3 : 2 * rows // 3, cols // 4 : cols // 2] = ink
    return grey


def test_the_last_twelve_are_kept(dropped, drop):
    keys = [drop(box()) for _ in range(13)]
    assert len(set(keys)) == 13
    assert dropped.get(keys[1]).name == "my lines.png"
    with pytest.raises(BatikError, match="picture: is no longer here; drop the picture again"):
        dropped.get(keys[0])


def test_a_file_that_is_no_picture_is_called_by_its_own_name(dropped, tmp_path):
    (tmp_path / "sent").write_text("nonsense")
    with pytest.raises(BatikError, match=r"^lines\.png: is not a picture"):
        dropped.take(tmp_path / "sent", "lines.png")


def test_what_the_page_hears_of_it(dropped, drop):
    told = picture_data(dropped.get(drop(box(), "C:/photos/my lines.v2.png")))
    assert (told["rows"], told["cols"], told["marks"], told["clean"], told["surround"]) == (
        60,
        80,
        "dark",
        False,
        False,
    )
    assert told["notes"] == []
    assert not told["whole_paper"]


@pytest.mark.parametrize(
    ("grey", "scanned"),
    [
        (box(), False),
        (box(ground=250), True),  # a ground of 5 is paper
        (box(ground=254), False),  # one of 1 is white
        (box(ground=229), True),  # 26
        (box(ground=228), False),  # 27: a tint that is meant
        (np.tile(np.linspace(255, 0, 80).astype(np.uint8), (60, 1)), True),
    ],
)
def test_paper_is_cleaned_and_what_was_drawn_is_not(grey, scanned):
    assert pictures._looks_scanned(255 - grey) is scanned


def test_grain_tells_a_photo_from_a_drawing():
    random = np.random.default_rng(2)
    grain = np.where(random.random((60, 80)) < 0.5, 60, random.integers(30, 250, (60, 80))).astype(np.uint8)
    assert pictures._looks_scanned(grain)
    washes = np.repeat(random.integers(30, 250, (60, 20)), 4, axis=1).astype(np.uint8)
    assert not pictures._looks_scanned(washes)  # three of four neighbours are equal
    two = np.where(random.random((60, 80)) < 0.5, 100, 200).astype(np.uint8)
    assert not pictures._looks_scanned(two)  # two plain levels


def test_previews_of_a_dropped_picture(dropped, drop):
    key = drop(np.kron(box(), np.ones((10, 10), np.uint8)))
    shown = picture_preview(dropped.get(key), "picture", None)
    assert shown.shape == (360, 480, 4)
    assert (shown[180, 150].tolist(), shown[5, 5].tolist()) == ([0, 0, 0, 255], [255, 255, 255, 255])
    turned = picture_preview(dropped.get(key), "mask", "light")
    assert (turned[180, 150, 0], turned[5, 5, 0]) == (255, 0)


@pytest.mark.parametrize(
    ("shape", "paper", "fits"),
    [
        ((60, 80), False, True),
        ((120, 160), False, True),
        ((30, 40), False, True),
        ((100, 102), False, False),
        ((100, 135), False, True),  # 1.35 is 1.25% wider than 4:3
        ((100, 137), False, False),  # 2.75%
        ((100, 131), False, True),
        ((100, 130), False, False),
        ((100, 150), True, True),  # 12.5%
        ((100, 155), True, False),
        ((100, 115), True, True),
        ((100, 113), True, False),
    ],
)
def test_a_mask_fits_a_cloth_of_its_shape(shape, paper, fits):
    read = ReadMask(mask=np.full(shape, 200, np.uint8), paper=paper)
    if fits:
        mask = fit_to_cloth("a.png", read, (60, 80))
        assert mask.shape == (60, 80)
        assert np.unique(mask).tolist() == [200]
    else:
        with pytest.raises(BatikError, match=rf"a\.png: is {shape[1]} x {shape[0]} pixels, another .* 80 x 60"):
            fit_to_cloth("a.png", read, (60, 80))


def test_what_lies_round_the_paper_stays_unless_it_is_said_to_go(dropped, drop):
    """A dark table along the left side of a white sheet, and a line over the whole picture."""
    grey = np.full((400, 600), 255, np.uint8)
    grey[:, :50] = grey[180:200] = 0
    picture = dropped.get(drop(grey))
    kept = pictures.read_dropped(picture, marks="dark", clean=False)
    assert (kept.mask == 255 - grey).all()
    assert not kept.paper
    gone = pictures.read_dropped(picture, marks="dark", clean=False, off_table=True)
    assert not gone.mask[:, :40].any()
    assert (gone.mask[185:195, 100:] == 255).all()
    with_table, without = (picture_preview(picture, "mask", "dark", off_table=off)[20, 20, 0] for off in (False, True))
    assert (with_table, without) == (0, 255)
    assert picture_preview(picture, "mask", "dark")[20, 20, 0] == 0


def test_the_first_mask_sets_the_size():
    mask = np.zeros((10, 99), np.uint8)
    assert fit_to_cloth("a.png", ReadMask(mask=mask), None) is mask
    assert fit_to_cloth("a.png", ReadMask(mask=mask), (10, 99)) is mask


# A new cloth


def step(key, kind="wax", **how):
    return {"do": "add_step", "at": 1, "step": {"kind": kind, "where": {"dropped": {"key": key, **how}}}}


def test_steps_name_the_dropped_pictures(dropped, drop):
    lines, petals = drop(box(), "lines.png"), drop(box(120, 160), "petals.png")
    title = {"do": "set_title", "title": "x"}
    changes, made = steps_of(
        dropped,
        [title, step(lines), step(petals, "discharge"), {"do": "add_step", "step": {"kind": "dye", "pot": "sun"}}],
    )
    assert [name for name, _ in made] == ["lines.png", "petals.png"]
    assert [mask.shape for _, mask in made] == [(60, 80), (60, 80)]
    assert changes[0] == title
    assert changes[3] == {"do": "add_step", "step": {"kind": "dye", "pot": "sun"}}
    for change, (name, mask) in zip(changes[1:3], made, strict=True):
        use = mask_use(name, mask, folder="masks")
        assert change["step"]["where"] == {"picture": use.picture, "marks": "dark"}
        assert change["at"] == 1
    assert changes[2]["step"]["kind"] == "discharge"
    assert made[0][1][30, 30] == 255
    assert made[0][1][0, 0] == 0


def test_marks_are_read_as_they_are_meant(dropped, drop):
    _, ((_, mask),) = steps_of(dropped, [step(drop(box()), marks="light")])
    assert (mask[30, 30], mask[0, 0]) == (0, 255)


def test_a_picture_of_another_shape_or_gone_is_refused(dropped, drop):
    with pytest.raises(BatikError, match=r"wide\.png: is 160 x 60 pixels"):
        steps_of(dropped, [step(drop(box(), "lines.png")), step(drop(box(60, 160), "wide.png"))])
    with pytest.raises(BatikError, match="is no longer here"):
        steps_of(dropped, [step("gone")])


def test_changes_without_pictures_stay_as_they_are(dropped):
    changes = ["odd", {"do": "x"}, {"do": "x", "step": 3}, {"do": "x", "step": {"where": {"picture": "a.png"}}}]
    assert steps_of(dropped, changes) == (changes, [])


# Masks in memory


def cache(**on_disk):
    read = []

    def reader(use):
        read.append(use.picture)
        return on_disk[use.picture.removesuffix(".png")]

    return MaskCache(reader), read


def use(name):
    return MaskUse(picture=f"{name}.png")


def test_a_mask_is_read_once_and_can_not_be_written_to():
    masks, read = cache(a=box())
    assert (masks.full(use("a")) == box()).all()
    assert not masks.full(use("a")).flags.writeable
    assert read == ["a.png"]
    assert masks.held(use("a")) is masks.full(use("a"))
    assert masks.held(use("b")) is None
    assert masks.small(use("a"), 40).shape == (30, 40)
    assert masks.small(use("a"), 40) is masks.small(use("a"), 40)


def test_new_masks_wait_to_be_saved():
    masks, _ = cache()
    new = masks.put_new("lines.png", box())
    kept = masks.put_new("petals.png", box(90), folder="masks")
    assert new.picture.startswith("touched/lines-")
    assert masks.full(new) is masks.held(new)
    assert set(masks.unsaved([])) == {new}  # what was touched up, undo may want back
    assert set(masks.unsaved([kept])) == {new, kept}
    masks.saved(new)
    masks.saved(new)
    assert set(masks.unsaved([kept])) == {kept}


def test_all_masks_of_a_design_are_of_one_size(build):
    masks, _ = cache(a=box(), b=box(), c=box(61, 80))
    assert masks.size(build.design(build.wax("a"), build.wax("b"))) == (60, 80)
    assert masks.size(build.design()) == (900, 1200)
    with pytest.raises(BatikError, match=r"mask 'c\.png': is 80 x 61 pixels, but 'a\.png' is 80 x 60"):
        masks.size(build.design(build.wax("a"), build.wax("c")))


def test_masks_nobody_needs_go_the_longest_unused_first(monkeypatch):
    monkeypatch.setattr(mask_cache, "KEPT_BYTES", 2 * 60 * 80)
    masks, read = cache(a=box(), b=box(), c=box(), d=box())
    masks.full(use("a"))
    masks.small(use("b"), 40)
    for name in "cda":
        masks.full(use(name))  # b is now the longest unused
    masks.tidy([use("d")])
    assert [masks.held(use(name)) is not None for name in "abcd"] == [True, False, True, True]
    masks.tidy([])
    assert [masks.held(use(name)) is not None for name in "abcd"] == [True, False, False, True]
    new = masks.put_new("x", box())
    masks.tidy([])
    assert masks.held(new) is not None


def test_a_masks_name_tells_its_content():
    assert mask_use("lines.png", box(), folder="m") == mask_use("lines.png", box(), folder="m")
    assert mask_use("lines.png", box(), folder="m") != mask_use("lines.png", 255 - box(), folder="m")
    assert mask_use("x", np.zeros((2, 3), np.uint8), folder="m") != mask_use(
        "x", np.zeros((3, 2), np.uint8), folder="m"
    )
    again = mask_use(mask_use("lines.png", box(), folder="m").picture, 255 - box(), folder="m")
    assert again.picture.count("-") == 1  # an earlier mark is left out
    assert again.marks == "dark"


@pytest.mark.parametrize(
    ("name", "stem"),
    [("a/b/my lines.png", "my lines"), ("ä*?.png", "ä"), ("***.png", "mask"), ("x" * 99 + ".png", "x" * 60)],
)
def test_names_that_any_disk_takes(name, stem):
    assert plain_stem(name) == stem


def test_colours_get_a_fourth_byte():
    rgb = np.arange(24, dtype=np.uint8).reshape(2, 4, 3)
    wide = rgba(rgb)
    assert (wide[..., :3] == rgb).all()
    assert (wide[..., 3] == 255).all()
