"""Lines too thin to draw, gaps that close and islands too small: on drawn cloths and on samples spoilt on purpose."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from scipy import ndimage

from batiksim.checks import drawable
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
    assert "100 cm" in str(found.message)
    (brushed,) = draw.case(("wax", fine, {"tool": "brush"}), ("dye", "sea", None)).check("hand")
    assert "canting" in str(brushed.remedy)


def test_lines_that_the_tool_can_draw(draw):
    broad = np.maximum.reduce([draw.box(10, y, 110, y + 1.2) for y in range(10, 70, 6)])
    assert draw.case(("wax", broad, {"tool": "canting"}), ("dye", "sea", None)).check("hand") == ()


def test_gaps_that_hot_wax_closes(draw):
    scratched = draw.box(10, 10, 110, 70)
    for y in range(14, 68, 6):
        scratched[round(5 * y) : round(5 * y) + 2, 75:525] = 0
    (found,) = draw.case(("wax", scratched), ("dye", "sea", None)).check("hand")
    assert "hot wax creeps" in str(found.message)
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
    assert str(found.message).startswith("40 small islands")
    everywhere = draw.case(
        ("wax", np.where(cells > 0, 0, wax).astype(np.uint8)), ("dye", "sea", draw.box(0, 0, 120, 80))
    )
    assert everywhere.check("hand") == ()  # a brush sweeps over


@pytest.mark.parametrize(("folder", "width_mm"), [("hedge_parsley", 120), ("estuary_geese", 150)])
def test_samples_at_a_wrong_size(sample, folder, width_mm):
    case = sample(folder)
    assert case.check("hand") == ()
    small = case.with_design(cloth=replace(case.design.cloth, width_mm=width_mm))
    assert any("width_mm" in str(one.remedy) for one in small.check("hand"))


@pytest.mark.parametrize(("folder", "width_mm"), [(PARSLEY, 150), (POPPIES, 100)])
def test_a_large_drawing_on_a_small_cloth(sample, folder, width_mm):
    """The drawing of a wall hanging waxed on a handkerchief: lines finer than any canting, gaps that run together."""
    case = sample(folder)
    found = case.with_design(cloth=replace(case.design.cloth, width_mm=width_mm)).check("hand")
    assert severities(found)[0] == ("warn", 1)
    assert "thinner than 0.5 mm, which is about the finest line a canting draws" in str(found[0].message)
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
    assert "finest line a brush draws" in str(found.message)
    assert 'tool = "canting"' in str(found.remedy)


def test_veins_scratched_into_wax_that_closes_again(sample):
    case = sample(POPPIES)
    petals = case.mask("keep-petals.png")
    found = case.with_mask("keep-petals.png", scratched(petals, 2)).check("hand")
    assert [one.step for one in found] == [5]
    assert "hot wax creeps" in str(found[0].message)
    assert case.with_mask("keep-petals.png", scratched(petals, 6)).check("hand") == ()


# Lengths and places, by hand


def at_five_pixels_to_the_mm():
    """What the measuring functions ask of a scene; a place is given back as it was asked for."""
    return SimpleNamespace(px_per_mm=5.0, work_px_per_mm=5.0, at=lambda *place: tuple(round(mm, 3) for mm in place))


def test_half_the_outline_is_the_length():
    """Of a bar of 10 by 2, 20 steps run across and 4 down; of 5 pixels corner to corner 10 and 10."""
    labels = np.zeros((12, 20), np.int32)
    labels[2:4, 5:15] = 1
    labels[range(6, 11), range(3, 8)] = 2
    labels[5, 15:18] = 3
    lengths = drawable._lengths(labels, 3)
    assert lengths.shape == (4,)
    assert lengths[1:] == pytest.approx([np.hypot(20, 4) / 2, 5 * np.sqrt(2), np.hypot(6, 2) / 2])
    upright = drawable._lengths(labels.T, 3)
    assert upright[1:] == pytest.approx(lengths[1:])


@pytest.mark.parametrize(
    ("box", "place"),
    [
        (np.s_[3:4, 10:110], (12.1, 0.7, 9.9)),  # the 51st of 100 pixels; from first to last 99, half of that in mm
        (np.s_[20:51, 40:81], (12.1, 7.1, 5.0)),  # 30 down and 40 across: 50
        (np.s_[20:21, 40:43], (8.3, 4.1, 4.0)),  # at least 4 mm
        (np.s_[0:1, 0:199], (19.9, 0.1, 15.0)),  # at most 15
    ],
)
def test_a_ring_around_the_middle_of_a_small_shape(box, place):
    where = np.zeros((60, 200), np.bool_)
    where[box] = True
    assert drawable._around(at_five_pixels_to_the_mm(), where) == pytest.approx(place)


@pytest.fixture
def bars():
    """A block of 50 by 40 pixels with one line of 200 by 3 that starts at it, and another of 100 by 3 apart."""
    where = np.zeros((120, 300), np.bool_)
    where[60:100, 20:70] = True
    where[80:83, 70:270] = True
    where[20:23, 100:200] = True
    return where


def thin(where, width_mm=0.8, line_mm=5.0, **keys):
    return drawable._thin(at_five_pixels_to_the_mm(), where, width_mm, line_mm, **keys)


def test_what_is_thin_is_measured(bars):
    """What is up to 4 pixels wide at 5 to the mm: both lines, 900 of 2900 pixels, and not the block's corners.

    Of the line that leaves the block, the first column counts to the block.
    """
    found = thin(bars)
    assert found.share == pytest.approx(897 / 2900)
    first, second = np.hypot(2 * 199, 6) / 10, np.hypot(2 * 100, 6) / 10
    assert found.length_mm == pytest.approx(first + second, abs=0.3)
    assert found.place[:2] == pytest.approx((34.1, 16.3), abs=0.4)  # the middle of the longer
    assert thin(bars, line_mm=30).share == pytest.approx(597 / 2900)
    assert thin(bars, line_mm=45) is None


@pytest.mark.parametrize(
    ("keys", "seen"),
    [
        ({"width_mm": 0.4}, False),  # up to 2 pixels: none
        ({"width_mm": 0.39}, False),
        ({"least_share": 0.3}, True),  # 870 pixels of 2900
        ({"least_share": 0.35}, False),  # 1015
        ({"least_mm": 250}, True),  # could be 884 pixels, each a mm by root 2 long and 5 to the mm
        ({"least_mm": 270}, False),  # 955
    ],
)
def test_thin_parts_are_looked_at_where_they_may_be_enough(bars, keys, seen):
    assert (thin(bars, **keys) is not None) is seen


def test_lines_of_two_pixels_are_the_thinnest_that_can_be_told():
    where = np.zeros((40, 100), np.bool_)
    where[10:12, 10:90] = True
    where[20:30, 10:90] = True
    assert thin(where, 0.4).share == pytest.approx(160 / 960)
    assert thin(where, 0.39) is None
    assert thin(np.zeros_like(where)) is None
    assert thin(np.ones_like(where)) is None


def test_a_fringe_along_a_block_is_its_rough_edge():
    """Two rows of every other pixel, corner to corner, all along a block: half of them touch it."""
    where = np.zeros((60, 300), np.bool_)
    where[20:50, 20:280] = True
    where[19, 20:280:2] = where[18, 21:280:2] = True
    assert thin(where) is None
    where[5:8, 20:280] = True
    assert thin(where).share == pytest.approx(3 * 260 / (30 * 260 + 260 + 3 * 260))


def test_a_block_without_lines_has_no_thin_parts():
    where = np.zeros((60, 100), np.bool_)
    where[20:50, 20:80] = True
    assert thin(where) is None


def strips(draw, thin_mm, broad_mm):
    """Lines .4 mm wide and a bar 4 mm wide, each so long."""
    return np.maximum(draw.box(5, 10, 5 + thin_mm, 10.4), draw.box(5, 40, 5 + broad_mm, 44))


@pytest.mark.parametrize(
    ("tool", "broad_mm", "found"),
    [
        # of 100 mm by .4, 40 mm2, and a bar of 4 mm: of all wax the thin part is
        ("canting", 110, ["note"]),  # 40 / 480, 8%
        ("canting", 42, ["note"]),  # 40 / 208, 19%
        ("canting", 38, ["warn"]),  # 40 / 192, 21%; from four times a canting's 5% on
        (None, 38, ["warn"]),  # a canting unless told
        ("stamp", 110, []),  # allowed a tenth
        ("stamp", 80, ["note"]),  # 40 / 360, 11%
        ("stamp", 16, ["note"]),  # 40 / 104, 38%
        ("stamp", 14, ["warn"]),  # 40 / 96, 42%
        ("brush", 24, []),  # 40 / 136, 29%
        ("brush", 22, ["note"]),  # 40 / 128, 31%
        ("brush", 8, ["note"]),  # 40 / 72, 56%
        ("brush", 6, ["warn"]),  # 40 / 64, 63%; no more than 60% is asked
    ],
)
def test_how_much_may_be_thinner_than_the_tool(draw, tool, broad_mm, found):
    case = draw.case(("wax", strips(draw, 100, broad_mm), {"tool": tool}), ("dye", "sea", None))
    assert [one.severity for one in case.check("hand")] == found


def test_a_waxing_done_again_is_told_once_for_each_tool(draw):
    fine = strips(draw, 100, 20)
    case = draw.case(
        ("wax", fine, {"tool": "canting"}),
        ("dye", "sun", None),
        ("wax", fine, {"tool": "canting"}),
        ("dye", "sea", None),
        ("wax", fine, {"tool": "brush"}),
    )
    assert [one.step for one in case.check("hand")] == [1, 5]


def gaps(draw, count, length_mm=100.0):
    """A block of 110 by 70 mm with so many gaps of .4 mm."""
    wax = draw.box(5, 5, 115, 75)
    for number in range(count):
        top = 5 * (8 + 4 * number)
        wax[top : top + 2, 50 : 50 + round(5 * length_mm)] = 0
    return wax


@pytest.mark.parametrize(
    ("settings", "found"),
    [
        ({"closes_cm": 39.5}, ["warn"]),  # four of 10 cm; of the 2060 mm2 that are open 160
        ({"closes_cm": 40.5}, []),
        ({"line_mm": 99}, ["warn"]),
        ({"line_mm": 101}, []),
        ({"closes_mm": 0.39}, []),
    ],
)
def test_gaps_that_close_by_their_length(draw, settings, found):
    case = draw.case(("wax", gaps(draw, 4)), ("dye", "sea", None))
    told = case.check("hand", settings={"hand": settings})
    assert [one.severity for one in told] == found
    assert all("About 40 cm of fine gaps" in str(one.message) and one.step == 1 for one in told)


@pytest.mark.parametrize(("right", "severity"), [(24, "note"), (84, "warn")])
def test_gaps_that_are_little_of_what_is_open_are_a_note(draw, right, severity):
    """Three gaps of 10 mm by .4 are 12 mm2, of some 7700 mm2 and of 500 that are open."""
    wax = draw.box(0, 0, 120, 80)
    for top in (20, 24, 28):
        wax[5 * top : 5 * top + 2, 50:100] = 0
    wax[200:, :] = wax[:, 5 * 24 :] = 255
    if right == 24:
        wax[200:, :] = 0
    case = draw.case(("wax", wax), ("dye", "sea", None))
    (found,) = case.check("hand", settings={"hand": {"closes_cm": 2.5}})
    open_mm2 = 12 + (4800 if right == 24 else 0)
    assert (12 / open_mm2 >= 0.02) is (severity == "warn")
    assert found.severity == severity


# Islands


@pytest.fixture
def islands(draw):
    """Ten islands of 3 by 1.2 mm and one of 4 by 1.2 around 70, 60, each within a wall of wax on open cloth.

    field_mm : of a brushed field along the top, behind a wall of its own
    """

    def built(*, field_mm=0.0, **settings):
        cells = np.maximum.reduce([draw.box(x, 20, x + 3, 21.2) for x in range(10, 110, 10)])
        cells = np.maximum(cells, draw.box(68, 59.4, 72, 60.6))
        field = draw.box(0, 0, 120, field_mm)
        walls = np.maximum.reduce([draw.box(x - 1, 19, x + 4, 22.2) for x in range(10, 110, 10)])
        walls = np.maximum.reduce([walls, draw.box(67, 58.4, 73, 61.6), draw.box(0, field_mm, 120, 5)])
        wax = np.where(cells > 0, 0, walls).astype(np.uint8)
        case = draw.case(("wax", wax), ("dye", "sea", np.maximum(cells, field)))
        return case.check("hand", settings={"hand": {"closes_cm": 999.0, "canting_share": 1.1} | settings})

    return built


def test_the_largest_island_is_shown(islands):
    (found,) = islands()
    assert (found.severity, found.step) == ("warn", 2)
    assert str(found.message).startswith("11 small islands to be brushed are narrower than 1.6 mm")
    assert (found.place.x_mm, found.place.y_mm) == (pytest.approx(70, abs=1.6), pytest.approx(60, abs=0.3))


@pytest.mark.parametrize(
    ("settings", "count"),
    [
        ({"islands": 11}, 11),
        ({"islands": 12}, 0),
        ({"island_mm2": 3.59}, 11),  # 3 by 1.2 mm are 3.6 mm2, 4 by 1.2 are 4.8
        ({"island_mm2": 3.65, "islands": 1}, 1),
        ({"island_mm2": 4.9, "islands": 1}, 0),
        ({"island_mm": 1.2}, 11),  # 6 pixels, as wide as they are
        ({"island_mm": 1.19}, 0),
    ],
)
def test_islands_by_size_and_number(islands, settings, count):
    found = islands(**settings)
    assert [one.message.values["count"] for one in found] == [count] * bool(count)


@pytest.mark.parametrize(("field_mm", "severity"), [(1.2, "warn"), (2, "note")])
def test_islands_that_are_little_of_what_is_brushed_are_a_note(islands, field_mm, severity):
    """Islands of 40.8 mm2 in all: beside a field of 144 mm2 they are 22%, beside one of 240 mm2 14.5%."""
    (found,) = islands(field_mm=field_mm, island_mm=1.2, island_mm2=2.0, islands=11)
    assert str(found.message).startswith("1")
    assert found.severity == severity


def test_a_brush_sweeps_over_islands_with_little_else_about_them():
    """Three islands in a row, 4 pixels apart; a brush is looked at 5 pixels around each, at 5 pixels to the mm."""
    labels = np.zeros((20, 40), np.int32)
    labels[8:10, 6:10], labels[8:10, 18:22], labels[8:10, 30:34] = 1, 2, 3
    small = np.array([False, True, True, False])
    brushed, left = labels > 0, np.zeros_like(labels, np.bool_)
    settings = drawable.DrawableLimits(around_mm=1.0)

    def alone():
        return drawable._alone(at_five_pixels_to_the_mm(), settings, labels, small, left, brushed).tolist()

    assert alone() == [False, False, False, False]  # nothing about them
    left[5, 1:3] = left[14, 18:20] = True  # within 5 pixels of the first, and of the second
    assert alone() == [False, True, True, False]
    left[:] = False
    left[2, 6], left[15, 6], left[8, 0], left[8, 15 - 3] = True, True, True, False  # 6 pixels off, one too far
    assert alone() == [False, False, False, False]
    left[:] = False
    brushed[12, 18:20] = True  # two pixels that are brushed too
    left[5, 18:22] = True  # four that are not: twice as many are not enough
    assert alone() == [False, False, False, False]
    left[4, 18] = True
    assert alone() == [False, False, True, False]


# At the very limits


@pytest.mark.parametrize(("level", "found"), [(128, ["warn"]), (127, [])])
def test_wax_counts_from_half_a_mark_on(draw, level, found):
    fine = np.minimum(strips(draw, 100, 0), level)
    case = draw.case(("wax", fine, {"tool": "canting"}), ("dye", "sea", None))
    assert [one.severity for one in case.check("hand")] == found


@pytest.mark.parametrize(("level", "found"), [(127, ["warn"]), (128, [])])
def test_gaps_are_open_below_half_a_mark(draw, level, found):
    case = draw.case(("wax", np.maximum(gaps(draw, 4), level)), ("dye", "sea", None))
    assert [one.severity for one in case.check("hand")] == found


@pytest.mark.parametrize(("tool", "broad_mm", "severity"), [("stamp", 90, "note"), ("canting", 40, "warn")])
def test_a_share_as_large_as_allowed_is_told(draw, tool, broad_mm, severity):
    """1000 pixels of 10000, all that a stamp may have; of 5000, four times what a canting may."""
    case = draw.case(("wax", strips(draw, 100, broad_mm), {"tool": tool}), ("dye", "sea", None))
    assert [one.severity for one in case.check("hand")] == [severity]


@pytest.mark.parametrize(("high", "severity"), [(100, "warn"), (101, "note")])
def test_gaps_of_a_fiftieth_of_what_is_open_are_a_warning(draw, high, severity):
    """300 pixels of gaps beside an opening of 147 by 100 or 101."""
    wax = draw.box(0, 0, 120, 80)
    for top in (20, 24, 28):
        wax[5 * top : 5 * top + 2, 50:100] = 0
    wax[200 : 200 + high, 50:197] = 0
    (found,) = draw.case(("wax", wax), ("dye", "sea", None)).check("hand", settings={"hand": {"closes_cm": 2.5}})
    assert found.severity == severity


def test_a_line_may_run_from_corner_to_corner():
    where = np.zeros((120, 120), np.bool_)
    where[range(10, 110), range(10, 110)] = True
    where[80:110, 10:40] = True
    assert thin(where).share == pytest.approx(100 / 1000)
    assert thin(where).length_mm == pytest.approx(100 * np.sqrt(2) / 5)


def test_lines_across_the_whole_picture_have_no_ends():
    labels = np.array([[1] * 6, [0] * 6, [2] * 6], np.int32)
    assert drawable._lengths(labels, 2)[1:].tolist() == [3, 3]  # one side of each is the picture's edge
    assert drawable._lengths(labels.T, 2)[1:].tolist() == [3, 3]


def test_islands_are_looked_at_among_what_is_brushed(draw):
    """A pot given to the whole cloth in the same dyeing sweeps over nothing: it isn't brushed."""
    cells = np.maximum.reduce([draw.box(x, 20, x + 3, 21.2) for x in range(10, 110, 10)])
    walls = np.maximum.reduce([draw.box(x - 1, 19, x + 4, 22.2) for x in range(10, 110, 10)])
    wax = np.where(cells > 0, 0, walls).astype(np.uint8)
    for pots in (("sea", cells), ("sea", cells, "sun", None)):
        (found,) = draw.case(("wax", wax, {"tool": "stamp"}), ("dye", *pots)).check("hand")
        assert str(found.message).startswith("10 small islands")
