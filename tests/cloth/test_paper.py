"""Paper photographed on a table: the table is told from marks, and marks that reach the paper's edge stay."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image, ImageDraw

from batiksim.photo.drawing_paper import has_surround, mask_outside_paper, paper_corners, rectify_paper

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
    assert has_surround(mask)
    kept = mask_outside_paper(mask)
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
    assert has_surround(mask)
    kept = mask_outside_paper(mask)
    grown = np.zeros_like(table)
    grown[max(0, top - 8) : bottom + 8, max(0, left - 8) : right + 8] = True
    assert not kept[table].any()
    assert np.array_equal(kept[~grown], mask[~grown])


def test_drawings_without_a_table_are_left_alone():
    lines = np.zeros((400, 600), np.uint8)
    lines[::40] = 255
    lines[:, ::60] = 255
    lines[0] = lines[:, 0] = 0
    assert not has_surround(lines)
    assert np.array_equal(mask_outside_paper(lines)[10:-10, 10:-10], lines[10:-10, 10:-10])
    full = np.full((400, 600), 255, np.uint8)
    assert not has_surround(full)
    assert np.array_equal(mask_outside_paper(full), full)


def test_a_large_picture_and_its_small_copy_agree():
    large = np.kron(drawn(), np.ones((4, 4), np.uint8))
    small, big = mask_outside_paper(drawn()), mask_outside_paper(large)[2::4, 2::4]
    assert np.mean(small != big) < 0.01


def test_the_corners_of_a_whole_sheet_are_found_though_drawing_runs_over_its_edge_and_one_is_dog_eared():
    eared = [PAPER[0], *PAPER[1:], (78, 360), (72, 375)]
    for mask in (drawn(), drawn(band=False), drawn([(66, 56), *eared[1:3], (90, 384), (80, 372)])):
        corners = paper_corners(mask)
        assert corners is not None
        np.testing.assert_allclose(corners[:, ::-1], PAPER, atol=9)
    np.testing.assert_allclose(paper_corners(drawn(band=False))[:, ::-1], PAPER, atol=1.5)


def test_a_sheet_seen_askew_is_laid_straight():
    """A chequered sheet seen askew by a perspective of Pillow's own: its squares come back square."""
    sheet = np.zeros((300, 400), np.uint8)
    sheet[60:120, 80:160] = sheet[180:240, 240:320] = 255
    far = [(120, 60), (480, 40), (560, 360), (60, 380)]
    rows = [row for (x, y), (u, v) in zip(far, ((0, 0), (400, 0), (400, 300), (0, 300)), strict=True)
            for row in ([x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y])]  # fmt: skip
    ways = np.linalg.solve(np.array(rows, float), np.array([0, 0, 400, 0, 400, 300, 0, 300], float))
    onto = ((600, 420), Image.Transform.PERSPECTIVE, tuple(ways))
    seen = Image.fromarray(sheet).transform(*onto)
    table = np.asarray(Image.new("L", (400, 300), 255).transform(*onto)) == 0
    straight = rectify_paper(np.where(table, 255, np.asarray(seen)).astype(np.uint8))
    assert straight is not None
    back = np.asarray(Image.fromarray(straight).resize((400, 300))) > 127
    inner = np.s_[8:-8, 8:-8]  # along the paper's edge nothing is marked
    assert np.mean(back[inner] != (sheet > 127)[inner]) < 0.01


@pytest.mark.parametrize("paper", [[(-9, 50), (540, 30), (560, 370), (-9, 385)], [(300, 20), (580, 380), (20, 380)]])
def test_paper_that_runs_off_the_picture_or_has_other_corners_is_not_laid_straight(paper):
    assert rectify_paper(drawn(paper, band=False)) is None
