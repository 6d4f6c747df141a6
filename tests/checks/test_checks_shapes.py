"""Hand, waste and lost lines: where they must be found and where they must not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from batiksim.checks.shapes.components import thick
from batiksim.values import Discharge, DyeBath, MaskUse, Paint, RemoveWax


def steps_of(findings):
    return [one.step for one in findings]


# Hand


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


def test_thick_parts_by_an_octagon():
    strips = np.zeros((60, 200), np.bool_)
    for place, width in enumerate(range(1, 10)):
        strips[5:55, 5 + 20 * place : 5 + 20 * place + width] = True
    kept = thick(strips, 2)
    widths = [int(kept[30, 20 * place : 20 * place + 20].sum()) for place in range(9)]
    assert widths == [0, 0, 0, 0, 5, 6, 7, 8, 9]


# Wasted


def test_masks_with_nothing_or_everything(draw):
    (found,) = draw.case(("wax", draw.blank()), ("dye", "sea", None)).check("wasted")
    assert "nothing marked" in found.message
    full = draw.case(("wax", draw.box(0, 0, 120, 80)), ("dye", "sea", None)).check("wasted")
    assert steps_of(full) == [1, 2]
    assert "reaches no open cloth" in full[1].message
    speck = draw.case(("wax", draw.box(3, 3, 3.8, 3.8)), ("dye", "sea", None)).check("wasted")
    assert "hardly anything" in speck[0].message


def test_canting_lines_over_most_of_the_cloth_are_upside_down(sample):
    case = sample("garden_poppies/remedy.toml")
    wrong = case.with_mask("outlines.png", 255 - case.mask("outlines.png"))
    found = [one for one in wrong.check("wasted") if one.step == 1]
    assert ["too much for lines" in one.message for one in found] == [True]


def test_parsley_upside_down(sample):
    case = sample("hedge_parsley")
    wrong = case.with_mask("moonlight.png", 255 - case.mask("moonlight.png"))
    assert steps_of(wrong.check("wasted")) == [1]


def test_wax_over_wax(draw):
    one, inside = draw.box(20, 20, 100, 60), draw.box(40, 30, 80, 50)
    case = draw.case(("wax", one), ("dye", "sun", None), ("wax", inside), ("dye", "sea", None))
    assert steps_of(case.check("wasted")) == [3]
    apart = draw.case(("wax", one), ("dye", "sun", None), ("wax", draw.box(60, 30, 118, 70)), ("dye", "sea", None))
    assert apart.check("wasted") == ()


def test_steps_that_do_nothing(draw):
    mask = draw.box(20, 20, 100, 60)
    assert steps_of(draw.case(("dye", "sun", None), ("wax", mask)).check("wasted")) == [2]
    assert steps_of(draw.case(RemoveWax(), ("dye", "sun", None)).check("wasted")) == [1]
    assert steps_of(draw.case(Discharge(), ("dye", "sun", None)).check("wasted")) == [1]
    under = draw.case(("wax", draw.box(10, 10, 110, 70)), ("dye", "sun", mask), ("dye", "sea", None))
    assert steps_of(under.check("wasted")) == [2]
    assert draw.case(("wax", mask), ("dye", "sun", None), RemoveWax(), ("dye", "sea", None)).check("wasted") == ()


# Lost lines


def lines(draw):
    return np.maximum.reduce([draw.box(10, y, 110, y + 1.4) for y in range(10, 75, 12)])


def test_lines_left_open_after_the_wax_came_out(draw):
    grid = lines(draw)
    case = draw.case(("wax", grid), ("dye", "coral", None), RemoveWax(), ("dye", "navy", None))
    (found,) = case.check("lost")
    assert (found.step, found.severity) == (4, "serious")
    assert "60 cm" in found.message or "61 cm" in found.message
    waxed_again = draw.case(("wax", grid), ("dye", "coral", None), RemoveWax(), ("wax", grid), ("dye", "navy", None))
    assert waxed_again.check("lost") == ()


def test_bleached_lines_dyed_over(draw):
    grid = lines(draw)
    bleach = Discharge(where=MaskUse(picture="0.png"))
    case = draw.case(("wax", grid), ("dye", "navy", None), RemoveWax())
    dyed = case.design.steps[1]
    bleached = case.with_steps(case.design.steps[0], dyed).with_steps(
        DyeBath(paints=(Paint(pot="coral"),)), bleach, DyeBath(paints=(Paint(pot="navy"),))
    )
    assert steps_of(bleached.check("lost")) == [3]


def test_a_last_pale_tint_is_no_loss(draw):
    case = draw.case(("wax", lines(draw)), ("dye", "coral", None), RemoveWax(), ("dye", "mist", None))
    assert case.check("lost") == ()


def test_broad_shapes_are_no_lines(draw):
    case = draw.case(("wax", draw.disc(60, 40, 20)), ("dye", "coral", None), RemoveWax(), ("dye", "navy", None))
    assert case.check("lost") == ()


@pytest.mark.parametrize(("folder", "cut", "again"), [
    ("garden_poppies/remedy.toml", 4, (0, 2)),
    ("estuary_geese", 6, (0, 2, 4)),
])  # fmt: skip
def test_samples_whose_lines_are_not_waxed_again(sample, folder, cut, again):
    """All wax out before the last waxing: with the earlier waxings done again nothing is lost."""
    case = sample(folder)
    steps = case.design.steps
    whole = case.with_steps(*steps[:cut], RemoveWax(), *(steps[n] for n in again), *steps[cut:])
    assert whole.check("lost") == ()
    forgotten = case.with_steps(*steps[:cut], RemoveWax(), *(steps[n] for n in again[1:]), *steps[cut:])
    assert [(one.code, one.step) for one in forgotten.check("lost")] == [("lost", len(forgotten.design.steps))]


def test_twice_the_pixels_give_the_same_places(draw):
    """Lengths are mm."""
    line = np.where(draw.box(70, 39, 90, 41) > 0, 0, draw.ring(60, 40, 19, 1.4)).astype(np.uint8)
    case = draw.case(("wax", line), ("dye", "leaf", draw.disc(60, 40, 19)))
    double = replace(case, masks=np.repeat(np.repeat(case.masks, 2, axis=1), 2, axis=2))
    (one,), (other,) = case.check("leak"), double.check("leak")
    assert (other.place.x_mm, other.place.y_mm) == (
        pytest.approx(one.place.x_mm, abs=0.5),
        pytest.approx(one.place.y_mm, abs=0.5),
    )
