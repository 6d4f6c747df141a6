"""Mishaps of a real workshop, made on purpose on the sample scenes: each is found, its sound twin stays silent."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import ndimage

from batiksim.values import Discharge, Wax

PARSLEY, POPPIES, GEESE = "hedge_parsley", "garden_poppies/remedy.toml", "estuary_geese"


def told(findings):
    return [(one.severity, one.step) for one in findings]


@pytest.mark.parametrize("folder", [PARSLEY, POPPIES, GEESE])
def test_the_samples_are_within_hand_fibre_and_cloth(sample, folder):
    assert sample(folder).check("hand", "depth", "reach") == ()


# Hand


@pytest.mark.parametrize(("folder", "width_mm"), [(PARSLEY, 150), (POPPIES, 100)])
def test_a_large_drawing_on_a_small_cloth(sample, folder, width_mm):
    """The drawing of a wall hanging waxed on a handkerchief: lines finer than any canting, gaps that run together."""
    case = sample(folder)
    found = case.with_design(cloth=replace(case.design.cloth, width_mm=width_mm)).check("hand")
    assert told(found)[0] == ("warn", 1)
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


def scratched(mask, gap_px):
    """Veins scratched into petals all over, one in 40 pixels."""
    found = mask.copy()
    for row in range(gap_px):
        found[row::40] = 0
    return found


def test_veins_scratched_into_wax_that_closes_again(sample):
    case = sample(POPPIES)
    petals = case.mask("keep-petals.png")
    found = case.with_mask("keep-petals.png", scratched(petals, 2)).check("hand")
    assert [one.step for one in found] == [5]
    assert "hot wax creeps" in found[0].message
    assert case.with_mask("keep-petals.png", scratched(petals, 6)).check("hand") == ()


# Depth


@pytest.mark.parametrize(("repeats", "silent"), [(3, False), (0, True)])
def test_the_last_bath_given_again_because_it_looked_pale(sample, repeats, silent):
    """Ink over ink over ink: the fibre is full, and the rest goes down the drain."""
    case = sample(GEESE)
    steps = case.design.steps
    found = case.with_steps(*steps, *[steps[-1]] * repeats).check("depth")
    assert (found == ()) is silent
    if found:
        assert all(one.step > len(steps) for one in found)
        assert "of ink finds no room there" in found[0].message
        assert "ink and ink" not in found[0].message


def test_pots_mixed_too_strong_and_waxing_forgotten(sample):
    case = sample(POPPIES)
    unwaxed = [step for step in case.design.steps if not isinstance(step, Wax)]
    strong = tuple(replace(pot, strength=2.4) for pot in case.design.pots)
    (found,) = case.with_design(pots=strong).with_steps(*unwaxed).check("depth")
    assert found.step == 3
    assert "young leaf and strong pink fill the fibre" in found.message.lower()
    assert case.with_steps(*unwaxed).check("depth") == ()


def test_bleach_fills_no_fibre(sample):
    """Bleached a little between: what is told to fill the fibre is dye alone."""
    case = sample(GEESE)
    last = case.design.steps[-1]
    found = case.with_steps(*case.design.steps, last, Discharge(strength=0.1), last, last).check("depth")
    assert found
    assert not any("discharge" in one.message + one.remedy for one in found)


# Reach


@pytest.mark.parametrize(("cloth", "severity"), [("#c9a87a", "warn"), ("#d9c9a8", "note")])
def test_bright_dyes_on_unbleached_cloth(sample, cloth, severity):
    """Dyes swatched on white, planned for tea-coloured calico: its own brown shines through the yellow."""
    case = sample(POPPIES)
    found = case.with_design(cloth=replace(case.design.cloth, colour=cloth)).check("reach")
    assert found[0].severity == severity
    assert "primrose" in found[0].message
    assert case.check("reach") == ()


def test_a_black_blacker_than_cloth(sample):
    case = sample(GEESE)
    for colour, severities in (("#000000", ["warn"]), ("#20284a", [])):
        dyes = tuple(replace(dye, colour=colour) if dye.name == "ink" else dye for dye in case.design.dyes)
        assert [one.severity for one in case.with_design(dyes=dyes).check("reach")] == severities


@pytest.mark.full
def test_every_ring_lies_on_its_cloth(sample):
    """Whatever is found is ringed within the cloth, at a size that shows it."""
    for folder in (PARSLEY, POPPIES, GEESE):
        case = sample(folder)
        small = case.with_design(cloth=replace(case.design.cloth, width_mm=90))
        high = 90 * case.masks.shape[1] / case.masks.shape[2]
        for one in small.check("hand", "depth", "leak", "neighbours"):
            if one.place is not None:
                assert 0 <= one.place.x_mm <= 90
                assert 0 <= one.place.y_mm <= high
                assert np.isfinite(one.place.radius_mm)
