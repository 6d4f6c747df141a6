"""Clicked patches of a photo, by sums worked by hand."""

from __future__ import annotations

import tomllib

import pytest

from batiksim.changes.request_fields import RequestFields
from batiksim.document.uploads.clicked_patches import has_card, photo_error, strip_text
from batiksim.errors import BatikError
from batiksim.files.toml.strips import read_strip


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
    assert (strip.cloth_colour, strip.cloth_assumed, strip.title) == ("#f1ede2", True, "Patches clicked in a photo")
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


def test_places_are_written_to_a_hundred_thousandth():
    text = strip_text((397, 811), clicked(click(1 / 3, 2 / 7, 0.0777)), cloth_assumed=False)
    assert {len(str(share).partition(".")[2]) for share in tomllib.loads(text)["patch"][0]["at"]} == {5}


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
        (click(dyes={}), "patches: a patch has no dye"),
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
    known = photo_error(
        BatikError("photo.error.card_is_black", file="strip.toml", got=3, fix="photo.error.check_card"), "photo.jpg"
    )
    assert (known.file, known.got, str(known.fix)) == (
        "photo.jpg",
        3,
        "check that you clicked it in the right place, or take the photo again, brighter",
    )
    other = photo_error(BatikError("error.no_choices", file="strip.toml", fix="error.step"), "photo.jpg")
    assert other.fix.key == "error.step"
