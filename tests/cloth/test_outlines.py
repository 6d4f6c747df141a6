"""Outlines and hatching of simple shapes, in millimetres worked by hand."""

from __future__ import annotations

import numpy as np
import pytest

from batiksim.cloth import outlines as module
from batiksim.cloth.outlines import cut, hatching, mirrored, outlines, simplified, wide_parts

SQUARE = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0], [0.0, 0.0]])


def box(top, left, bottom, right, size=(40, 60)):
    mask = np.zeros(size, np.uint8)
    mask[top:bottom, left:right] = 255
    return mask


def bounds(ring):
    return [*ring.min(axis=0).tolist(), *ring.max(axis=0).tolist()]


def test_a_box_has_its_outline_where_its_pixels_end():
    """Sixty pixels over 120 mm: two mm each; columns 10 to 20 and rows 5 to 15 are 20 to 40 and 10 to 30 mm."""
    (ring,) = outlines(box(5, 10, 15, 20), width_mm=120)
    assert bounds(ring) == pytest.approx([20, 10, 40, 30], abs=0.01)
    assert ring[0].tolist() == ring[-1].tolist()
    assert len(ring) <= 9


def test_what_runs_off_the_picture_is_closed_along_its_border():
    (ring,) = outlines(box(0, 0, 40, 30), width_mm=120)
    assert bounds(ring) == pytest.approx([0, 0, 60, 80], abs=0.01)


@pytest.mark.parametrize("band", range(2, 14))
def test_bands_give_what_the_whole_gives(monkeypatch, band):
    """However many rows the last of them has, and with shapes that run off the picture above and below."""
    mask = np.maximum.reduce([box(5, 10, 35, 20), box(12, 25, 30, 55), box(0, 40, 4, 50), box(36, 30, 40, 45)])
    mask[15:20, 12:15] = 0
    whole = sorted(bounds(ring) for ring in outlines(mask, width_mm=120))
    assert len(whole) == 5
    monkeypatch.setattr(module, "BAND_PX", 62 * band)
    banded = sorted(bounds(ring) for ring in outlines(mask, width_mm=120))
    assert [pytest.approx(ring, abs=1e-6) for ring in whole] == banded


@pytest.mark.parametrize(("at", "squared"), [((5, 3), 9), ((-3, 4), 25), ((13, 4), 25), ((0, 0), 0), ((10, 2), 4)])
def test_distance_from_a_stretch(at, squared):
    """From (0, 0) to (10, 0): beside it straight down, beyond its ends to the end."""
    points = np.array([[0.0, 0.0], at, [10.0, 0.0]])
    assert module._apart(points, 1, 0, 2) == pytest.approx(squared)
    assert module._apart(points, 1, 0, 0) == pytest.approx(at[0] ** 2 + at[1] ** 2)


def test_points_within_a_hair_of_the_others_go():
    ring = np.array([[0, 0], [5, 0.04], [10, 0], [10, 5], [10, 10], [5, 10.2], [0, 10], [0, 0]], float)
    (fewer,) = simplified([ring], within_mm=0.05)
    assert fewer.tolist() == [[0, 0], [10, 0], [10, 10], [5, 10.2], [0, 10], [0, 0]]
    (fewest,) = simplified([ring], within_mm=0.25)
    assert fewest.tolist() == [[0, 0], [10, 0], [10, 10], [0, 10], [0, 0]]
    assert simplified([ring * 0.004], within_mm=0.05) == ()
    assert len(simplified([ring * 0.006], within_mm=0.05)) == 1


def test_from_the_back_left_and_right_change():
    (line,) = mirrored([np.array([[10.0, 5.0], [30.0, 7.0]])], width_mm=100)
    assert line.tolist() == [[90, 5], [70, 7]]


def test_lines_are_cut_into_runs_that_touch_a_box():
    line = np.array([[0.0, 0], [10, 0], [20, 0], [30, 0], [40, 0]])
    assert [run.tolist() for run in cut([line], (12.0, -1.0, 18.0, 1.0))] == [[[10, 0], [20, 0]]]
    assert [len(run) for run in cut([line], (10.0, -1.0, 18.0, 1.0))] == [3]  # it touches the first stretch too
    assert cut([line], (0.0, 1.0, 40.0, 2.0)) == []
    assert cut([], (0.0, 0.0, 1.0, 1.0)) == []
    other = line + [0.0, 0.5]
    assert [run.tolist() for run in cut([line, other], (32.0, -1.0, 38.0, 1.0))] == [
        line[3:].tolist(),
        other[3:].tolist(),
    ]
    away = np.array([[0.0, 0], [10, 0], [10, 50], [0, 50], [0, 1]])
    assert [len(run) for run in cut([away], (-1.0, -1.0, 2.0, 2.0))] == [2, 2]


@pytest.mark.parametrize("furthest", [1, 2, 3])
def test_of_a_ring_however_coarse_its_beginning_and_what_is_furthest_from_it_stay(furthest):
    ring = np.array([[0.0, 0], [6, 0], [6, 6], [0, 6], [0, 0]])
    ring[furthest] *= 3
    kept = module._kept(ring, 100.0)
    assert np.flatnonzero(kept).tolist() == [0, furthest, 4]


@pytest.mark.parametrize(("wider_mm", "wide"), [(9, True), (13, False)])
def test_wide_parts_by_the_width_of_a_tool(wider_mm, wide):
    """A bar of 12 mm at one pixel to the mm."""
    parts, cell = wide_parts(box(10, 5, 22, 55), width_mm=60, wider_mm=wider_mm)
    assert cell == 1
    rows, cols = np.flatnonzero(parts[:, 30]), np.flatnonzero(parts[16])  # a cell beyond the bar on each side
    assert rows.tolist() == (list(range(9, 23)) if wide else [])
    assert cols.tolist() == (list(range(4, 56)) if wide else [])


def test_the_whole_cloth_and_a_finer_picture():
    assert wide_parts(np.full((40, 60), 255, np.uint8), width_mm=60, wider_mm=9)[0].all()
    parts, cell = wide_parts(np.kron(box(10, 5, 22, 55), np.ones((4, 4), np.uint8)), width_mm=60, wider_mm=9)
    assert (parts.shape, cell) == ((40, 60), 1)
    assert parts[16, 20:40].all()


def test_hatching_slants_through_what_is_wide():
    """A square of 10 mm: lines x + y = n * 2 root 2, each as long as the square lets it."""
    every = 2.0
    lines = hatching([SQUARE], np.ones((10, 10), np.bool_), cell_mm=1.0, every_mm=every)
    sums = sorted(float(line.sum(axis=1)[0]) for line in lines)
    assert sums == pytest.approx([n * every * np.sqrt(2) for n in range(1, 7)])  # the seventh is too short
    for line in lines:
        total = float(line[0].sum())
        assert line[1].sum() == pytest.approx(total)
        length = float(np.hypot(*(line[1] - line[0])))
        assert length == pytest.approx(np.sqrt(2) * min(total, 20 - total), abs=1e-9)
        assert line.min() >= -1e-9
        assert line.max() <= 10 + 1e-9


def test_holes_and_narrow_parts_are_not_hatched():
    hole = SQUARE * 0.4 + 3.0
    lines = hatching([SQUARE, hole], np.ones((10, 10), np.bool_), cell_mm=1.0, every_mm=2.0)
    middles = np.array([line.mean(axis=0) for line in lines])
    inside = np.all((middles > 3.1) & (middles < 6.9), axis=1)
    assert not inside.any()
    half = np.ones((10, 10), np.bool_)
    half[:, 5:] = False
    left = hatching([SQUARE], half, cell_mm=1.0, every_mm=2.0)
    assert left
    assert max(float(line[:, 0].max()) for line in left) <= 5.6
    assert hatching([SQUARE], np.zeros((10, 10), np.bool_), cell_mm=1.0, every_mm=2.0) == []
    assert hatching([], half, cell_mm=1.0, every_mm=2.0) == []


def test_hatching_shorter_than_its_least_is_left_out():
    """The first line across a corner, root 2 * n * .3 long: .6 mm is too short, 1.2 is drawn."""
    lines = hatching([SQUARE], np.ones((10, 10), np.bool_), cell_mm=1.0, every_mm=0.3)
    assert min(float(np.hypot(*(line[1] - line[0]))) for line in lines) == pytest.approx(1.2)
