"""Names of the pictures of new masks."""

from __future__ import annotations

import numpy as np
import pytest

from batiksim.changes.new_masks import mask_use, plain_stem

BOX = np.pad(np.full((20, 30), 255, np.uint8), 9)


def test_a_masks_name_tells_its_content():
    assert mask_use("lines.png", BOX) == mask_use("lines.png", BOX)
    assert mask_use("lines.png", BOX) != mask_use("lines.png", 255 - BOX)
    assert mask_use("lines.png", BOX) != mask_use("lines.png", BOX, folder="m")
    assert mask_use("x", np.zeros((2, 3), np.uint8)) != mask_use("x", np.zeros((3, 2), np.uint8))
    again = mask_use(mask_use("lines.png", BOX).picture, 255 - BOX)
    assert again.picture.count("-") == 1  # an earlier mark is left out
    assert again.marks == "dark"


@pytest.mark.parametrize(
    ("name", "stem"),
    [
        ("a/b/my lines.png", "my lines"),
        ("ä*?.png", "ä"),
        ("***.png", "mask"),
        ("x" * 99 + ".png", "x" * 60),
        ("x" * 59 + " y", "x" * 59),
    ],
)
def test_names_that_any_disk_takes(name, stem):
    assert plain_stem(name) == stem
    assert plain_stem(mask_use(name, BOX).picture) == stem  # named again, it keeps its name
