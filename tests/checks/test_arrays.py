"""Masks and sets of operations as arrays, against sums worked by hand."""

from __future__ import annotations

import numpy as np
import pytest

from batiksim.checks.shapes.arrays import area_mean, deepest


def test_a_mask_is_reduced_by_its_mean():
    mask = np.array([[0, 10, 20], [30, 40, 50], [60, 70, 80]], np.uint8)
    assert area_mean(mask, 1) is mask
    # the last row and column are repeated: means of (0 10 30 40), (20 20 50 50), (60 70 60 70), (80 80 80 80)
    assert area_mean(mask, 2).tolist() == [[20, 35], [65, 80]]
    assert area_mean(mask, 3).tolist() == [[40]]
    assert area_mean(mask[:2], 2).tolist() == [[20, 35]]
    assert area_mean(mask[:, :2], 2).tolist() == [[20], [65]]


@pytest.mark.parametrize("factor", [2, 16, 17])
def test_a_full_mask_stays_full_at_any_size(factor):
    assert np.unique(area_mean(np.full((2 * factor, factor), 255, np.uint8), factor)).tolist() == [255]


def shape(*rows):
    return np.array([[letter == "#" for letter in row] for row in rows])


@pytest.mark.parametrize(
    ("where", "spot"),
    [
        (shape("....", "...."), None),
        (shape("....", "..#."), (1, 2, 0)),
        (shape(".....", ".###.", ".###.", ".###."), (2, 2, 1)),  # the picture's edge is an edge too
        (shape("#####", "#####", "#####", "#####", "#####"), (2, 2, 2)),
        (shape("...#...", "..###..", ".#####.", "..###..", "...#..."), (2, 3, 2)),
        (shape("#......", ".......", "...####", "...####", "...####"), (3, 4, 1)),
    ],
)
def test_the_deepest_spot_of_a_shape(where, spot):
    assert deepest(where) == spot


def test_of_spots_alike_the_one_in_the_middle():
    assert deepest(shape("#########")) == (0, 4, 0)
    assert deepest(shape("#", "#", "#", "#", "#")) == (2, 0, 0)


def test_what_is_short_of_a_whole_block_is_made_up():
    """Of 4 by 5 pixels in blocks of 3: two rows and one column are repeated."""
    mask = np.repeat(np.array([[30], [30], [30], [90]], np.uint8), 5, axis=1)
    mask[:, 4] = 60
    assert area_mean(mask, 3).tolist() == [[30, 50], [90, 70]]  # (3 * 30 + 6 * 60) / 9 and (3 * 90 + 6 * 60) / 9
