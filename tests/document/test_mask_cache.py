"""Masks in memory: read once, kept, saved, let go of; and their names."""

from __future__ import annotations

import numpy as np
import pytest

from batiksim.document.frames import mask_cache
from batiksim.document.frames.mask_cache import MaskCache
from batiksim.errors import BatikError
from batiksim.values import MaskUse


def box(rows=60, cols=80, *, ground=255, ink=0):
    """A picture with a dark box in its middle."""
    grey = np.full((rows, cols), ground, np.uint8)
    grey[rows // 3 : 2 * rows // 3, cols // 4 : cols // 2] = ink
    return grey


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
    with pytest.raises(BatikError, match=r"c\.png: is 80 × 61 pixels, but “a\.png” is 80 × 60"):
        masks.size(build.design(build.wax("a"), build.wax("c")))


def test_masks_nobody_needs_go_the_longest_unused_first(monkeypatch):
    monkeypatch.setattr(mask_cache, "KEPT_BYTES", 2 * 60 * 80)
    masks, read = cache(a=box(), b=box(), c=box(), d=box())
    masks.full(use("a"))
    masks.small(use("b"), 40)
    for name in "cda":
        masks.full(use(name))  # b is now the longest unused
    shown = masks.small(use("d"), 40)
    masks.tidy([use("d")])
    assert masks.small(use("d"), 40) is shown
    assert [masks.held(use(name)) is not None for name in "abcd"] == [True, False, True, True]
    masks.tidy([])
    assert [masks.held(use(name)) is not None for name in "abcd"] == [True, False, False, True]
    masks.small(use("b"), 40)
    assert read[-1] == "b.png", "what is shown small goes with its mask"
    masks.tidy([])
    new = masks.put_new("x", box())
    masks.tidy([])
    assert masks.held(new) is not None
