"""Overlaps that go brown, olive or grey: where they must be found and where they must not, and what is offered."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from batiksim.checks.mud import mud_share
from batiksim.checks.remedies import stands_in
from batiksim.checks.scene.scene import Scene
from batiksim.colour.gamut import lab_to_hex
from batiksim.values import Dye, DyeBath, Pot, Want
from tests.checks.findings import names, severities_at

DYES = tuple(
    Dye(name=name, colour=colour)
    for name, colour in (("sun", "#f0d92e"), ("pink", "#d6246e"), ("coral", "#e2603a"), ("sea", "#1aa7b8"))
)


def scene_of(case):
    return Scene(design=case.design, dyes=case.dyes, masks=case.masks)


def two_baths(draw, first, second, *, wax=None, **keys):
    steps = [("dye", first, draw.box(0, 0, 60, 80))]
    steps += [] if wax is None else [("wax", wax)]
    return draw.case(*steps, ("dye", second, draw.box(30, 0, 120, 80)), **keys)


MORE = (*DYES, Dye(name="violet", colour="#6a3d9a"), Dye(name="grass", colour="#57b03a"))


def test_pink_over_green_leaves_and_the_waxing_that_helps(sample):
    """The poppies' mistake, and the remedy that their second design follows."""
    case = sample("garden_poppies")
    (found,) = case.check("mud")
    assert (found.severity, found.step) == ("serious", 3)
    assert "brown" in str(found.message)
    assert str(found.remedy).startswith("Wax “keep-leaves” (now step 4) before step 3")
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
    assert all("stay" in str(one.remedy) for one in found if one.step == 5)


def test_mud_and_what_is_offered_is_tried_out(draw):
    case = two_baths(draw, "coral", "sea")
    (found,) = case.check("mud")
    assert found.severity == "serious"
    assert mud_share(scene_of(case)) == pytest.approx(0.25)
    assert "wax these places before sea (step 2)" in str(found.remedy).lower()
    assert two_baths(draw, "coral", "sea", wax=draw.box(0, 0, 60, 80)).check("mud") == ()


def test_weakening_is_offered_only_where_it_helps(draw):
    pots = (Pot(name="meadow", parts={"grass": 1}, strength=0.6),)
    case = two_baths(draw, "pink", "meadow", dyes=MORE, pots=pots)
    (found,) = case.check("mud")
    assert "weaken meadow to half of its strength" in str(found.remedy)
    for part, clear in ((0.5, True), (0.75, False)):
        weak = (Pot(name="meadow", parts={"grass": 1}, strength=0.6 * part),)
        assert (case.with_design(pots=weak).check("mud") == ()) is clear


def test_another_dye_is_offered_only_where_it_stays_clear(draw):
    case = two_baths(draw, "violet", "coral", dyes=MORE, pots=())
    (found,) = case.check("mud")
    assert "use pink instead of coral" in str(found.remedy)
    first, second = case.design.steps
    for pot, clear in (("pink", True), ("coral", False)):
        steps = (first, DyeBath(paints=(replace(second.paints[0], pot=pot),)))
        assert (case.with_steps(*steps).check("mud") == ()) is clear


def test_no_remedy_is_itself_brown_olive_or_grey(draw):
    """Grass over orange: the nearest dye would give olive, so only waxing first is left to offer."""
    (found,) = two_baths(draw, "orange", "sea", dyes=(*MORE, Dye(name="orange", colour="#ee8a2c")), pots=()).check(
        "mud"
    )
    assert "olive" not in str(found.remedy)
    assert str(found.remedy).startswith("Wax these places before sea")


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


def test_pink_over_any_green_always_comes_out(draw):
    """The heart of the craft's mishaps: whatever the green, told as mud or as a colour that is gone, with a remedy."""
    dyes = (Dye(name="rose", colour="#d6246e"), Dye(name="leaf green", colour="#57b03a"),
            Dye(name="bottle", colour="#1f6b45"), Dye(name="moss", colour="#6b7a2e"))  # fmt: skip
    for green in ("leaf green", "bottle", "moss"):
        case = draw.case(("dye", green, draw.disc(60, 40, 25)), ("dye", "rose", None), dyes=dyes, pots=())
        found = [one for one in case.check() if one.code in ("mud", "lost")]
        assert found, green
        assert "wax these places" in str(found[0].remedy).lower(), green
        waxed = draw.case(
            ("dye", green, draw.disc(60, 40, 25)), ("wax", draw.disc(60, 40, 25)), ("dye", "rose", None),
            dyes=dyes, pots=(),
        )  # fmt: skip
        assert waxed.check("mud", "lost") == ()


# Where it begins to speak: 12 by 8 mm of sea over coral are a hundredth of the cloth


@pytest.fixture
def muddy(draw):
    return draw.case(("dye", "coral", None), ("dye", "sea", draw.box(20, 20, 32, 28)))


@pytest.mark.parametrize(
    ("settings", "found"),
    [
        ({"least_share": 0.01, "warn_share": 0.02}, ["note"]),
        ({"least_share": 0.0101}, []),
        ({"warn_share": 0.01}, ["warn"]),
        ({"warn_share": 0.0101}, ["note"]),
        ({"serious_share": 0.01}, ["serious"]),
        ({"serious_share": 0.0101}, ["warn"]),
    ],
)
def test_mud_by_its_share(muddy, settings, found):
    assert severities_at(muddy, "mud", **settings) == found


def test_mud_says_what_made_it_and_how_much(muddy):
    (found,) = muddy.check("mud")
    assert found.step == 2
    assert str(found.message).startswith("Sea over coral goes muddy:")
    assert str(found.message).endswith("on 1% of the cloth.")
    assert (found.place.x_mm, found.place.y_mm) == (pytest.approx(26, abs=3), pytest.approx(24, abs=3))


def test_the_dyeing_that_turned_it_is_named(draw):
    """A third bath over mud is not what made it."""
    case = draw.case(("dye", "coral", None), ("dye", "sea", None), ("dye", "mist", None))
    (found,) = case.check("mud")
    assert found.step == 2
    assert "sea over coral" in str(found.message).lower()


def test_mud_of_one_making_is_one_finding(draw):
    """Two spots of a hundredth each, where the same dyeing spoilt the same colour."""
    spots = np.maximum(draw.box(20, 20, 32, 28), draw.box(60, 20, 72, 28))
    (found,) = draw.case(("dye", "coral", None), ("dye", "sea", spots)).check("mud")
    assert "on 2% of the cloth" in str(found.message)
