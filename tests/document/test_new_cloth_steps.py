"""Steps of a new cloth that name dropped pictures, and their masks."""

from __future__ import annotations

import pytest

from batiksim.changes.new_masks import mask_use
from batiksim.document.uploads.pictures import steps_of
from batiksim.errors import BatikError
from batiksim.values import MaskUse
from tests.document.conftest import grey_box


def step(key, kind="wax", **how):
    return {"do": "add_step", "at": 1, "step": {"kind": kind, "where": {"dropped": {"key": key, **how}}}}


def test_steps_name_the_dropped_pictures(dropped, drop):
    lines, petals = drop(grey_box(), "lines.png"), drop(grey_box(120, 160), "petals.png")
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
        use = mask_use(name, mask)
        assert change["step"]["where"] == {"picture": use.picture, "marks": "dark"}
        assert change["at"] == 1
    assert changes[2]["step"]["kind"] == "discharge"
    assert made[0][1][30, 30] == 255
    assert made[0][1][0, 0] == 0


def test_marks_are_read_as_they_are_meant(dropped, drop):
    _, ((_, mask),) = steps_of(dropped, [step(drop(grey_box()), marks="light")])
    assert (mask[30, 30], mask[0, 0]) == (0, 255)


def test_a_picture_of_another_shape_or_gone_is_refused(dropped, drop):
    with pytest.raises(BatikError, match=r"wide\.png: is 160 × 60 pixels"):
        steps_of(dropped, [step(drop(grey_box(), "lines.png")), step(drop(grey_box(60, 160), "wide.png"))])
    with pytest.raises(BatikError, match="is no longer here"):
        steps_of(dropped, [step("gone")])


def test_changes_without_pictures_stay_as_they_are(dropped):
    changes = ["odd", {"do": "x"}, {"do": "x", "step": 3}, {"do": "x", "step": {"where": {"picture": "a.png"}}}]
    assert steps_of(dropped, changes) == (changes, [])


def use(name):
    return MaskUse(picture=f"{name}.png")
