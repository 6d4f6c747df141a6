"""Mud, faint dyeings, order, depth and reach: where they must be found and where they must not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from batiksim.checks import CHECKS
from batiksim.checks.mud import mud_share
from batiksim.checks.remedies.candidates import stands_in
from batiksim.checks.scene.adjacency import borders
from batiksim.checks.scene.scene import Scene
from batiksim.cloth.loads import LOAD_KNEE
from batiksim.colour.gamut import lab_to_hex
from batiksim.colour.kubelka_munk import reflectance_from_ks
from batiksim.colour.spectra import BANDS_NM, light_weights
from batiksim.values import Cloth, Discharge, Dye, DyeBath, Paint, Pot, RemoveWax, Want

DYES = tuple(
    Dye(name=name, colour=colour)
    for name, colour in (("sun", "#f0d92e"), ("pink", "#d6246e"), ("coral", "#e2603a"), ("sea", "#1aa7b8"))
)


def names(findings):
    return [(one.code, one.severity, one.step) for one in findings]


# Mud


def test_pink_over_green_leaves_and_the_waxing_that_helps(sample):
    """The poppies' mistake, and the remedy that their second design follows."""
    case = sample("garden_poppies")
    (found,) = case.check("mud")
    assert (found.severity, found.step) == ("serious", 3)
    assert "brown" in found.message
    assert found.remedy.startswith("Wax “keep-leaves” (now step 4) before step 3")
    green = sample("garden_poppies").mask("paint-leaves.png")
    at = int(found.place.y_mm * case.px_per_mm), int(found.place.x_mm * case.px_per_mm)
    assert green[at] > 30
    steps = case.design.steps
    remedied = case.with_steps(*steps[:2], steps[3], steps[2], *steps[4:])
    assert remedied.check("mud") == ()


def test_the_remedy_design_is_clear(sample):
    assert sample("garden_poppies/remedy.toml").check("mud") == ()


def test_dusk_over_the_sunset(sample):
    """A true finding of the geese: slate blue over apricot gives the brown of the evening clouds."""
    (found,) = sample("estuary_geese").check("mud")
    assert (found.severity, found.step) == ("warn", 6)


def test_geese_painted_pink_before_the_lagoon(sample):
    """The geese with lagoon brushed over the whole evening: the sky goes dull, and waxing first is offered."""
    case = sample("estuary_geese")
    sky, lagoon = case.design.steps[3].paints
    steps = list(case.design.steps)
    steps[3:4] = [DyeBath(paints=(sky,)), DyeBath(paints=(replace(lagoon, where=None),))]
    found = case.with_steps(*steps).check("mud")
    assert ("mud", "serious", 5) in names(found)
    assert all("stay" in one.remedy for one in found if one.step == 5)


def scene_of(case):
    return Scene(design=case.design, dyes=case.dyes, masks=case.masks)


def two_baths(draw, first, second, *, wax=None, **keys):
    steps = [("dye", first, draw.box(0, 0, 60, 80))]
    steps += [] if wax is None else [("wax", wax)]
    return draw.case(*steps, ("dye", second, draw.box(30, 0, 120, 80)), **keys)


def test_mud_and_what_is_offered_is_tried_out(draw):
    case = two_baths(draw, "coral", "sea")
    (found,) = case.check("mud")
    assert found.severity == "serious"
    assert mud_share(scene_of(case)) == pytest.approx(0.25)
    assert "wax these places before sea (step 2)" in found.remedy.lower()
    assert two_baths(draw, "coral", "sea", wax=draw.box(0, 0, 60, 80)).check("mud") == ()


MORE = (*DYES, Dye(name="violet", colour="#6a3d9a"), Dye(name="grass", colour="#57b03a"))


def test_weakening_is_offered_only_where_it_helps(draw):
    pots = (Pot(name="meadow", parts={"grass": 1}, strength=0.6),)
    case = two_baths(draw, "pink", "meadow", dyes=MORE, pots=pots)
    (found,) = case.check("mud")
    assert "weaken meadow to half of its strength" in found.remedy
    for part, clear in ((0.5, True), (0.75, False)):
        weak = (Pot(name="meadow", parts={"grass": 1}, strength=0.6 * part),)
        assert (case.with_design(pots=weak).check("mud") == ()) is clear


def test_another_dye_is_offered_only_where_it_stays_clear(draw):
    case = two_baths(draw, "violet", "coral", dyes=MORE, pots=())
    (found,) = case.check("mud")
    assert "use pink instead of coral" in found.remedy
    first, second = case.design.steps
    for pot, clear in (("pink", True), ("coral", False)):
        steps = (first, DyeBath(paints=(replace(second.paints[0], pot=pot),)))
        assert (case.with_steps(*steps).check("mud") == ()) is clear


def test_no_remedy_is_itself_brown_olive_or_grey(draw):
    """Grass over orange: the nearest dye would give olive, so only waxing first is left to offer."""
    (found,) = two_baths(draw, "orange", "sea", dyes=(*MORE, Dye(name="orange", colour="#ee8a2c")), pots=()).check(
        "mud"
    )
    assert "olive" not in found.remedy
    assert found.remedy.startswith("Wax these places before sea")


def test_clear_overlaps_are_no_mud(draw):
    assert two_baths(draw, "sun", "sea").check("mud") == ()
    assert two_baths(draw, "sun", "coral").check("mud") == ()
    assert two_baths(draw, "leaf", "navy").check("mud") == ()


def test_wanted_mud_is_no_mud(draw, sample):
    case = two_baths(draw, "coral", "sea")
    scene = Scene(design=case.design, dyes=case.dyes, masks=case.masks)
    muddy = next(one for one in scene.histories if len(one.reached) == 2)
    brown = lab_to_hex(scene.lab(muddy))
    assert case.with_design(wants=(Want(colour=brown, at_mm=(45, 40)),)).check("mud") == ()
    elsewhere, other = Want(colour=brown, at_mm=(15, 40)), Want(colour="vivid red", at_mm=(45, 40))
    assert len(case.with_design(wants=(elsewhere, other)).check("mud")) == 1
    poppies = sample("garden_poppies")
    leaves = poppies.design.wants[0]
    asked = (replace(leaves, colour="moderate reddish brown"),)
    assert poppies.with_design(wants=asked).check("mud") == ()
    assert len(poppies.with_design(wants=(leaves,)).check("mud")) == 1


def test_a_dye_is_no_other_than_its_own_pot(draw):
    """Coral thinned is still coral: only another dye is another colour."""
    pots = (Pot(name="coral pot", parts={"coral": 1}, strength=0.6),)
    case = draw.case(("dye", "coral pot", None), dyes=DYES, pots=pots)
    scene = Scene(design=case.design, dyes=case.dyes, masks=case.masks)
    assert not stands_in(scene, "coral", "coral pot")
    assert not stands_in(scene, "coral", "coral")
    assert stands_in(scene, "pink", "coral pot")


def test_a_thin_edge_of_mud_is_not_worth_a_word(draw):
    case = draw.case(("dye", "coral", draw.box(0, 0, 60.2, 80)), ("dye", "sea", draw.box(60, 0, 120, 80)))
    assert case.check("mud") == ()


# Faint


def test_a_pot_too_pale_to_show(draw):
    (found,) = draw.case(("dye", "mist", None)).check("faint")
    assert (found.severity, found.step) == ("warn", 1)
    assert draw.case(("dye", "sea", None)).check("faint") == ()


def test_neighbours_hard_to_tell_apart(draw):
    pots = (Pot(name="a", parts={"sea": 1}), Pot(name="b", parts={"sea": 1}, strength=1.1))
    case = draw.case(("dye", "a", draw.box(0, 0, 60, 80), "b", draw.box(60, 0, 120, 80)), pots=pots)
    (found,) = case.check("faint")
    assert found.severity == "warn"
    assert "8.0 cm" in found.message
    assert found.place.x_mm == pytest.approx(60, abs=1)


def test_a_white_line_tells_neighbours_apart(draw):
    pots = (Pot(name="a", parts={"sea": 1}), Pot(name="b", parts={"sea": 1}, strength=1.1))
    line = ("wax", draw.box(59.4, 0, 60.6, 80))
    assert (
        draw.case(line, ("dye", "a", draw.box(0, 0, 60, 80), "b", draw.box(60, 0, 120, 80)), pots=pots).check("faint")
        == ()
    )


def test_red_beside_green_of_one_lightness_is_noted_for_other_eyes(draw):
    dyes = (Dye(name="brick", colour="#b0664a"), Dye(name="moss", colour="#7d7a3c"))
    case = draw.case(("dye", "brick", draw.box(0, 0, 60, 80), "moss", draw.box(60, 0, 120, 80)), dyes=dyes, pots=())
    (found,) = case.check("faint")
    assert found.severity == "note"
    assert "red and green" in found.message
    safe = (Dye(name="brick", colour="#e2a08a"), Dye(name="moss", colour="#3f4d2a"))
    assert case.with_design(dyes=safe).check("faint") == ()


def test_ground_that_a_last_dark_bath_covers_is_meant(sample):
    """Of the geese's two ink grounds, straw-orange-ink and straw-green-ink look alike: everything open goes dark."""
    assert sample("estuary_geese").check("faint") == ()


def test_a_dusk_so_thin_that_it_does_not_show(sample):
    case = sample("estuary_geese")
    pots = tuple(replace(pot, strength=0.02) if pot.name == "dusk" else pot for pot in case.design.pots)
    found = case.with_design(pots=pots).check("faint")
    assert ("faint", "warn", 6) in names(found)


def test_leaves_so_thin_that_they_do_not_show(sample):
    case = sample("garden_poppies/remedy.toml")
    pots = (replace(case.design.pots[0], strength=0.003),)
    assert ("faint", "warn", 2) in names(case.with_design(pots=pots).check("faint"))


def test_length_of_a_border(draw):
    """A circle of 20 mm radius has an edge of 126 mm, a straight edge across the cloth 80 mm."""
    for mask, length in ((draw.disc(60, 40, 20), 2 * np.pi * 20), (draw.box(0, 0, 60, 80), 80)):
        case = draw.case(("dye", "sun", mask))
        scene = Scene(design=case.design, dyes=case.dyes, masks=case.masks)
        (border,) = borders(scene, scene.histories, least_mm=10)
        assert border.mm == pytest.approx(length, rel=0.11)


# Order


def test_yellow_after_navy_cannot_show(draw):
    case = draw.case(("dye", "night", draw.box(0, 0, 90, 80)), ("dye", "sun", draw.box(0, 0, 85, 80)))
    (found,) = case.check("order")
    assert (found.severity, found.step) == ("serious", 2)
    assert "night" in found.message


def test_dyeing_the_pale_one_first_is_offered_where_it_works(draw):
    mask = draw.box(0, 0, 60, 80)
    case = draw.case(("dye", "night", None), ("wax", mask), ("dye", "sun", None))
    (found,) = case.check("order")
    assert found.remedy.startswith("Dye sun before night")
    dyed, wax, later = case.design.steps
    assert case.with_steps(later, wax, dyed).check("order") == ()


def test_pale_to_strong_is_the_right_order(draw):
    case = draw.case(("dye", "sun", None), ("wax", draw.box(0, 0, 40, 80)), ("dye", "coral", None),
                     ("wax", draw.box(30, 0, 80, 80)), ("dye", "navy", None))  # fmt: skip
    assert case.check("order") == ()


def test_geese_dyed_ink_first(sample):
    case = sample("estuary_geese")
    steps = case.design.steps
    found = case.with_steps(steps[0], steps[7], *steps[1:7]).check("order")
    assert ("order", "serious", 3) in names(found)


def test_poppies_dyed_blackcurrant_first(sample):
    case = sample("garden_poppies/remedy.toml")
    steps = case.design.steps
    found = case.with_steps(steps[0], steps[5], *steps[1:5]).check("order")
    assert names(found) == [("order", "serious", 5)]
    assert found[0].remedy.startswith("Dye strong pink before blackcurrant")


# Depth and reach


def test_too_many_baths(draw):
    baths = [("dye", pot, None) for pot in ("sun", "coral", "pink", "navy")]
    found = draw.case(*baths).check("depth")
    assert [one.step for one in found] == [4]
    assert "of navy finds no room" in found[0].message
    assert draw.case(*baths[:2]).check("depth") == ()


def test_thin_wax_holds_dye_back_until_it_is_taken_out(draw):
    """Baths on cloth that once lay under thin wax fill it as they would any other."""
    baths = [("dye", pot, None) for pot in ("sun", "coral", "pink", "navy")]
    thin = ("wax", draw.box(0, 0, 120, 80), {"grey": "thin"})
    assert draw.case(thin, *baths).check("depth") == ()
    (found,) = draw.case(thin, RemoveWax(), *baths).check("depth")
    (plain,) = draw.case(*baths).check("depth")
    assert (found.step, found.message) == (plain.step + 2, plain.message)


def test_one_pot_too_strong(draw):
    strong = (Pot(name="tar", parts={"navy": 1}, strength=LOAD_KNEE + 0.5),)
    (found,) = draw.case(("dye", "tar", None), pots=strong).check("depth")
    assert "tar is mixed to 3 full strengths" in found.message.lower()


@pytest.mark.parametrize(("folder", "pot"), [("garden_poppies/remedy.toml", "young leaf"), ("estuary_geese", "dusk")])
def test_samples_with_a_pot_far_too_strong(sample, folder, pot):
    case = sample(folder)
    pots = tuple(replace(one, strength=4.0) if one.name == pot else one for one in case.design.pots)
    assert any(one.step and pot in one.message.lower() for one in case.with_design(pots=pots).check("depth"))
    assert case.check("depth") == ()


@pytest.mark.parametrize("folder", ["hedge_parsley", "garden_poppies/remedy.toml"])
def test_a_dye_paler_than_the_cloth_is_out_of_reach(sample, folder):
    case = sample(folder)
    pale = case.with_design(dyes=(replace(case.design.dyes[0], colour="#ffffff"), *case.design.dyes[1:]))
    assert [(one.code, one.step) for one in pale.check("reach")] == [("reach", 0)]
    assert case.check("reach") == ()


def test_each_use_of_a_dye_alone(draw):
    """The checks of colour read a region's colours as the report of the finished cloth does."""
    case = draw.case(("dye", "sun", None), ("dye", "sea", draw.box(0, 0, 60, 80)))
    scene = Scene(design=case.design, dyes=case.dyes, masks=case.masks)
    both = max(scene.histories, key=lambda history: len(history.reached))
    np.testing.assert_allclose(scene.ks(both), scene.pot_ks("sun") + scene.pot_ks("sea"), rtol=1e-6)
    assert isinstance(case.design.steps[0].paints[0], Paint)


# Lamp


def test_colours_that_part_by_lamp_are_noted(draw):
    """A green mixed of two dyes, and its twin by day: the same colour by a reflectance that lamps see otherwise."""
    pots = (Pot(name="reeds", parts={"sea": 1, "coral": 1}, strength=0.3),)
    case = draw.case(("dye", "reeds", None), pots=pots)
    scene = Scene(design=case.design, dyes=case.dyes, masks=case.masks)
    reeds = reflectance_from_ks(scene.bare_ks + scene.pot_ks("reeds"), surface=case.dyes.surface)
    lamp, day = light_weights("A")[:, 0], light_weights("D65")
    hidden = lamp - day @ np.linalg.lstsq(day, lamp, rcond=None)[0]  # daylight doesn't show it, a lamp does
    twin = reeds + 0.09 * hidden / np.abs(hidden).max()
    dyes = (
        *DYES,
        Dye(name="twin", spectrum="twin.csv", samples=tuple(zip(BANDS_NM.tolist(), twin.tolist(), strict=True))),
    )
    left, right = draw.box(0, 0, 60, 80), draw.box(60, 0, 120, 80)
    (found,) = draw.case(("dye", "reeds", left, "twin", right), pots=pots, dyes=dyes).check("lamp")
    assert found.severity == "note"
    assert "match by day and part under" in found.message
    assert draw.case(("dye", "reeds", left, "sun", right), pots=pots).check("lamp") == ()


@pytest.mark.full
@pytest.mark.parametrize("folder", ["garden_poppies", "estuary_geese"])
def test_a_preview_tells_what_the_checks_tell(sample, folder):
    """All but those that take longer, in the same words."""
    case = sample(folder)
    later = [row.code for row in CHECKS if not row.quick]
    assert later == ["hand", "fit"]
    assert case.check(quick=True) == case.check(skip=later) != ()


# Swallowed colours


def leaves_under_ink(draw, *, kept=()):
    """Leaves brushed green on part of the cloth, then ink over all of it; kept : masks waxed in between."""
    leaves = np.maximum(draw.disc(30, 40, 15), draw.disc(80, 40, 15))
    return draw.case(("dye", "leaf", leaves), *(("wax", mask) for mask in kept), ("dye", "ink", None))


def test_a_brushed_colour_that_a_later_bath_takes_everywhere(draw):
    (found,) = leaves_under_ink(draw).check("lost")
    assert (found.severity, found.step) == ("serious", 2)
    assert "Ink takes the colour of leaf from 100% of where it was brushed on" in found.message
    assert "wax these places before ink (step 2)" in found.remedy.lower()
    assert found.place.x_mm == pytest.approx(30, abs=8) or found.place.x_mm == pytest.approx(80, abs=8)


def test_a_colour_that_was_kept_somewhere_is_the_makers_choice(draw):
    assert leaves_under_ink(draw, kept=[draw.disc(30, 40, 15)]).check("lost") == ()
    assert leaves_under_ink(draw, kept=[draw.disc(30, 40, 15), draw.disc(80, 40, 15)]).check("lost") == ()


def test_a_moss_green_counts_as_a_colour_that_can_be_lost(draw):
    """Moss is named an olive, which mixes are called when they are mud; brushed on purpose it is the maker's green."""
    dyes = (Dye(name="moss", colour="#6b7330"), Dye(name="pink", colour="#d6246e"), Dye(name="ink", colour="#22243a"))
    leaves = draw.disc(60, 40, 20)
    case = draw.case(("dye", "moss", leaves), ("dye", "pink", None), ("dye", "ink", None), dyes=dyes, pots=())
    (found,) = case.check("lost")
    assert "takes the colour of moss from 100% of where it was brushed on" in found.message
    assert "in the end" in found.message
    assert found.remedy.lower().startswith("wax these places before")
    waxed = draw.case(("dye", "moss", leaves), ("wax", leaves), ("dye", "ink", None), dyes=dyes, pots=())
    assert waxed.check("lost") == ()


def test_overdyeing_into_another_clear_colour_loses_nothing(draw):
    case = draw.case(("dye", "sun", draw.disc(60, 40, 25)), ("dye", "sea", None))
    assert case.check("lost", "mud") == ()


def test_the_waxing_that_comes_too_late_is_brought_forward(draw):
    leaves = draw.disc(60, 40, 20)
    case = draw.case(("dye", "leaf", leaves), ("dye", "ink", None), ("wax", leaves), ("dye", "navy", None))
    (found,) = case.check("lost")
    assert found.remedy.startswith("Wax “0” (now step 3) before step 2")
    first, ink, wax, navy = case.design.steps
    assert case.with_steps(first, wax, ink, navy).check("lost") == ()


def test_a_swallowed_colour_that_is_asked_for_is_none(draw):
    case = leaves_under_ink(draw)
    assert case.with_design(wants=(Want(colour="#15161c", at_mm=(30, 40)),)).check("lost") == ()


def test_pink_over_any_green_always_comes_out(draw):
    """The heart of the craft's mishaps: whatever the green, told as mud or as a colour that is gone, with a remedy."""
    dyes = (Dye(name="rose", colour="#d6246e"), Dye(name="leaf green", colour="#57b03a"),
            Dye(name="bottle", colour="#1f6b45"), Dye(name="moss", colour="#6b7a2e"))  # fmt: skip
    for green in ("leaf green", "bottle", "moss"):
        case = draw.case(("dye", green, draw.disc(60, 40, 25)), ("dye", "rose", None), dyes=dyes, pots=())
        found = [one for one in case.check() if one.code in ("mud", "lost")]
        assert found, green
        assert "wax these places" in found[0].remedy.lower(), green
        waxed = draw.case(
            ("dye", green, draw.disc(60, 40, 25)), ("wax", draw.disc(60, 40, 25)), ("dye", "rose", None),
            dyes=dyes, pots=(),
        )  # fmt: skip
        assert waxed.check("mud", "lost") == ()


def test_a_colour_that_bleach_takes_was_meant_to_go(draw):
    """On beige cloth it ends as beige, and no dyeing took it."""
    blue, leaf = Dye(name="blue", colour="#0000da"), draw.disc(60, 40, 25)
    case = draw.case(("dye", "blue", leaf, "blue", None), Discharge(strength=1.0), dyes=(blue,), pots=())
    beige = case.with_design(cloth=Cloth(width_mm=120, colour="#d8c9a8", surface=0.0))
    assert beige.check("lost") == ()


def test_the_samples_lose_no_brushed_colour(sample):
    for folder in ("garden_poppies", "garden_poppies/remedy.toml", "estuary_geese", "hedge_parsley"):
        assert sample(folder).check("lost") == ()
