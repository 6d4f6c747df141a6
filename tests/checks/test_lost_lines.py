"""Pale lines that a later bath covers: where they must be found and where they must not."""

from __future__ import annotations

import numpy as np
import pytest

from batiksim.values import Discharge, DyeBath, MaskUse, Paint, RemoveWax
from tests.checks.findings import severities_at, steps_of


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


# Where it begins to speak: six lines of 100 mm, 1.4 mm wide


@pytest.fixture
def lost(draw):
    lines = np.maximum.reduce([draw.box(10, y, 110, y + 1.4) for y in range(10, 75, 12)])
    return draw.case(("wax", lines), ("dye", "coral", None), RemoveWax(), ("dye", "navy", None))


@pytest.mark.parametrize(
    ("settings", "found"),
    [
        ({}, ["serious"]),
        ({"serious_mm": 620}, ["warn"]),
        ({"total_mm": 590}, ["serious"]),
        ({"total_mm": 620}, []),
        ({"length_mm": 99}, ["serious"]),
        ({"length_mm": 102}, []),
        ({"line_mm": 1.0}, []),
        ({"paler": 60.0}, []),
        ({"gone": 80.0}, []),
    ],
)
def test_lost_lines_by_their_length(lost, settings, found):
    assert severities_at(lost, "lost", **settings) == found


def test_lost_lines_say_where_and_what(lost):
    (found,) = lost.check("lost")
    assert found.step == 4
    assert "navy will cover them" in found.message
    assert "before step 4" in found.remedy
    assert found.place.radius_mm == 20.0
