"""Lines too thin to draw, gaps that close and islands too small: on drawn cloths and on samples spoilt on purpose."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import ndimage

from tests.checks.findings import PARSLEY, POPPIES, severities


def scratched(mask, gap_px):
    """Veins scratched into petals all over, one in 40 pixels."""
    found = mask.copy()
    for row in range(gap_px):
        found[row::40] = 0
    return found


def test_lines_thinner_than_the_tool(draw):
    fine = np.maximum.reduce([draw.box(10, y, 110, y + 0.4) for y in range(10, 70, 6)])
    (found,) = draw.case(("wax", fine, {"tool": "canting"}), ("dye", "sea", None)).check("hand")
    assert found.step == 1
    assert "100 cm" in found.message
    (brushed,) = draw.case(("wax", fine, {"tool": "brush"}), ("dye", "sea", None)).check("hand")
    assert "canting" in brushed.remedy


def test_lines_that_the_tool_can_draw(draw):
    broad = np.maximum.reduce([draw.box(10, y, 110, y + 1.2) for y in range(10, 70, 6)])
    assert draw.case(("wax", broad, {"tool": "canting"}), ("dye", "sea", None)).check("hand") == ()


def test_gaps_that_hot_wax_closes(draw):
    scratched = draw.box(10, 10, 110, 70)
    for y in range(14, 68, 6):
        scratched[round(5 * y) : round(5 * y) + 2, 75:525] = 0
    (found,) = draw.case(("wax", scratched), ("dye", "sea", None)).check("hand")
    assert "hot wax creeps" in found.message
    open_wide = draw.box(10, 10, 110, 70)
    for y in range(14, 68, 6):
        open_wide[round(5 * y) : round(5 * y) + 6, 75:525] = 0
    assert draw.case(("wax", open_wide), ("dye", "sea", None)).check("hand") == ()


def test_islands_too_small_to_brush(draw):
    cells = np.zeros_like(draw.blank())
    wax = draw.blank()
    for x in range(15, 110, 10):
        for y in range(10, 75, 20):
            wax = np.maximum(wax, draw.box(x - 2, y - 2, x + 5, y + 3.2))
            cells = np.maximum(cells, draw.box(x, y, x + 3, y + 1.2))
    case = draw.case(("wax", np.where(cells > 0, 0, wax).astype(np.uint8)), ("dye", "sea", cells))
    (found,) = case.check("hand")
    assert found.message.startswith("40 small islands")
    everywhere = draw.case(
        ("wax", np.where(cells > 0, 0, wax).astype(np.uint8)), ("dye", "sea", draw.box(0, 0, 120, 80))
    )
    assert everywhere.check("hand") == ()  # a brush sweeps over


@pytest.mark.parametrize(("folder", "width_mm"), [("hedge_parsley", 120), ("estuary_geese", 150)])
def test_samples_at_a_wrong_size(sample, folder, width_mm):
    case = sample(folder)
    assert case.check("hand") == ()
    small = case.with_design(cloth=replace(case.design.cloth, width_mm=width_mm))
    assert any("width_mm" in one.remedy for one in small.check("hand"))


@pytest.mark.parametrize(("folder", "width_mm"), [(PARSLEY, 150), (POPPIES, 100)])
def test_a_large_drawing_on_a_small_cloth(sample, folder, width_mm):
    """The drawing of a wall hanging waxed on a handkerchief: lines finer than any canting, gaps that run together."""
    case = sample(folder)
    found = case.with_design(cloth=replace(case.design.cloth, width_mm=width_mm)).check("hand")
    assert severities(found)[0] == ("warn", 1)
    assert "thinner than 0.5 mm, about the finest line of a canting" in found[0].message
    assert len(found) > 1
    assert found[0].place is not None
    assert case.with_design(cloth=replace(case.design.cloth, width_mm=600)).check("hand") == ()


@pytest.mark.full
def test_lines_scanned_too_thin(sample):
    """A scan with too much light eats the lines: a third of a millimetre is left of them."""
    case = sample(POPPIES)
    thin = ndimage.grey_erosion(case.mask("outlines.png"), 7)
    (found,) = case.with_mask("outlines.png", thin).check("hand")
    assert found.step == 1
    at = int(found.place.y_mm * case.px_per_mm), int(found.place.x_mm * case.px_per_mm)
    assert thin[at] >= 128  # the ring lies on such a line
    assert case.with_mask("outlines.png", ndimage.grey_erosion(case.mask("outlines.png"), 3)).check("hand") == ()


def test_fine_lines_laid_with_a_brush(sample):
    case = sample(PARSLEY)
    wax, dye = case.design.steps
    (found,) = case.with_steps(replace(wax, tool="brush"), dye).check("hand")
    assert "finest line of a brush" in found.message
    assert 'tool = "canting"' in found.remedy


def test_veins_scratched_into_wax_that_closes_again(sample):
    case = sample(POPPIES)
    petals = case.mask("keep-petals.png")
    found = case.with_mask("keep-petals.png", scratched(petals, 2)).check("hand")
    assert [one.step for one in found] == [5]
    assert "hot wax creeps" in found[0].message
    assert case.with_mask("keep-petals.png", scratched(petals, 6)).check("hand") == ()
