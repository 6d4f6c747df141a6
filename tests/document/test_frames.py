"""What is kept from frame to frame, sizes and places; clicked patches of a photo by sums worked by hand."""

from __future__ import annotations

import tomllib

import numpy as np
import pytest

from batiksim.document.frames import frames as module
from batiksim.document.frames.frames import Frames, View, _Cache, shape_of
from batiksim.document.frames.mask_cache import MaskCache
from batiksim.document.request_fields import RequestFields
from batiksim.document.uploads.clicked_patches import has_card, photo_error, strip_text
from batiksim.errors import BatikError
from batiksim.files.toml.strips import read_strip
from batiksim.values import DyeBath, MaskUse, Paint, RemoveWax


def test_the_most_recent_results_are_kept():
    made = []
    cache = _Cache(2)

    def get(key):
        return cache.get(key, lambda: made.append(key) or key)

    assert [get(key) for key in "abab"] == ["a", "b", "a", "b"]
    assert made == ["a", "b"]
    get("a")
    get("c")  # b was used longest ago
    assert made == ["a", "b", "c"]
    get("a")
    assert made == ["a", "b", "c"]
    get("b")
    assert made == ["a", "b", "c", "b"]


def test_results_are_kept_up_to_a_size():
    cache = _Cache(9, bytes_in_all=200)
    for key in range(3):
        cache.get(key, lambda: np.zeros(100, np.uint8))
    assert list(cache.results) == [1, 2]
    cache.get("large", lambda: np.zeros(999, np.uint8))
    assert list(cache.results) == ["large"]  # the newest stays, however large


@pytest.fixture
def frames():
    masks = MaskCache(lambda use: None)
    for name, level in (("lines", 10), ("petals", 20)):
        masks.put(MaskUse(picture=f"{name}.png"), np.full((300, 400), level, np.uint8))
    return Frames(masks)


@pytest.mark.parametrize(
    ("width", "size"),
    [(None, (300, 400)), (400, (300, 400)), (999, (300, 400)), (200, (150, 200)), (1, (1, 1)), (3, (2, 3))],
)
def test_sizes_in_proportion(frames, plain_design, build, width, size):
    planned = build.design(build.wax("lines"))
    assert frames.size(planned, width) == size
    assert frames.drawn(planned, width).shape == (1, *size)


def test_masks_are_stacked_once_in_their_order(frames, build):
    planned = build.design(build.wax("lines"), build.dye(("leaf", "petals")))
    stack = frames.drawn(planned, 40)
    assert stack[:, 0, 0].tolist() == [10, 20]
    assert frames.drawn(planned, 40) is stack
    assert frames.planes(planned, 40) is stack  # nothing cracks or creeps
    assert frames.drawn(build.design(), 40).shape == (0, 30, 40)


def test_dyes_and_their_tables_are_worked_out_once(frames, build):
    planned = build.design(build.dye("leaf"))
    dyes = frames.dyes(planned)
    assert frames.dyes(build.design(build.dye("sun"))) is dyes
    assert dyes.pot_table(planned.pot("leaf")) is dyes.pot_table(planned.pot("leaf"))


def test_the_plate_of_a_step(build):
    planned = build.design(build.dye("leaf"), RemoveWax())
    assert module._emit(planned, None) == module.Emit(step=2, finished=True)
    assert [module._emit(planned, step).step for step in (0, 1, 2)] == [0, 1, 2]
    assert not module._emit(planned, 2).finished
    for step in (-1, 3):
        with pytest.raises(BatikError, match="step: there is no such step .*use 0 .bare cloth. to 2"):
            module._emit(planned, step)
    assert View() == View(step=None, width=800, look="dry", light="D65", wax_off=False)


def test_what_decides_where_a_step_lies(build):
    one = DyeBath(paints=(Paint(pot="leaf", where=MaskUse(picture="a.png"), spread=True, reach_mm=2.0),))
    other = DyeBath(paints=(Paint(pot="pink", where=MaskUse(picture="a.png"), spread=True, reach_mm=2.0),))
    assert shape_of(one) == shape_of(other)
    assert shape_of(one) != shape_of(DyeBath(paints=(Paint(pot="leaf", where=MaskUse(picture="a.png")),)))
    assert shape_of(build.wax("a")) != shape_of(build.wax("b"))


# Clicked patches


def clicked(*patches, cloth="#f1ede2"):
    return RequestFields({"cloth": cloth, "patches": list(patches)})


def click(x=0.5, y=0.5, side=0.1, **what):
    return {"x": x, "y": y, "side": side} | (what or {"dyes": {"sun": 1}})


def test_a_strip_file_of_clicks_is_read_back(tmp_path):
    """A photo of 400 rows and 800 columns: what is .1 of its width is .2 of its height."""
    fields = clicked(
        click(), click(0.2, 0.25, undyed=True), click(0.8, 0.5, card=True), click(0.5, 0.3, dyes={"sun": 1, "sea": 0.5})
    )
    (tmp_path / "strip.toml").write_text(strip_text((400, 800), fields, cloth_assumed=True))
    strip = read_strip(tmp_path / "strip.toml")
    assert (strip.cloth_colour, strip.cloth_assumed, strip.title) == ("#f1ede2", True, "Clicked in a photo")
    assert strip.corners == ((0, 0), (800, 0), (800, 400), (0, 400))
    assert [patch.layers for patch in strip.patches] == [(("sun", 1.0),), (), (("sun", 1.0), ("sea", 0.5)), ()]
    assert [patch.card for patch in strip.patches] == [None, None, None, 0.18]
    left, top, wide, high = strip.patches[0].at
    assert (left + wide / 2, top + high / 2) == (pytest.approx(0.5, abs=1e-4), pytest.approx(0.5, abs=1e-4))
    assert high == pytest.approx(2 * wide, abs=1e-4)
    assert wide > 0.1  # only its middle is read


@pytest.mark.parametrize(
    ("x", "y", "middle"),
    [
        (0.0, 0.5, (0.05125, 0.5)),
        (1.0, 0.5, (0.94875, 0.5)),
        (0.5, 0.0, (0.5, 0.1025)),
        (0.5, 1.0, (0.5, 0.8975)),
        (0.06, 0.2, (0.06, 0.2)),
    ],
)
def test_what_is_read_lies_within_the_photo_by_a_pixel(x, y, middle):
    """A square of .1 of 800 pixels: half of it and one pixel are .05125 of the width, .1025 of the height."""
    text = strip_text((400, 800), clicked(click(x, y)), cloth_assumed=False)
    left, top, wide, high = tomllib.loads(text)["patch"][0]["at"]
    assert (left + wide / 2, top + high / 2) == (pytest.approx(middle[0], abs=2e-5), pytest.approx(middle[1], abs=2e-5))


@pytest.mark.parametrize(
    ("patch", "said"),
    [
        (click(x=1.01), "x: out of range"),
        (click(x=-0.01), "x: out of range"),
        (click(y=1.01), "y: out of range"),
        (click(y=-0.01), "y: out of range"),
        (click(side=0.0019), "side: out of range"),
        (click(side=0.51), "side: out of range"),
        (click(dyes={"sun": 0.0009}), "sun: out of range"),
        (click(dyes={"sun": 10.1}), "sun: out of range"),
        (click(dyes={}), "patches: names no dye"),
        (click(undyed=True), "patches: needs at least one dyed patch"),
    ],
)
def test_clicks_that_are_none(patch, said):
    with pytest.raises(BatikError, match=said):
        strip_text((400, 800), clicked(patch), cloth_assumed=False)


def test_bounds_of_clicks():
    for patch in (
        click(x=0, y=0),
        click(x=1, y=1),
        click(side=0.002),
        click(side=0.5),
        click(dyes={"sun": 0.001, "sea": 10}),
    ):
        assert strip_text((400, 800), clicked(patch), cloth_assumed=False)
    assert strip_text((400, 800), clicked(*[click()] * 200), cloth_assumed=False)
    with pytest.raises(BatikError, match="patches: needs a list"):
        strip_text((400, 800), clicked(*[click()] * 201), cloth_assumed=False)


def test_a_card_among_the_clicks():
    assert has_card(clicked(click(), click(card=True)))
    assert not has_card(clicked(click()))
    assert "card" not in tomllib.loads(strip_text((400, 800), clicked(click()), cloth_assumed=False))


def test_what_is_wrong_is_told_of_the_photo():
    known = photo_error(BatikError("the card looks black, somehow", file="strip.toml", got=3, fix="other"), "photo.jpg")
    assert (known.file, known.got, known.fix) == (
        "photo.jpg",
        3,
        "see that you clicked it in the right place, or take the photo again, brighter",
    )
    assert photo_error(BatikError("is odd", file="strip.toml", fix="other"), "photo.jpg").fix == "other"
