"""Areas that each step reaches: counted by hand on small masks, and pixel by pixel in plain numpy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from batiksim.cloth.areas import survey_areas
from batiksim.values import RemoveWax

BANK_SHAPE = (30, 40)


def survey(build, planned, masks, **keys):
    return survey_areas(build.program(planned), masks, width_mm=planned.cloth.width_mm, **keys)


def test_by_hand(build):
    """10 x 10 pixels of 10 mm: wax the left 3 columns, dye all, wax the top 4 rows, dye the right half."""
    left, top, right = np.zeros((3, 10, 10), np.uint8)
    left[:, :3], top[:4], right[:, 5:] = 255, 255, 255
    planned = build.design(
        build.wax("left"), build.dye("sun"), build.wax("top"), build.dye(("pink", "right"), "sea"), build.bleach("top")
    )
    found = survey(build, planned, np.stack([left, top, right]))
    pixel = 100.0
    assert [round(reach.mm2 / pixel) for reach in found.reaches] == [30, 70, 28, 30, 42, 0]
    assert [round(reach.marked_mm2 / pixel) for reach in found.reaches] == [30, 100, 40, 50, 100, 40]
    assert found.waxed_mm2 / pixel == pytest.approx(58)
    assert (found.width_mm, found.height_mm) == (100, 100)
    assert [reach.pot for reach in found.of_step(4)] == ["pink", "sea"]


def test_wax_taken_out_opens_the_cloth_again(build):
    half = np.zeros((10, 10), np.uint8)
    half[:5] = 255
    found = survey(build, build.design(build.wax("half"), build.dye("sun"), RemoveWax(), build.dye("sea")), half[None])
    assert [round(reach.mm2 / 100) for reach in found.reaches] == [50, 50, 50, 100]
    assert found.waxed_mm2 == 0


@given(st.data(), st.integers(0, 40))
def test_as_reckoned_pixel_by_pixel(build, data, seed):
    steps = data.draw(build.some_steps(masks=6, most=8))
    planned = build.design(*steps)
    masks = build.stack(planned, build.noisy(6, *BANK_SHAPE, seed=seed)) if list(planned.mask_uses()) else None
    masks = np.zeros((0, *BANK_SHAPE), np.uint8) if masks is None else masks
    program = build.program(planned)
    found = survey_areas(program, masks, width_mm=100, threads=1)

    opened, take = np.ones(BANK_SHAPE), np.ones(BANK_SHAPE)
    pixel = (100 / BANK_SHAPE[1]) ** 2
    levels = dict(zip(program.masks, masks / 255.0, strict=True))
    left = []
    by_use = {plane.use: level for plane, level in levels.items()}
    for step in planned.steps:
        name = type(step).__name__
        if name == "Wax":
            level = by_use[step.mask]
            fresh = opened * level * (1 if step.seals else take)
            left.append(fresh.sum())
            if step.seals:
                opened = opened * (1 - level)
            else:
                take = take * (1 - level)
        elif name == "DyeBath":
            for paint in step.paints:
                level = 1.0 if paint.where is None else by_use[paint.where]
                left.append((opened * take * level).sum())
        elif name == "Discharge":
            level = 1.0 if step.where is None else by_use[step.where]
            left.append((opened * take * level).sum())
        else:
            left.append((1 - opened * take).sum())
            opened, take = np.ones(BANK_SHAPE), np.ones(BANK_SHAPE)
    assert [reach.mm2 for reach in found.reaches] == pytest.approx([one * pixel for one in left], rel=1e-4, abs=1e-3)
    assert found.waxed_mm2 == pytest.approx((1 - opened * take).sum() * pixel, rel=1e-4, abs=1e-3)


@pytest.mark.parametrize("degrees", [0, 17, 30, 45, 63, 90])
def test_outlines_of_any_direction(build, degrees):
    """A straight line of wax 20 mm long and 1 mm wide, anywhere: its outline is 42 mm."""
    rows = cols = 400
    y, x = (np.mgrid[0:rows, 0:cols] - 199.5) / 10.0  # mm
    turn = np.radians(degrees)
    along, across = x * np.cos(turn) + y * np.sin(turn), -x * np.sin(turn) + y * np.cos(turn)
    soft = np.minimum(10 - np.abs(along), 0.5 - np.abs(across)) * 10 + 0.5
    mask = np.clip(soft * 255, 0, 255).astype(np.uint8)
    (reach,) = survey_areas(build.program(build.design(build.wax("line"))), mask[None], width_mm=40).reaches
    assert reach.mm2 == pytest.approx(20, rel=0.02)
    assert reach.edge_mm == pytest.approx(42, rel=0.06)


def test_bands_and_threads_change_nothing(build, monkeypatch):
    planned = build.design(build.wax(0), build.dye("sun"), build.wax(1), build.dye("sea"))
    masks = build.soft(2, 90, 40)
    whole = survey(build, planned, masks, threads=1)
    monkeypatch.setattr("batiksim.cloth.areas.BAND_PIXELS", 40 * 7)
    banded = survey(build, planned, masks, threads=3)
    for one, other in zip(whole.reaches, banded.reaches, strict=True):
        assert one.mm2 == pytest.approx(other.mm2, rel=1e-5)
        assert one.edge_mm == pytest.approx(other.edge_mm, rel=1e-4)


def test_masks_that_do_not_fit_are_a_mistake_of_the_code(build):
    planned = build.design(build.wax("a"))
    with pytest.raises(ValueError, match="masks must be"):
        survey(build, planned, np.zeros((2, 5, 5), np.uint8))
