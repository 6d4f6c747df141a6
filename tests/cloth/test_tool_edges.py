"""What a tool does to the edge of the wax, where it can be counted."""

from __future__ import annotations

import numpy as np
import pytest

from batiksim.cloth.effects import tool_edges


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
