"""Colours that the design asks for: how near a colour and a place must come."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from batiksim.checks import mud
from batiksim.checks.mud import is_wished
from batiksim.colour.gamut import lab_to_hex
from batiksim.values import MaskUse, Want


@pytest.mark.parametrize(
    ("row", "col", "near"),
    [(5, 10, True), (7, 10, True), (8, 10, False), (3, 10, True), (2, 10, False), (5, 12, True), (5, 13, False),
     (5, 8, True), (5, 7, False), (7, 12, True)],
)  # fmt: skip
def test_a_spot_may_lie_two_pixels_beside(row, col, near):
    """Four mm to the right and two down are, at 5 pixels to the mm and two to a rough one, column 10 and row 5."""
    where = np.zeros((20, 30), np.bool_)
    where[row, col] = True
    assert mud._is_at(SimpleNamespace(px_per_mm=5.0, rough_factor=2), where, (4.0, 2.0)) is near


@pytest.mark.parametrize(
    ("row", "col", "near"), [(0, 0, True), (2, 2, True), (3, 0, False), (0, 3, False), (19, 29, False)]
)
def test_a_spot_at_the_cloths_corner(row, col, near):
    where = np.zeros((20, 30), np.bool_)
    where[row, col] = True
    assert mud._is_at(SimpleNamespace(px_per_mm=5.0, rough_factor=2), where, (0.0, 0.0)) is near


@pytest.fixture
def dyed(draw):
    """The left half sun, the right half bare; asked whether the sun is wished for."""

    def wished(*wants, picture=None):
        half = draw.box(0, 0, 60, 80)
        steps = [] if picture is None else [("wax", picture)]
        case = draw.case(("dye", "sun", half), *steps).with_design(wants=tuple(wants))
        scene = replace(case, masks=np.ascontiguousarray(case.masks[:, ::5, ::5])).scene  # a millimetre to the pixel
        return is_wished(scene, next(one for one in scene.histories if one.reached))

    return wished


def sun(draw):
    scene = replace(draw.case(("dye", "sun", None)), masks=np.zeros((0, 8, 12), np.uint8)).scene
    return lab_to_hex(scene.lab(scene.histories[0]))


def test_a_want_is_a_colour_at_a_spot(draw, dyed):
    colour = sun(draw)
    assert not dyed()
    assert dyed(Want(colour=colour, at_mm=(30, 40)))
    assert not dyed(Want(colour=colour, at_mm=(90, 40)))
    assert not dyed(Want(colour="#2040a0", at_mm=(30, 40)))
    assert dyed(Want(colour="#2040a0", at_mm=(30, 40)), Want(colour=colour, at_mm=(10, 10)))
    assert not dyed(Want(colour="no such colour", at_mm=(30, 40)))


@pytest.mark.parametrize(("right", "wished"), [(30, True), (29, False), (120, True)])
def test_a_want_holds_where_its_picture_marks_half_of_the_region(draw, dyed, right, wished):
    """The region is 60 mm wide: 30 are half of it."""
    want = Want(colour=sun(draw), where=MaskUse(picture="1.png"))
    assert dyed(want, picture=draw.box(0, 0, right, 80)) is wished
    assert dyed(want, picture=np.minimum(draw.box(0, 0, right, 80), 128)) is wished
    assert not dyed(want, picture=np.minimum(draw.box(0, 0, right, 80), 127))


def test_a_want_in_a_picture_that_no_step_uses_holds_by_its_colour(draw, dyed):
    assert dyed(Want(colour=sun(draw), where=MaskUse(picture="other.png")))
    assert not dyed(Want(colour="#2040a0", where=MaskUse(picture="other.png")))
