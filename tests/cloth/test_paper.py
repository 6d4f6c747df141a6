"""Paper photographed on a table: the table is told from marks, and marks that reach the paper's edge stay."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image, ImageDraw

from batiksim.cloth.paper import lies_on_table, without_table

PAPER = [(60, 50), (540, 30), (560, 370), (80, 385)]  # turned a little, on a picture of 600 x 400


def drawn(paper=PAPER, *, band: bool = True) -> np.ndarray:
    """A mask of a table round a paper, on it a band from edge to edge and a disc."""
    picture = Image.new("L", (600, 400), 255)
    draw = ImageDraw.Draw(picture)
    draw.polygon(paper, fill=0)
    if band:
        draw.polygon([(66, 200), (550, 190), (552, 220), (68, 230)], fill=255)
    draw.ellipse((250, 80, 330, 160), fill=255)
    return np.asarray(picture)


def test_the_table_goes_and_what_is_drawn_stays():
    mask = drawn()
    assert lies_on_table(mask)
    kept = without_table(mask)
    for corner in ((2, 2), (2, 597), (397, 2), (397, 597), (200, 20), (10, 300)):
        assert kept[corner] == 0
    assert kept[120, 290] == 255
    assert kept[205, 90] == kept[205, 535] == 255, "the band reaches over the whole paper"
    inside = np.zeros_like(mask)
    inside[60:360, 100:520] = 1
    assert np.array_equal(kept * inside, mask * inside)


@pytest.mark.parametrize("side", [(0, 0, 50, 400), (0, 0, 600, 40), (550, 0, 600, 400), (0, 350, 600, 400)])
def test_a_table_along_one_side_goes_and_the_other_sides_are_whole(side):
    left, top, right, bottom = side
    table = np.zeros((400, 600), bool)
    table[top:bottom, left:right] = True
    mask = np.where(table, 255, 0).astype(np.uint8)
    mask[180:200] = 255  # a line over the whole picture
    assert lies_on_table(mask)
    kept = without_table(mask)
    grown = np.zeros_like(table)
    grown[max(0, top - 8) : bottom + 8, max(0, left - 8) : right + 8] = True
    assert not kept[table].any()
    assert np.array_equal(kept[~grown], mask[~grown])


def test_drawings_without_a_table_are_left_alone():
    lines = np.zeros((400, 600), np.uint8)
    lines[::40] = 255
    lines[:, ::60] = 255
    lines[0] = lines[:, 0] = 0
    assert not lies_on_table(lines)
    assert np.array_equal(without_table(lines)[10:-10, 10:-10], lines[10:-10, 10:-10])
    full = np.full((400, 600), 255, np.uint8)
    assert not lies_on_table(full)
    assert np.array_equal(without_table(full), full)


def test_a_large_picture_and_its_small_copy_agree():
    large = np.kron(drawn(), np.ones((4, 4), np.uint8))
    small, big = without_table(drawn()), without_table(large)[2::4, 2::4]
    assert np.mean(small != big) < 0.01
