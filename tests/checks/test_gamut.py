"""Dyes of colours that the cloth can't show: where they must be found and where they must not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.checks.findings import GEESE, POPPIES


@pytest.mark.parametrize("folder", ["hedge_parsley", "garden_poppies/remedy.toml"])
def test_a_dye_paler_than_the_cloth_is_out_of_reach(sample, folder):
    case = sample(folder)
    pale = case.with_design(dyes=(replace(case.design.dyes[0], colour="#ffffff"), *case.design.dyes[1:]))
    assert [(one.code, one.step) for one in pale.check("reach")] == [("reach", 0)]
    assert case.check("reach") == ()


@pytest.mark.parametrize(("cloth", "severity"), [("#c9a87a", "warn"), ("#d9c9a8", "note")])
def test_bright_dyes_on_unbleached_cloth(sample, cloth, severity):
    """Dyes swatched on white, planned for tea-coloured calico: its own brown shines through the yellow."""
    case = sample(POPPIES)
    found = case.with_design(cloth=replace(case.design.cloth, colour=cloth)).check("reach")
    assert found[0].severity == severity
    assert "primrose" in str(found[0].message)
    assert case.check("reach") == ()


def test_a_black_blacker_than_cloth(sample):
    case = sample(GEESE)
    for colour, severities in (("#000000", ["warn"]), ("#20284a", [])):
        dyes = tuple(replace(dye, colour=colour) if dye.name == "ink" else dye for dye in case.design.dyes)
        assert [one.severity for one in case.with_design(dyes=dyes).check("reach")] == severities


# Where it begins to speak


def test_what_a_cloth_can_not_show_by_how_far(draw):
    dyes = (
        *draw.case(("dye", "sea", None)).design.dyes,
        replace(draw.case(("dye", "sea", None)).design.dyes[0], name="white", colour="#ffffff"),
    )
    case = draw.case(("dye", "sea", None), dyes=dyes)
    (found,) = (one for one in case.check("reach") if one.message.values["dye"] == "white")
    far = found.message.values["away"]
    assert "white as #ffffff" in str(found.message)
    assert found.severity == ("warn" if far >= 5 else "note")
    for limit, severity in ((far - 0.06, "warn"), (far + 0.06, "note")):
        again = case.check("reach", settings={"reach": {"far": limit}})
        assert [one.severity for one in again if one.message.values["dye"] == "white"] == [severity]
    assert not [
        one
        for one in case.check("reach", settings={"reach": {"seen": far + 0.06}})
        if one.message.values["dye"] == "white"
    ]
