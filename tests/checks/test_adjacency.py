"""Where colours meet, and along what length."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from batiksim.checks.scene import adjacency
from batiksim.checks.scene.adjacency import borders
from batiksim.checks.scene.scene import Scene


def test_length_of_a_border(draw):
    """A circle of 20 mm radius has an edge of 126 mm, a straight edge across the cloth 80 mm."""
    for mask, length in ((draw.disc(60, 40, 20), 2 * np.pi * 20), (draw.box(0, 0, 60, 80), 80)):
        case = draw.case(("dye", "sun", mask))
        scene = Scene(design=case.design, dyes=case.dyes, masks=case.masks)
        (border,) = borders(scene, scene.histories, least_mm=10)
        assert border.mm == pytest.approx(length, rel=0.11)


# Crossings by hand


def crossings(row, count=3):
    return [part.tolist() for part in adjacency._crossings(np.array([row], np.int16), count)]


@pytest.mark.parametrize(
    ("row", "found"),
    [
        ([0, 0, 0, 1, 1, 1], [[1], [0], [3]]),  # 0 * 3 + 1, at the first pixel that is another
        ([2, 2, 2, 1, 1, 1], [[5], [0], [3]]),  # 1 * 3 + 2, whichever comes first
        ([0, 0, 0, 0, 0, 0], [[], [], []]),
        ([0, 0, -1, 1, 1, 1], [[1], [0], [2]]),  # one soft pixel between
        ([0, 0, -1, -1, 1, 1], [[1], [0], [2]]),  # two
        ([0, 0, -1, -1, -1, 1], [[], [], []]),  # three keep them apart
        ([0, 0, 2, 2, 1, 1], [[], [], []]),  # a region two pixels wide meets none, and keeps the others apart
        ([0, 0, 0, -1, -1, -1], [[], [], []]),
        ([-1, -1, -1, 1, 1, 1], [[], [], []]),
    ],
)
def test_changes_along_a_row(row, found):
    assert crossings(row) == found


def test_changes_lie_in_their_rows():
    labels = np.array([[0, 0, 0, 0, 0], [0, 0, 1, 1, 1], [1, 0, 0, 0, 0]], np.int16)
    pair, line, along = adjacency._crossings(labels, 2)
    assert (pair.tolist(), line.tolist(), along.tolist()) == ([1, 1], [1, 2], [2, 1])


def test_the_square_with_most_crossings_and_the_middle_of_them():
    """Two pixels to the mm, squares of 25 mm: three crossings in the square that begins at 25, 50 mm."""
    scene = SimpleNamespace(px_per_mm=2.0, at=lambda *place: place)
    at = np.array([[10, 10], [60, 104], [70, 110], [74, 116], [60, 40], [62, 44], [160, 104]])
    assert adjacency._thickest(scene, at) == (55, 34, 12.5)
    assert adjacency._thickest(scene, at[:1]) == (5, 5, 12.5)


def test_the_wanted_history_of_each_pixel():
    made = np.array([[0, 1, 2], [-1, 2, 0]])
    scene = SimpleNamespace(outcome=SimpleNamespace(labels=lambda masks: made))
    labels = adjacency._labels(scene, None, np.array([1, -1, 0]))
    assert labels.tolist() == [[1, -1, 0], [-1, 0, 1]]


@pytest.mark.parametrize("upright", [True, False])
def test_a_border_on_a_cloth_of_few_pixels(draw, upright):
    """Of 24 by 36 pixels, a mm each, every row and column is looked along; 240 by 360 pixels have lines 2 apart."""
    for factor in (1, 10):
        mask = np.zeros((24 * factor, 36 * factor), np.uint8)
        if upright:
            mask[:, : 12 * factor] = 255
        else:
            mask[: 8 * factor] = 255
        case = draw.case(("dye", "sun", mask), width_mm=36.0)
        (border,) = borders(
            Scene(design=case.design, dyes=case.dyes, masks=case.masks), case.scene.histories, least_mm=1
        )
        assert border.mm == pytest.approx(24 if upright else 36)
        at = (border.place.x_mm, border.place.y_mm)
        if upright:
            assert at == (pytest.approx(12, abs=0.51 / factor**0.5), pytest.approx(12, abs=0.6))
        else:
            assert at[1] == pytest.approx(8, abs=0.6)


def test_borders_come_the_longest_first(draw):
    case = draw.case(("dye", "sun", draw.box(0, 0, 40, 80), "coral", draw.box(80, 0, 120, 40)))
    scene = case.scene
    found = borders(scene, scene.histories, least_mm=1)
    assert [border.mm for border in found] == [pytest.approx(80, rel=0.03), pytest.approx(np.hypot(40, 40), rel=0.03)]
    assert all(scene.histories.index(one.pair[0]) < scene.histories.index(one.pair[1]) for one in found)


@pytest.mark.parametrize("upright", [False, True])
@pytest.mark.parametrize(("first", "crossed"), [(3, 0), (4, 2), (0, 2)])
def test_lines_are_looked_along_in_the_middle_of_what_they_stand_for(draw, upright, first, crossed):
    """Of 480 by 720 pixels, a mm each, every fourth row and column: 2, 6, 10 and so on.

    Three of the columns cross a spot of 12 columns, each twice; its three rows may lie between two that are looked at.
    """
    mask = np.zeros((480, 720), np.uint8)
    mask[first : first + 3, 100:112] = 255
    if upright:
        mask[:] = 0
        mask[100:112, first : first + 3] = 255
    scene = draw.case(("dye", "sun", mask), width_mm=720.0).scene
    (border,) = borders(scene, scene.histories, least_mm=1)
    assert border.mm == pytest.approx(4 * np.hypot(3 if first == 0 else 6, crossed))  # no way in at the edge
