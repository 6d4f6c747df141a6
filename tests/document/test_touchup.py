"""Strokes on a mask, by distances worked by hand."""

from __future__ import annotations

import numpy as np
import pytest

from batiksim.document.touchup import TOOL_WIDTHS_MM, draw_stroke
from batiksim.errors import BatikError


def stroke(points, *, width=4.0, px_per_mm=1.0, erase=False, size=(21, 31), start=0):
    return draw_stroke(np.full(size, start, np.uint8), points, width_mm=width, px_per_mm=px_per_mm, erase=erase)


def test_a_dot_is_a_disc_with_a_soft_edge():
    """About 10.5, 10.5 mm, the middle of pixel 10, with a radius of 2: a pixel on its edge is half marked."""
    dot = stroke([(10.5, 10.5)])
    assert dot[10, 8:13].tolist() == [128, 255, 255, 255, 128]
    assert dot[8:13, 10].tolist() == [128, 255, 255, 255, 128]
    assert dot[9, 9] == 255  # 1.41 away
    assert dot[8, 8] == 0  # 2.83 away
    assert dot[10, 7] == 0
    assert int((dot > 0).sum()) == 21


def test_a_line_is_as_long_as_drawn_with_round_ends():
    line = stroke([(5.5, 10.5), (20.5, 10.5)])
    assert (line[10] == 255).nonzero()[0].tolist() == list(range(4, 22))
    assert line[10, 3] == line[10, 22] == 128
    assert line[8, 5:21].tolist() == [128] * 16
    assert (line[7] == 0).all()
    assert (line == stroke([(20.5, 10.5), (5.5, 10.5)])).all()
    assert (stroke([(10.5, 5.5), (10.5, 15.5)])[:, :21] == stroke([(5.5, 10.5), (15.5, 10.5)])[:, :21].T).all()


def test_a_stroke_has_all_its_pieces():
    bent = stroke([(5.5, 5.5), (20.5, 5.5), (20.5, 15.5)])
    parts = np.maximum(stroke([(5.5, 5.5), (20.5, 5.5)]), stroke([(20.5, 5.5), (20.5, 15.5)]))
    assert (bent == parts).all()


def test_scraping_is_the_reverse():
    assert (stroke([(10.5, 10.5)], erase=True, start=255) == 255 - stroke([(10.5, 10.5)])).all()
    before = np.full((21, 31), 100, np.uint8)
    assert draw_stroke(before, [(10.5, 10.5)], width_mm=4, px_per_mm=1).max() == 255
    assert (before == 100).all()
    assert draw_stroke(before, [(10.5, 10.5)], width_mm=4, px_per_mm=1)[0, 0] == 100


def test_millimetres_become_pixels():
    assert (stroke([(5.25, 5.25)], width=2, px_per_mm=2) == stroke([(10.5, 10.5)])).all()
    finest = stroke([(10.5, 10.5)], width=0.1)
    assert finest[10, 10] == 255  # no stroke is narrower than a pixel
    assert int((finest > 0).sum()) == 1


def test_beyond_the_mask_nothing_is_drawn():
    assert not stroke([(-50, -50)]).any()
    assert not stroke([(500, 10)]).any()
    assert stroke([(0.5, 0.5)])[0, :4].tolist() == [255, 255, 128, 0]
    assert stroke([(30.5, 20.5)])[20, 27:].tolist() == [0, 128, 255, 255]


@pytest.mark.parametrize("points", [[], [(0, 0)] * 20_001, [(0, float("nan"))], [(0, 1.1e6)]])
def test_strokes_that_are_none(points):
    with pytest.raises(BatikError, match="points: a stroke needs 1 to 20000 points"):
        stroke(points)


def test_the_last_that_are():
    stroke([(0, 1e6)], width=200)
    assert stroke([(10.5, 10.5)], width=0.1).any()
    assert stroke([(0, 0)] * 20_000).any()


def test_tools_are_as_wide_as_those_in_a_makers_hand():
    """Cantings of 0.25 to 1 mm for fine lines, 1 to 2 for outlines, up to 3 to fill; brushes from there on."""
    assert [(kind, width) for _, kind, width in TOOL_WIDTHS_MM] == [
        ("canting", 0.8), ("canting", 1.5), ("canting", 2.5), ("brush", 5), ("brush", 12), ("brush", 30)
    ]  # fmt: skip
    assert len({name for name, _, _ in TOOL_WIDTHS_MM}) == 6
