"""Pieces of shapes, grown and thinned, against drawings."""

from __future__ import annotations

import numpy as np
import pytest

from batiksim.checks.shapes import components
from batiksim.checks.shapes.components import boxes, deepest, dilate, piece_sizes, pieces, thick


def shape(*rows):
    return np.array([[letter == "#" for letter in row] for row in rows])


DIAGONAL = shape("##...", "..#..", "....#")


@pytest.mark.parametrize(("corners", "count", "sizes"), [(False, 3, [0, 2, 1, 1]), (True, 2, [0, 3, 1])])
def test_pieces_touch_by_sides_or_corners(corners, count, sizes):
    labels, found = pieces(DIAGONAL, corners=corners)
    assert found == count
    assert (labels > 0).tolist() == DIAGONAL.tolist()
    assert piece_sizes(labels, found, DIAGONAL).tolist() == sizes
    assert piece_sizes(labels, found, np.ones_like(DIAGONAL))[0] == 11
    some = DIAGONAL.copy()
    some[0] = False
    assert piece_sizes(labels, found, some).sum() == 2


def test_boxes_hold_their_pieces():
    labels, _ = pieces(DIAGONAL)
    assert boxes(labels) == [(slice(0, 1), slice(0, 2)), (slice(1, 2), slice(2, 3)), (slice(2, 3), slice(4, 5))]


def test_a_spot_grows_to_its_neighbours():
    spot = shape(".....", ".....", "..#..", ".....", ".....")
    cross = shape(".....", "..#..", ".###.", "..#..", ".....")
    square = shape(".....", ".###.", ".###.", ".###.", ".....")
    assert dilate(spot).tolist() == cross.tolist()
    assert dilate(spot, corners=True).tolist() == square.tolist()
    assert dilate(shape("#..", "...")).tolist() == shape("##.", "#..").tolist()
    assert dilate(shape("...", "..#")).tolist() == shape("..#", ".##").tolist()


def test_bands_give_what_the_whole_gives(monkeypatch):
    where = np.random.default_rng(3).random((90, 40)) > 0.12
    whole = thick(where, 2)
    assert 0 < whole.sum() < where.sum()
    monkeypatch.setattr(components, "BAND_PX", 40)  # bands of 16 rows: as many as four times what matters beside
    assert (thick(where, 2) == whole).all()


@pytest.mark.parametrize(("side", "kept"), [(4, 0), (5, 21), (6, 32)])
def test_what_an_octagon_fits_into_stays(side, kept):
    """Of radius 2: a square of 5 keeps all but its corners, one of 4 goes."""
    where = np.zeros((12, 12), np.bool_)
    where[3 : 3 + side, 3 : 3 + side] = True
    assert thick(where, 2).sum() == kept


def test_the_pictures_edge_is_no_edge():
    assert thick(np.ones((3, 3), np.bool_), 2).all()


def test_thick_parts_by_an_octagon():
    strips = np.zeros((60, 200), np.bool_)
    for place, width in enumerate(range(1, 10)):
        strips[5:55, 5 + 20 * place : 5 + 20 * place + width] = True
    kept = thick(strips, 2)
    widths = [int(kept[30, 20 * place : 20 * place + 20].sum()) for place in range(9)]
    assert widths == [0, 0, 0, 0, 5, 6, 7, 8, 9]


def test_an_octagon_of_three_pixels():
    """Squares and crosses in turn, a cross first: no more than 3 along either axis and 4 along both together."""
    rows, cols = (np.abs(side) for side in np.ogrid[-5:6, -5:6])
    octagon = (np.maximum(rows, cols) <= 3) & (rows + cols <= 4)
    blunter = (np.maximum(rows, cols) <= 3) & (rows + cols <= 5)
    assert thick(octagon, 3).tolist() == octagon.tolist()
    assert thick(blunter, 3).tolist() == octagon.tolist()
    assert not thick(rows + cols <= 3, 3).any()


def test_bands_are_looked_at_with_the_rows_beside_them(monkeypatch):
    """Of 60 rows of 10 pixels, 20 rows at a time; twice the radius of 2 above and below may matter."""
    looked_at = []
    monkeypatch.setattr(components, "BAND_PX", 200)
    monkeypatch.setattr(components, "_thick", lambda where, radius: looked_at.append(where.shape) or where)
    where = np.random.default_rng(1).random((60, 10)) > 0.5
    assert (thick(where, 2) == where).all()
    assert looked_at == [(24, 10), (28, 10), (24, 10)]
    looked_at.clear()
    thick(where, 3)  # four times what matters beside is more than 20 rows: 24
    assert looked_at == [(30, 10), (36, 10), (18, 10)]


def test_pieces_with_nothing_in_a_shape_count_none():
    labels, count = pieces(DIAGONAL)
    assert piece_sizes(labels, count, shape("#....", ".....", ".....")).tolist() == [0, 1, 0, 0]


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
