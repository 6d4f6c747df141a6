"""What a tool does to the edge of the wax, where it can be counted."""

from __future__ import annotations

import numpy as np
import pytest

from batiksim.cloth.effects import tool_edges, tool_textures
from tests.cloth.noise_twin import corner, noise_over


def line(px_per_mm: int, *, long_mm: int = 60) -> np.ndarray:
    """A straight line of 1 mm along the middle of a strip of cloth, uint8 (12 mm, `long_mm` + 6 mm)."""
    mask = np.zeros((12 * px_per_mm, (long_mm + 6) * px_per_mm), np.uint8)
    mask[6 * px_per_mm : 7 * px_per_mm, 3 * px_per_mm : (3 + long_mm) * px_per_mm] = 255
    return mask


@pytest.mark.parametrize("px_per_mm", [5, 10])
def test_one_drop_falls_within_three_millimetres_at_most(px_per_mm):
    """However unsteady the hand: of a line of 60 mm each patch of 3 mm lets one drop fall, at any resolution."""
    drops = tool_edges._drops(line(px_per_mm), 100.0, px_per_mm, 1)
    patches = [x / px_per_mm // 3 for x, _, _ in drops]
    assert len(set(patches)) == len(patches)
    assert 18 <= len(patches) <= 21
    assert all(abs(y / px_per_mm - 6.5) < 0.5 for _, y, _ in drops)


@pytest.mark.parametrize("px_per_mm", [5, 10])
def test_a_drop_is_wider_than_its_line_by_the_stated_millimetres(px_per_mm):
    edges = 1.0
    drops = [drop for key in range(12) for drop in tool_edges._drops(line(px_per_mm), edges, px_per_mm, key)]
    wider = np.array([radius / px_per_mm for _, _, radius in drops]) - 0.5
    least, most = tool_edges.DROP_MM
    assert len(drops) > 12
    assert least - 0.3 < wider.min() < wider.max() < most + 0.3
    assert np.median(wider) == pytest.approx((least + most) / 2, abs=0.2)


def test_a_steady_hand_lets_nothing_drop():
    assert tool_edges._drops(line(5), 0.0, 5, 1) == []


# Where drops fall, patch by patch


def chance_in(patch: tuple[int, int], key: int) -> float:
    """The chance of a patch of 3 mm, 0..1."""
    return 0.5 + 0.5 * corner(*patch, key)


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize(("px_per_mm", "cell"), [(5, 2), (10, 4)])
@pytest.mark.parametrize("edges", [0.5, 1.0])
def test_drops_fall_by_the_chance_of_their_patch(edges, px_per_mm, cell, turned):
    """Ends let a drop fall in seven of ten cases, a patch along the line in 3 of 22; of a patch its first point does.

    The line of a millimetre is two cells high, so its middle is a cell from its edge.
    """
    mask = line(px_per_mm)
    mask = np.ascontiguousarray(mask.T) if turned else mask
    total = 0
    for key in range(8):
        always = tool_edges._drops(mask, 100.0, px_per_mm, key)
        ends = sorted(place[int(turned)] for place in always)
        first, last, beside = ends[0], ends[-1], always[0][int(not turned)]
        wanted = []
        for patch in range(int(first / px_per_mm // 3), int(last / px_per_mm // 3) + 1):
            place = (int(beside / px_per_mm // 3), patch) if turned else (patch, int(beside / px_per_mm // 3))
            points = np.arange(first, last + 1, cell)
            inside = points[points / px_per_mm // 3 == patch]
            at_end = first in inside or last in inside
            if chance_in(place, key) < edges * (0.7 if at_end else 3 / 22):
                along = last if last in inside else inside[0]
                radius = cell + edges * (0.15 + 0.3 * chance_in(place, key + 1)) * px_per_mm
                wanted.append((beside, along, radius) if turned else (along, beside, radius))
        drops = tool_edges._drops(mask, edges, px_per_mm, key)
        assert sorted(drops) == [pytest.approx(drop) for drop in sorted(wanted)]
        total += len(drops)
    assert total > 8


def test_a_drop_lies_on_the_line():
    """Cells of two pixels: the line's rows 30 to 34 hold the cells of rows 30 and 32, whose middles are 31 and 33."""
    drops = tool_edges._drops(line(5), 100.0, 5, 1)
    assert {y for _, y, _ in drops} <= {31.0, 33.0}
    assert 15 <= min(x for x, _, _ in drops) < 20  # it begins 3 mm from the left
    assert 310 < max(x for x, _, _ in drops) <= 315


@pytest.mark.parametrize(("wide_mm", "drops"), [(3.2, True), (3.6, False), (4.8, False)])
def test_only_lines_narrower_than_four_millimetres_drop(wide_mm, drops):
    """Told in cells of two pixels: nine, 3.6 mm, have one in the middle that is five from either side, 2 mm."""
    mask = np.zeros((60, 300), np.uint8)
    mask[10 : 10 + int(wide_mm * 5), 10:290] = 255
    middle = [x for x, _, _ in tool_edges._drops(mask, 100.0, 5, 1) if 60 < x < 240]
    assert bool(middle) is drops


def test_half_a_level_is_wax_that_drops():
    mask = line(5)
    assert not tool_edges._drops(np.minimum(mask, 127), 100.0, 5, 1)
    assert tool_edges._drops(np.minimum(mask, 128), 100.0, 5, 1) == tool_edges._drops(mask, 100.0, 5, 1)


def test_in_a_tiny_picture_each_pixel_is_a_cell():
    mask = np.zeros((9, 40), np.uint8)
    mask[4, 2:38] = 255
    drops = tool_edges._drops(mask, 100.0, 0.9, 1)
    assert drops
    assert all(y == 4.5 for _, y, _ in drops)
    assert {x % 1 for x, _, _ in drops} == {0.5}


# Edges that creep


@pytest.mark.parametrize("px_per_mm", [5.0, 10.0])
@pytest.mark.parametrize(("tool", "creep_mm"), [("canting", 0.22), ("stamp", 0.15), ("brush", 0.12)])
def test_wax_creeps_by_its_millimetres_more_here_and_less_there(tool, creep_mm, px_per_mm):
    """Three quarters of it and smooth noise, at every place of a straight edge."""
    assert tool_edges.CREEP_MM[tool] == creep_mm
    mask = np.zeros((int(6 * px_per_mm), int(20 * px_per_mm)), np.uint8)
    mask[: int(3 * px_per_mm)] = 255
    crept = tool_edges._crept(mask, creep_mm, px_per_mm, 5)
    by = (crept.sum(axis=0, dtype=float) / 255 - int(3 * px_per_mm)) / px_per_mm
    x = np.arange(mask.shape[1]) / px_per_mm
    y = np.full_like(x, 3 + creep_mm / 2)
    uneven = 0.6 * noise_over(x / 2.6, y / 2.6, 5) + 0.25 * noise_over(x / 0.9, y / 0.9, 8)
    wanted = creep_mm * np.maximum(0.75 + uneven, 0)
    assert np.abs(by - wanted).mean() < 0.02
    assert by.mean() == pytest.approx(wanted.mean(), abs=0.008)


def test_in_a_coarse_picture_edges_stay():
    mask = np.zeros((12, 12), np.uint8)
    mask[:6] = 255
    assert (tool_edges._crept(mask, 5.0, 1.1, 1) == mask).all()  # .25 mm are .275 of a pixel
    assert tool_edges._crept(mask, 5.0, 1.1, 1) is not mask
    assert (tool_edges._crept(mask, 5.0, 2.0, 1) != mask).any()


def shapes() -> np.ndarray:
    mask = np.zeros((60, 90), np.uint8)
    mask[10:50, 30:80] = 255
    mask[20:24, 4:28] = 255
    return mask


def test_each_tool_is_creeping_and_its_own_marks():
    """Drops after a canting, dry streaks over 1.3 mm of a brush's edge, bubbles under a stamp."""
    from scipy.ndimage import gaussian_filter

    mask, px, edges = shapes(), 5.0, 0.8
    key = next(key for key in range(99) if tool_edges._drops(mask, edges, px, key))
    keys = {"px_per_mm": px, "seed": 1_000_003 + key}
    canting = tool_edges._crept(mask, edges * 0.22, px, key)
    plain = canting.copy()
    for drop in tool_edges._drops(mask, edges, px, key):
        tool_textures.draw_drop(canting, *drop)
    assert (canting != plain).any()
    assert (tool_edges.tool_edges(mask, "canting", edges, **keys) == canting).all()
    brush = tool_edges._crept(mask, edges * 0.12, px, key)
    soft = gaussian_filter(mask, 6.5, output=np.uint8, truncate=2.0)
    tool_textures.dry_brush(soft, brush, edges, px, key)
    assert (tool_edges.tool_edges(mask, "brush", edges, **keys) == brush).all()
    stamp = tool_edges._crept(mask, edges * 0.15, px, key)
    tool_textures.patchy_stamp(stamp, edges, px, key)
    assert (tool_edges.tool_edges(mask, "stamp", edges, **keys) == stamp).all()
    assert (mask == shapes()).all()
    cold = mask.copy()
    tool_textures.cool_patches(cold, 0.6, px, key)
    assert (tool_edges.cool_wax(mask, 0.6, **keys) == cold).all()
