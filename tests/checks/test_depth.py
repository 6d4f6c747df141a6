"""More dye than the fibre holds, worked by hand: it holds L up to 2.5 full strengths, and 3.5 - exp(2.5 - L) beyond."""

from __future__ import annotations

from dataclasses import replace

import pytest

from batiksim.cloth.loads import LOAD_KNEE
from batiksim.values import Discharge, Dye, DyeBath, MaskUse, Paint, Pot, RemoveWax, Wax
from tests.checks.findings import GEESE, POPPIES

DYES = (Dye(name="sun", colour="#f0d92e"), Dye(name="sea", colour="#1aa7b8"), Dye(name="ink", colour="#15161c"))
POTS = (
    Pot(name="yellow", parts={"sun": 1}, strength=2),
    Pot(name="blue", parts={"sea": 1}, strength=2),
    Pot(name="black", parts={"ink": 1}, strength=2),
    Pot(name="thick", parts={"ink": 1}, strength=2.6),
    Pot(name="full", parts={"ink": 1}, strength=2.5),
)


@pytest.fixture
def told(draw):
    """(severity, step, message) of each finding on a cloth of dyeings: (pot, mask or None), or another step."""

    def check(*steps, **settings):
        built = [("dye", *step) if isinstance(step, tuple) else step for step in steps]
        found = draw.case(*built, pots=POTS, dyes=DYES).check("depth", settings={"depth": settings})
        return [(one.severity, one.step, str(one.message)) for one in found]

    return check


def test_what_a_full_fibre_refuses(told):
    """2 and 2 more: 3.277 held of 4, so .723 of 2 is lost, 36%. And 2 more: 3.470 of 6, so 1.807 of 2, 90%."""
    (second, third) = told(("yellow", None), ("blue", None), ("black", None))[::-1]
    assert second[:2] == ("note", 2)
    assert "On 100% of the cloth the fibre is already full of yellow: " in second[2]
    assert "About 36% of blue finds no room there" in second[2]
    assert third[:2] == ("warn", 3)
    assert "full of yellow and blue: it holds at most about 3.5 times full strength. About 90% of black" in third[2]


@pytest.mark.parametrize(("lost", "found"), [(0.36, True), (0.37, False)])
def test_what_is_lost_must_be_worth_a_word(told, lost, found):
    assert bool(told(("yellow", None), ("blue", None), lost=lost)) is found


@pytest.mark.parametrize(("share", "found"), [(0.01, True), (0.0101, False)])
def test_where_it_is_lost_must_be_worth_a_word(told, draw, share, found):
    """12 by 8 mm are a hundredth of 120 by 80."""
    spots = told(("yellow", None), ("blue", draw.box(20, 20, 32, 28)), least_share=share)
    assert bool(spots) is found
    assert all("On 1% of the cloth" in message for _, _, message in spots)


@pytest.mark.parametrize(("least", "severity"), [(0.0025, "warn"), (0.0026, "note")])
def test_much_lost_on_four_times_the_least_is_a_warning(told, draw, least, severity):
    spot = draw.box(20, 20, 32, 28)
    found = told(("yellow", None), ("blue", None), ("black", spot), least_share=least)
    assert [one[0] for one in found if one[1] == 3] == [severity]


@pytest.mark.parametrize(("much", "severity"), [(0.36, "warn"), (0.37, "note")])
def test_much(told, much, severity):
    assert told(("yellow", None), ("blue", None), much=much)[0][0] == severity


def test_bleach_makes_room(told):
    """Half of 2 bleached away: 1 and 2 more are 3, of which 2.893 are held: 5.3% of 2 is lost."""
    steps = (("yellow", None), Discharge(strength=0.5), ("blue", None))
    assert told(*steps) == []
    ((_, step, message),) = told(*steps, lost=0.05)
    assert step == 3
    assert "About 5.3% of blue" in message
    assert told(*steps, lost=0.054) == []


def test_a_pot_too_strong_for_any_fibre(told):
    assert told(("full", None)) == []
    ((severity, step, message),) = told(("yellow", None), ("thick", None), ("thick", None), lost=1.0)
    assert (severity, step) == ("warn", 2)  # told where it is first used
    assert message.startswith(
        "Thick is mixed at 2.6 times full strength. Beyond about 2.5 times, cotton takes up hardly any"
    )
    assert told(("thick", None), most_strength=2.7) == []


def test_what_lies_there_first_is_to_be_weaker(draw):
    case = draw.case(("dye", "yellow", None), ("dye", "blue", None), ("dye", "black", None), pots=POTS, dyes=DYES)
    third, _ = case.check("depth")
    assert str(third.remedy).startswith("Make blue weaker if you want black to show in full")


def test_only_what_reaches_a_spot_fills_it(draw):
    """The first bath lies elsewhere: nothing is refused."""
    left, right = draw.box(0, 0, 60, 80), draw.box(60, 0, 120, 80)
    case = draw.case(("dye", "yellow", left), ("dye", "blue", right), pots=POTS, dyes=DYES)
    assert case.check("depth") == ()
    assert case.with_steps(
        DyeBath(paints=(Paint(pot="yellow", where=MaskUse(picture="0.png")),)),
        DyeBath(paints=(Paint(pot="blue", where=MaskUse(picture="0.png")),)),
    ).check("depth")[0].place.x_mm == pytest.approx(30, abs=1)


def test_too_many_baths(draw):
    baths = [("dye", pot, None) for pot in ("sun", "coral", "pink", "navy")]
    found = draw.case(*baths).check("depth")
    assert [one.step for one in found] == [4]
    assert "of navy finds no room" in str(found[0].message)
    assert draw.case(*baths[:2]).check("depth") == ()


def test_thin_wax_holds_dye_back_until_it_is_taken_out(draw):
    """Baths on cloth that once lay under thin wax fill it as they would any other."""
    baths = [("dye", pot, None) for pot in ("sun", "coral", "pink", "navy")]
    thin = ("wax", draw.box(0, 0, 120, 80), {"grey": "thin"})
    assert draw.case(thin, *baths).check("depth") == ()
    (found,) = draw.case(thin, RemoveWax(), *baths).check("depth")
    (plain,) = draw.case(*baths).check("depth")
    assert (found.step, str(found.message)) == (plain.step + 2, str(plain.message))


def test_one_pot_too_strong(draw):
    strong = (Pot(name="tar", parts={"navy": 1}, strength=LOAD_KNEE + 0.5),)
    (found,) = draw.case(("dye", "tar", None), pots=strong).check("depth")
    assert "Tar is mixed at 3 times full strength" in str(found.message)


@pytest.mark.parametrize(("folder", "pot"), [("garden_poppies/remedy.toml", "young leaf"), ("estuary_geese", "dusk")])
def test_samples_with_a_pot_far_too_strong(sample, folder, pot):
    case = sample(folder)
    pots = tuple(replace(one, strength=4.0) if one.name == pot else one for one in case.design.pots)
    assert any(one.step and pot in str(one.message).lower() for one in case.with_design(pots=pots).check("depth"))
    assert case.check("depth") == ()


@pytest.mark.parametrize(("repeats", "silent"), [(3, False), (0, True)])
def test_the_last_bath_given_again_because_it_looked_pale(sample, repeats, silent):
    """Ink over ink over ink: the fibre is full, and the rest goes down the drain."""
    case = sample(GEESE)
    steps = case.design.steps
    found = case.with_steps(*steps, *[steps[-1]] * repeats).check("depth")
    assert (found == ()) is silent
    if found:
        assert all(one.step > len(steps) for one in found)
        assert "of ink finds no room there" in str(found[0].message)
        assert found[0].message.values["earlier"].count("ink") == 1


def test_pots_mixed_too_strong_and_waxing_forgotten(sample):
    case = sample(POPPIES)
    unwaxed = [step for step in case.design.steps if not isinstance(step, Wax)]
    strong = tuple(replace(pot, strength=2.4) for pot in case.design.pots)
    (found,) = case.with_design(pots=strong).with_steps(*unwaxed).check("depth")
    assert found.step == 3
    assert "already full of young leaf and strong pink" in str(found.message).lower()
    assert case.with_steps(*unwaxed).check("depth") == ()


def test_bleach_fills_no_fibre(sample):
    """Bleached a little between: what is told to fill the fibre is dye alone."""
    case = sample(GEESE)
    last = case.design.steps[-1]
    found = case.with_steps(*case.design.steps, last, Discharge(strength=0.1), last, last).check("depth")
    assert found
    assert not any("bleach" in f"{one.message} {one.remedy}" for one in found)


def test_a_share_of_the_bath_as_large_as_much_is_a_warning(draw):
    case = draw.case(("dye", "yellow", None), ("dye", "blue", None), pots=POTS, dyes=DYES)
    (history,) = case.scene.histories
    lost = float(case.scene.layers(history).refused[1])
    exactly = lost * history.pixels / history.pixels
    assert [one.severity for one in case.check("depth", settings={"depth": {"much": exactly}})] == ["warn"]
    assert [one.severity for one in case.check("depth", settings={"depth": {"much": lost + 1e-6}})] == ["note"]
