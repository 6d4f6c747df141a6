"""The picture of found pots: the wanted colour, each pot's, and how they look in other light."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import ImageColor

from batiksim.cloth.dyes_on_cloth import cloth_dyes
from batiksim.colour.spaces import decode_srgb
from batiksim.colour.viewing import other_lights
from batiksim.dyes.match_report import matched
from batiksim.dyes.target_colour import wanted_colour
from batiksim.files.toml.dyebooks import read_book
from batiksim.sheets.match import HIGH, LAMPS_X, ROW, STRIPE, TOP, match_sheet
from batiksim.sheets.pot import SIDE
from batiksim.values import Cloth

DYES = cloth_dyes(Cloth(width_mm=100), read_book("demo").dyes)


@pytest.mark.parametrize("light", ["D65", "A"])
def test_the_stripes_have_their_colours(light):
    """Mean linear light over the middle of each stripe, within a hundredth."""
    found = matched(DYES, wanted_colour("#8a5f9a"), light=light, count=3)
    sheet = match_sheet(found)
    for number, one in enumerate(found.recipes):
        seen = {lit.light: lit.colour.hex for lit in one.lit}
        assert seen[light] == one.colour.hex
        row = [(SIDE, found.wanted.hex), (SIDE + STRIPE, one.colour.hex)]
        row += [(LAMPS_X + place * STRIPE, seen[other]) for place, other in enumerate(other_lights(light))]
        top = TOP + ROW * number
        for left, colour in row:
            middle = sheet[top + 60 : top + HIGH - 15, left + 55 : left + STRIPE - 55]
            mean = decode_srgb(middle / 255.0).mean(axis=(0, 1))
            assert mean == pytest.approx(decode_srgb(np.array(ImageColor.getrgb(colour)) / 255.0), abs=0.01)


def test_as_many_rows_as_pots_and_notes_below():
    one, three = (match_sheet(matched(DYES, wanted_colour("#4d7358"), count=count)) for count in (1, 3))
    assert three.shape[0] - one.shape[0] == 2 * ROW
    pale = matched(DYES, wanted_colour("#fdf9f9"), count=1)
    assert len(pale.notes) >= 2
    assert match_sheet(pale).shape[0] > one.shape[0]
