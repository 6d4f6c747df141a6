"""Gaps in the wax: where they must be found and where they must not."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from scipy import ndimage

from batiksim.checks import leak
from batiksim.cloth.masks import area_mean
from batiksim.colour.ciede2000 import delta_e_2000

OUTLINE = {"tool": "canting"}


def outlined(draw, *, gap_mm=0.0, line_mm=1.4, fill=18.0, then=()):
    """A disc brushed yellow-green inside a wax line, cut open at the right over a length; the rest stays white."""
    line = draw.ring(60, 40, 19, line_mm)
    if gap_mm:
        line = np.where(draw.box(70, 40 - gap_mm / 2, 90, 40 + gap_mm / 2) > 0, 0, line).astype(np.uint8)
    return draw.case(("wax", line, OUTLINE), ("dye", "leaf", draw.disc(60, 40, fill + 1.0)), *then)


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


@pytest.mark.parametrize("gap", [0.6, 1.0, 2.0, 3.0])
def test_a_gap_is_marked_and_measured(draw, gap):
    (found,) = outlined(draw, gap_mm=gap).check("leak")
    assert (found.code, found.severity, found.step) == ("leak", "serious", 2)
    assert found.message.values["mm"] == pytest.approx(gap, abs=0.41)  # two pixels
    assert np.hypot(found.place.x_mm - 79, found.place.y_mm - 40) < 2.5


@pytest.mark.parametrize("margin", [0.5, 1.0, 1.8])
def test_dye_brushed_short_of_the_line_still_finds_the_gap(draw, margin):
    (found,) = outlined(draw, gap_mm=1.6, fill=17.3 - margin).check("leak")
    assert np.hypot(found.place.x_mm - 79, found.place.y_mm - 40) < 2.5


def test_closed_lines_keep_dye_in(draw):
    assert outlined(draw).check("leak", "neighbours") == ()


def test_a_wide_opening_is_meant(draw):
    assert outlined(draw, gap_mm=9).check("leak") == ()


def test_a_gap_does_no_harm_where_both_sides_take_the_same_bath(draw):
    line = np.where(draw.box(70, 39, 90, 41) > 0, 0, draw.ring(60, 40, 19, 1.4)).astype(np.uint8)
    assert draw.case(("wax", line), ("dye", "leaf", None)).check("leak") == ()
    assert draw.case(("wax", line), ("dye", "leaf", draw.box(0, 0, 120, 80))).check("leak") == ()


def test_a_gap_is_only_a_note_where_later_dye_hides_it(draw):
    hidden = outlined(draw, gap_mm=2, then=(("dye", "night", None),)).check("leak")
    assert [one.severity for one in hidden] == ["note"]
    assert hidden[0].message.key == "checks.leak.hidden"


def test_brushing_without_outlines_is_no_leak(draw):
    stroke = draw.box(50, 20, 52, 60)
    assert draw.case(("wax", stroke), ("dye", "leaf", draw.disc(60, 40, 18))).check("leak") == ()


def test_a_pot_that_ends_in_a_channel_is_no_gap(draw):
    stem = np.maximum(draw.box(40, 0, 41.4, 80), draw.box(44, 0, 45.4, 80))
    assert draw.case(("wax", stem), ("dye", "leaf", draw.box(40, 0, 45, 30))).check("leak") == ()


@pytest.mark.full
@pytest.mark.parametrize(("folder", "picture", "fill"), [
    ("garden_poppies/remedy.toml", "outlines.png", "paint-leaves.png"),
    ("estuary_geese", "1-white-lines.png", "paint-apricot.png"),
])  # fmt: skip
def test_gaps_rubbed_into_the_samples_are_found(sample, folder, picture, fill):
    """At random places where a line has brushed cloth on one side and bare cloth, or another pot, on the other."""
    case = sample(folder)
    lines, brushed = case.mask(picture), case.mask(fill) > 30
    near = [
        ndimage.uniform_filter(((lines < 50) & side).astype(np.float32), round(5 * case.px_per_mm)) > 0.2
        for side in (brushed, ~brushed)
    ]
    rows, cols = np.nonzero(brushed & ~ndimage.binary_erosion(brushed) & (lines > 200) & near[0] & near[1])
    found = 0
    for at in np.random.default_rng(7).choice(len(rows), 6, replace=False):
        x, y = cols[at] / case.px_per_mm, rows[at] / case.px_per_mm
        spoilt = case.without_wax(picture, x, y, 3.2)
        places = [one.place for one in spoilt.check("leak")]
        found += any(np.hypot(place.x_mm - x, place.y_mm - y) < 5 for place in places)
    assert found >= 5


@pytest.mark.parametrize(("folder", "factor"), [("garden_poppies/remedy.toml", 7), ("estuary_geese", 8)])
def test_masks_too_coarse_for_their_lines_give_one_note(sample, folder, factor):
    """At half or three quarters of a pixel to the mm the outlines fade: told once, and not as serious."""
    case = sample(folder)
    coarse = replace(case, masks=np.stack([area_mean(mask, factor) for mask in case.masks]))
    (found,) = coarse.check("leak")
    assert found.severity == "note"
    assert found.message.key == "checks.leak.coarse"
    middling = replace(case, masks=np.stack([area_mean(mask, 2) for mask in case.masks]))
    assert middling.check("leak") == ()


# Fronts, pieces and windows, by hand


def five_pixels_to_the_mm(**more):
    """What the measuring functions ask of a scene."""
    return SimpleNamespace(px_per_mm=5.0, work_px_per_mm=5.0, **more)


def test_pieces_of_at_least_a_size():
    where = np.zeros((9, 9), np.bool_)
    where[0, :3] = where[2, :4] = where[4, :5] = True
    kept = np.zeros_like(where)
    kept[2, :4] = kept[4, :5] = True
    assert leak._large(where, 4).tolist() == kept.tolist()
    assert not leak._large(where, 6).any()
    assert leak._large(where, 0).tolist() == where.tolist()


def test_a_window_at_full_size_where_cloth_is_open():
    where = np.array([[True, False], [False, True]])
    opened = np.ones((4, 5), np.bool_)
    opened[0, 0] = False
    opened = opened[:, :3]  # at the cloth's edge a working pixel may stand for less
    assert leak.full_size(where, 2, opened).astype(int).tolist() == [[0, 1, 0], [1, 1, 0], [0, 0, 1], [0, 0, 1]]


def test_a_pot_with_long_edges_on_open_cloth_is_brushed_freely():
    """A box of 300 by 50 pixels: on open cloth an edge of 700 pixels, 140 mm; with wax along the left, 650."""
    opened = np.ones((100, 400), np.bool_)
    where = np.zeros_like(opened)
    where[20:70, 50:350] = True
    settings = leak.Leak()

    def free(**changes):
        return leak._freehand(five_pixels_to_the_mm(), replace(settings, **changes), opened, where)

    assert free()
    assert free(free_mm=139)
    assert not free(free_mm=140)
    opened[20:70, :50] = False  # wax on the left: 50 pixels of edge lie on it
    assert free(free_mm=129)
    assert not free(free_mm=130)
    assert free(free_mm=0, free_share=12.9)  # 650 of 50
    assert not free(free_mm=0, free_share=13)
    opened[~where] = False  # wax all about
    assert not free(free_mm=0, free_share=0)
    opened[19, 100:120] = True  # 20 pixels open: a gap, as wide as gaps may be
    assert not free(free_mm=0, free_share=0)
    opened[19, 100:121] = True
    assert free(free_mm=0, free_share=0)


@pytest.fixture
def fronts():
    """Cloth brushed on the left of a wall of wax, open on the right, with doors of 4 and of 22 pixels in the wall."""
    opened = np.ones((120, 90), np.bool_)
    opened[:, 40:44] = False
    opened[10:14, 40:44] = opened[60:82, 40:44] = True
    grown = opened.copy()
    grown[:, 41:] = False

    def spots(*, margin_mm=0.0, opened=opened, grown=grown, **settings):
        none = np.zeros_like(opened)
        bath = leak.Brushed(number=1, pot="sea", o=0, opened=opened, where=none, grown=grown, places={})
        return leak._openings(five_pixels_to_the_mm(), replace(leak.Leak(), **settings), bath, margin_mm)

    spots.opened, spots.grown = opened, grown
    return spots


def test_middles_of_short_fronts_the_shortest_first(fronts):
    """At column 41 in both doors; of gaps up to 4 mm, 20 pixels and one for a creep, the second is too wide."""
    assert fronts() == [(12, 41)]
    assert fronts(gap_mm=4.1) == [(12, 41)]
    assert fronts(gap_mm=4.2) == [(12, 41), (71, 41)]
    assert fronts(gap_mm=4.2, looked_at=1) == [(12, 41)]
    assert fronts(margin_mm=0.1) == [(12, 41), (71, 41)]  # twice the margin is allowed
    assert fronts(margin_mm=0.05) == [(12, 41)]


def test_fronts_of_crumbs_do_not_count(fronts):
    """The brushed side has 40 by 120 pixels and 26 in the doors, the other 46 by 120 and 78: 193 and 223.9 mm2."""
    assert fronts(least_mm2=193) == [(12, 41)]
    assert fronts(least_mm2=193.1) == []
    speck = fronts.grown.copy()
    speck[:] = False
    speck[12, 40] = True  # one pixel in the first door, all else open
    assert fronts(grown=speck) == []
    assert len(fronts(grown=speck, least_mm2=0.04)) == 1
    assert fronts(grown=speck, least_mm2=0.041) == []
    beyond = fronts.opened.copy()
    beyond[:, 44:] = False  # beyond the doors there is wax: 3 by 4 pixels and 3 by 22 are open there
    assert fronts(opened=beyond, least_mm2=0.48) == [(12, 41)]
    assert fronts(opened=beyond, least_mm2=0.49, gap_mm=4.2) == [(71, 41)]
    assert fronts(grown=fronts.opened) == []


def test_the_remedy_names_the_one_mask_that_is_waxed(draw):
    line, other = draw.ring(60, 40, 19, 1.4), draw.box(0, 0, 5, 5)
    once = draw.case(("wax", line), ("dye", "leaf", None), ("wax", line), ("dye", "sea", None), ("wax", other))
    assert leak._remedy(once.scene, 1).key == "checks.leak.remedy"
    assert str(leak._remedy(once.scene, 2)).endswith(" before step 2 (draw it into “0”).")
    assert str(leak._remedy(once.scene, 4)).endswith(" before step 4 (draw it into “0”).")
    assert str(leak._remedy(once.scene, 5)).endswith(" before step 5 (draw it into “0”).")
    assert leak._remedy(once.scene, 6).key == "checks.leak.remedy"


def test_open_cloth_in_a_window_just_before_a_step(draw):
    """Waxed from column 50 on, then from row 20 on."""
    first, second = draw.box(10, 0, 120, 80), draw.box(0, 4, 120, 80)
    scene = draw.case(
        ("wax", first), ("dye", "leaf", draw.box(0, 0, 20, 20)), ("wax", second), ("dye", "sea", None)
    ).scene
    rows, cols = np.ogrid[18:22, 48:53]
    assert leak.opened_at(scene, 2, (18, 48), (4, 5)).tolist() == np.broadcast_to(cols < 50, (4, 5)).tolist()
    assert leak.opened_at(scene, 4, (18, 48), (4, 5)).tolist() == ((cols < 50) & (rows < 20)).tolist()
    assert leak.opened_at(scene, 4, (398, 598), (4, 5)).shape == (2, 2)


def test_a_spot_beyond_the_edge_is_the_last_pixel(draw):
    box = draw.blank()
    box[-1, -1] = 255
    scene = draw.case(("dye", "sea", box)).scene
    pots = [leak._at(scene, spot).histories[0].reached for spot in ((399, 599), (400, 600), (398, 599), (399, 598))]
    assert pots == [(0,), (0,), (), ()]


# What a gap does


@pytest.fixture
def gap(draw):
    """A gap in the middle of a wall at 60 mm, leaf on its left; what lies on its right; what comes after."""

    def told(*, beyond=None, then=(), width_mm=1.0, **settings):
        wall = draw.box(59, 0, 61, 80)
        pots = ("leaf", draw.box(0, 0, 59, 80)) + (() if beyond is None else (beyond, draw.box(61, 0, 120, 80)))
        scene = draw.case(("wax", wall), ("dye", *pots), *then).scene
        dyeing = scene.ops_of(2)[0]
        made = leak.Gap(
            row=200,
            col=300,
            width_mm=width_mm,
            pot="leaf",
            o=dyeing,
            meets=beyond,
            source=(200, 100),
            target=(200, 400),
        )
        return leak._finding(scene, replace(leak.Leak(), **settings), 2, made), scene

    return told


def far(scene, *pots):
    """CIEDE2000 that leaf makes on what pots give."""
    ks = sum((scene.pot_ks(pot) for pot in pots), np.zeros(31))
    return float(delta_e_2000(scene.lab_of_ks(ks), scene.lab_of_ks(ks + scene.pot_ks("leaf"))))


def test_a_gap_is_as_bad_as_what_it_changes_in_the_end(gap):
    bare, scene = gap()
    change = far(scene)
    assert (bare.severity, bare.step) == ("serious", 2)
    assert str(bare.message).startswith("A gap of about 1.0 mm in the wax lets leaf run onto cloth that should end up ")
    assert gap(spoils=change - 0.01)[0].severity == "serious"
    assert gap(spoils=change + 0.01)[0].severity == "warn"
    assert gap(seen=change - 0.01, spoils=99)[0].severity == "warn"
    assert gap(seen=change + 0.01)[0] is None


def test_a_gap_that_later_dye_hides_is_a_note(gap):
    hidden, scene = gap(then=(("dye", "ink", None),))
    change = far(scene, "ink")
    assert hidden.severity == ("note" if change < 3 else "warn")
    noted, _ = gap(then=(("dye", "ink", None),), seen=change + 0.01)
    assert noted.severity == "note"
    assert str(noted.message).endswith(" Later dye will mostly hide it.")
    shown, _ = gap(then=(("dye", "ink", None),), seen=change - 0.01, spoils=99)
    assert shown.severity == "warn"
    assert shown.message.key == "checks.leak.onto"


def test_a_gap_into_another_pot(gap):
    into, scene = gap(beyond="coral")
    assert str(into.message) == "A gap of about 1.0 mm in the wax lets leaf run into coral."
    # coral comes in the same dyeing, after leaf: before it the cloth there is bare
    assert gap(beyond="coral", seen=far(scene) + 0.01)[0] is None
    assert gap(beyond="coral", spoils=far(scene, "coral") + 0.01)[0].severity == "warn"
    assert gap(beyond="coral", spoils=far(scene, "coral") - 0.01)[0].severity == "serious"


def test_a_gap_that_hot_wax_may_close(gap):
    narrow, _ = gap(width_mm=0.3)
    assert narrow.severity == "warn"
    assert str(narrow.message).endswith(" Hot wax may close it by itself, but don't count on it.")
    assert gap(width_mm=0.3, closes_mm=0.3)[0].severity == "serious"
    assert gap(width_mm=0.3, spoils=99)[0].severity == "warn"
    hidden, _ = gap(width_mm=0.3, then=(("dye", "ink", None), ("dye", "night", None)), seen=3)
    assert hidden.severity in ("note", "warn")


def test_a_gap_is_ringed(gap):
    """Row 200 and column 300 at 5 pixels to the mm: their middles lie at 60.1 and 40.1 mm."""
    place = gap()[0].place
    assert (place.x_mm, place.y_mm, place.radius_mm) == (60.1, 40.1, 3)
    assert gap(width_mm=2)[0].place.radius_mm == 3
    assert gap(width_mm=4)[0].place.radius_mm == 6


def test_gaps_of_coarse_masks_are_guessed_at(gap):
    finding, scene = gap()
    other = replace(finding, pots=("pink", *finding.pots), masks=("more.png",))
    some = leak._guessed(scene, [finding, other, finding])
    assert (some.severity, some.step, some.place) == ("note", 2, finding.place)
    assert (some.pots, some.masks) == ((*finding.pots, "pink"), (*finding.masks, "more.png"))
    assert some.numbers == {"count": 3, "px_per_mm": 5}
    assert str(some.message).startswith("3 spots look like gaps in the wax, but with 5.0 pixels per mm")
    assert str(leak._guessed(scene, [finding]).message).startswith("One spot looks like")


# Where a gap is measured


def walled(draw, *doors, wall=(59, 61)):
    """Leaf left of a wall over the whole height, with doors of a top and bottom in mm."""
    wax = draw.box(wall[0], 0, wall[1], 80)
    for top, bottom in doors:
        wax[round(5 * top) : round(5 * bottom)] = 0
    return wax, draw.box(0, 0, wall[0] + 0.4, 80)


@pytest.mark.parametrize("factor", [1, 2])
@pytest.mark.parametrize("middle", [4.0, 25.0, 76.0])
def test_a_gap_anywhere_along_a_wall_is_placed_and_measured(draw, factor, middle):
    wax, leaf = walled(draw, (middle - 1, middle + 1))
    case = draw.case(("wax", wax), ("dye", "leaf", leaf))
    case = replace(case, masks=np.repeat(np.repeat(case.masks, factor, axis=1), factor, axis=2))
    (found,) = case.check("leak")
    assert (found.place.x_mm, found.place.y_mm) == (pytest.approx(60, abs=1.1), pytest.approx(middle, abs=0.6))
    assert found.message.values["mm"] == pytest.approx(2, abs=0.21)


def test_gaps_far_apart_are_told_each(draw):
    """Whatever margin leaf is taken to creep, the same door is the same gap."""
    wax, leaf = walled(draw, (20, 21), (30, 31))
    case = draw.case(("wax", wax), ("dye", "leaf", leaf))
    assert [one.place.y_mm for one in case.check("leak")] == pytest.approx([20.5, 30.5], abs=0.2)
    assert len(case.check("leak", settings={"leak": {"most": 1}})) == 1


@pytest.mark.parametrize(("settings", "count"), [({"gap_mm": 1.79}, 0), ({"gap_mm": 1.81}, 1), ({"wider": 60.0}, 0)])
def test_a_gap_by_its_width_and_the_room_beside_it(draw, settings, count):
    wax, leaf = walled(draw, (39, 41))  # ten pixels: an even number is told as one less, 1.8 mm
    case = draw.case(("wax", wax), ("dye", "leaf", leaf))
    assert len(case.check("leak", settings={"leak": settings})) == count


def test_the_worst_gap_comes_first(draw):
    """Coral beyond one door is spoilt; night beyond the other hides what comes in."""
    wax, leaf = walled(draw, (19, 21), (59, 61))
    case = draw.case(("wax", wax), ("dye", "leaf", leaf), ("dye", "night", draw.box(0, 0, 120, 40)))
    found = case.check("leak", settings={"leak": {"seen": 5.0}})
    assert [one.severity for one in found] == ["serious", "note"]
    assert [round(one.place.y_mm, -1) for one in found] == [60, 20]
    (worst,) = case.check("leak", settings={"leak": {"seen": 5.0, "most": 1}})
    assert worst.severity == "serious"
