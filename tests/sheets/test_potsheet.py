"""The picture of a pot: its cloths have the pot's colours, its bowl fills with strength."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import ImageColor

from batiksim.cloth.dyes_on_cloth import cloth_dyes
from batiksim.colour.spaces import decode_srgb
from batiksim.dyes.pot_colour import pot_look, read_pot
from batiksim.files.toml.dyebooks import read_book
from batiksim.sheets.pot import LARGE, SIDE, SMALL, STRIPE, WIDE, bowl, pot_sheet
from batiksim.values import Cloth

DYES = cloth_dyes(Cloth(width_mm=100), read_book("demo").dyes)


def look(text, strength=1.0):
    return pot_look(DYES, read_pot(text, DYES.dyes, strength=strength))


def test_the_hung_cloths_have_the_pots_colours():
    """Mean linear light over the middle of each cloth, within a hundredth."""
    pot = look("lemon=5, turquoise=1", 0.6)
    sheet = pot_sheet(pot, title="Leaf")
    for left, colour in ((SIDE, pot.dry), (SIDE + LARGE + 70, pot.wet)):
        middle = sheet[400:650, left + 80 : left + LARGE - 80]
        seen = decode_srgb(middle / 255.0).mean(axis=(0, 1))
        assert seen == pytest.approx(decode_srgb(np.array(ImageColor.getrgb(colour.hex)) / 255.0), abs=0.01)


@pytest.mark.full
def test_sheets_of_few_and_many_dyes():
    alone, many = pot_sheet(look("violet"), title="V"), pot_sheet(look("lemon, orange, violet, navy, moss"), title="M")
    assert alone.dtype == np.uint8
    assert alone.shape[1:] == many.shape[1:]
    assert many.shape[0] > alone.shape[0]
    assert np.array_equal(alone, pot_sheet(look("violet"), title="V"))


def test_long_names_stay_on_the_sheet():
    pot = look("lemon=5, turquoise=1")
    sheet = pot_sheet(
        pot, title="A pot with a name that goes on and on, further than any sheet of paper is wide, and on"
    )
    assert np.all(sheet[60:150, -60:] == sheet[0, -1])


def test_a_stronger_pot_fills_its_bowl_higher():
    dark = [np.count_nonzero(np.asarray(bowl("#203040", full, 300))[..., 0] < 40) for full in (0.1, 0.4, 0.7, 1.0)]
    assert dark == sorted(dark)
    assert len(set(dark)) == 4


def test_the_striped_cloth_shows_every_light():
    """Mean linear light over the middle of each stripe, within a hundredth of the dry cloth's colour in that light."""
    pot = look("moss=2, scarlet=1")
    sheet = pot_sheet(pot, title="Bark")
    top = 1080 + SMALL + 330 + 18
    wide = (WIDE - 2 * SIDE) // len(pot.lit)
    for number, one in enumerate(pot.lit):
        left = SIDE + number * wide
        middle = sheet[top + 60 : top + STRIPE - 20, left + 70 : left + wide - 70]
        seen = decode_srgb(middle / 255.0).mean(axis=(0, 1))
        assert seen == pytest.approx(decode_srgb(np.array(ImageColor.getrgb(one.colour.hex)) / 255.0), abs=0.01)
    assert len({one.colour.hex for one in pot.lit}) == 4
