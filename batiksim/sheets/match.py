"""The best pots for a colour as a picture: each hung beside that colour, and as it looks in other light."""

import numpy as np
from PIL import Image, ImageDraw

from batiksim.colour.viewing import other_lights
from batiksim.dyes.match_report import Matched, Recipe
from batiksim.dyes.recipes import dilution_words, recipe_words
from batiksim.sheets.colours import GROUND, QUIET
from batiksim.sheets.lettering import Lettering, line_height
from batiksim.sheets.pot import FRINGE, INNER, NOTE, SIDE, TITLE, WIDE, cloth_line, hung_cloth
from batiksim.texts.catalogue import say
from batiksim.types import Bytes
from batiksim.values.light_words import seen_as

STRIPE, HIGH = 170, 190  # width of a stripe of cloth, and its height
TOP, ROW = 330, HIGH + 2 * FRINGE + 82  # of the first row; from one to the next
LAMPS_X = SIDE + 2 * STRIPE + 2 * FRINGE + 36
WORDS_X = LAMPS_X + 2 * STRIPE + FRINGE + 46
_ABOUT, _OVER = Lettering("sans", 34, QUIET), Lettering("italic", 28, QUIET, align="middle")
_NEAR, _WORDS = Lettering("sans-medium", 34), Lettering("sans", 30, QUIET, lead=line_height(30) + 4)


def match_sheet(found: Matched) -> Bytes:
    """The picture, uint8 (rows, cols, 3)."""
    notes = NOTE.all_wrapped(found.notes, INNER)
    foot = TOP + ROW * len(found.recipes) + 20
    sheet = Image.new("RGB", (WIDE, foot + SIDE + max(0, len(notes) - 1) * NOTE.high), GROUND)
    draw = ImageDraw.Draw(sheet)
    _head(draw, found)
    for number, recipe in enumerate(found.recipes, start=1):
        _row(sheet, found, number, recipe, TOP + ROW * (number - 1))
    NOTE.write_lines(draw, (SIDE, foot), notes)
    return np.asarray(sheet)


def _head(draw: ImageDraw.ImageDraw, found: Matched) -> None:
    title = say("sheets.match.title", colour=found.wanted.hex, name=found.wanted.shown)
    TITLE.write(draw, (SIDE, 128), title, INNER)
    under = "over_ground" if found.dyed_ground else "on_undyed"
    about = say(f"sheets.match.{under}", ground=found.ground.shown, seen=seen_as(found.light, "dry"))
    _ABOUT.write(draw, (SIDE, 184), about, INNER)
    heads = [(SIDE, "wanted"), (SIDE + STRIPE, "pot_gives")]
    heads += [(LAMPS_X + at * STRIPE, f"light.{light.lower()}") for at, light in enumerate(other_lights(found.light))]
    for left, name in heads:
        _OVER.write(draw, (left + STRIPE / 2, TOP - FRINGE - 24), say(f"sheets.match.head.{name}"), STRIPE)


def _row(sheet: Image.Image, found: Matched, number: int, recipe: Recipe, top: int) -> None:
    """A pot on its line: beside the colour to match, in other light, and in words."""
    draw = ImageDraw.Draw(sheet)
    by_light = {lit.light: lit.colour.hex for lit in recipe.lit}
    cloth_line(sheet, top - 24, [SIDE + STRIPE, LAMPS_X + STRIPE])
    hung_cloth(sheet, (found.wanted.hex, recipe.colour.hex), (SIDE, top), (STRIPE, HIGH), seed=2 * number)
    lamps = [by_light[light] for light in other_lights(found.light)]
    hung_cloth(sheet, lamps, (LAMPS_X, top), (STRIPE, HIGH), seed=2 * number + 1)
    wide = WIDE - SIDE - WORDS_X
    _NEAR.write(draw, (WORDS_X, top + 46), say("sheets.match.pot", number=number, difference=recipe.words), wide)
    dilution = say("sheets.match.dilution", strength=recipe.pot.strength, dilution=dilution_words(recipe.pot))
    lines = _WORDS.all_wrapped((recipe_words(recipe.pot), dilution), wide, lines=2)
    _WORDS.write_lines(draw, (WORDS_X, top + 46 + _WORDS.high), lines)
