"""The way of each colour, held against what the engine paints after each step."""

from __future__ import annotations

import numpy as np
import pytest

from batiksim.cloth import journeys as module
from batiksim.cloth import render
from batiksim.cloth.dyes_on_cloth import dyes_on_cloth
from batiksim.cloth.journeys import journeys
from batiksim.cloth.outcome import outcome_of
from batiksim.cloth.program import Emit
from batiksim.colour import spaces
from batiksim.values import RemoveWax


@pytest.fixture
def planned(build):
    return build.design(
        build.dye("sun"), build.wax(0), build.dye("leaf"), RemoveWax(), build.bleach(1, 0.5), build.dye("pink")
    )


@pytest.fixture
def masks():
    """The left half waxed; the lower tenth bleached."""
    made = np.zeros((2, 20, 20), np.uint8)
    made[0, :, :10] = made[1, 18:] = 255
    return made


def test_a_way_begins_on_bare_cloth_and_goes_on_with_each_dye(build, planned, masks):
    ways = journeys(outcome_of(planned, dyes_on_cloth(planned), masks))
    assert {way.history: way.share for way in ways} == {
        ("sun", "pink"): 0.45,
        ("sun", "leaf", "pink"): 0.45,
        ("sun", "discharge", "pink"): 0.05,
        ("sun", "leaf", "discharge", "pink"): 0.05,
    }
    steps = {"sun": 1, "leaf": 3, "discharge": 5, "pink": 6}
    spots = {("leaf", True): (0, 15), ("leaf", False): (0, 5)}
    program = build.program(planned, wax_shown=False, plates=tuple(Emit(step=n) for n in (0, *steps.values())))
    plates = dict(zip((0, *steps.values()), render.render(program, masks), strict=True))
    for way in ways:
        row, col = spots["leaf", "leaf" in way.history]
        row = 19 if "discharge" in way.history else row
        seen = [plates[n][row, col] / 255 for n in (0, *(steps[pot] for pot in way.history))]
        labs = spaces.xyz_to_lab(spaces.linear_srgb_to_xyz(spaces.decode_srgb(np.array(seen))))
        assert np.array(way.labs) == pytest.approx(labs, abs=1.0)  # a plate has whole bytes
        assert way.hex == "#" + bytes(plates[6][row, col].tolist()).hex()
        assert way.name


def test_the_largest_come_first_and_by_the_light_asked_for(planned, masks, monkeypatch):
    made = outcome_of(planned, dyes_on_cloth(planned), masks)
    ways = journeys(made, most=3)
    assert [way.share for way in ways] == [0.45, 0.45, 0.05]
    assert ways == journeys(made)[:3]
    by_lamp = journeys(made, light="A", most=1)[0]
    assert by_lamp.history == ways[0].history
    assert np.abs(np.array(by_lamp.labs) - ways[0].labs).max() > 1
    monkeypatch.setattr(module, "LEAST_SHARE", 0.05)
    assert len(journeys(made)) == 4
    monkeypatch.setattr(module, "LEAST_SHARE", 0.06)
    assert len(journeys(made)) == 2
