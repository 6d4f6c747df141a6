"""The best pots for a colour as a picture: each hung beside that colour, and as it looks in other light."""

import numpy as np
from PIL import Image, ImageDraw

from batiksim.colour.viewing import other_lights
from batiksim.dyes.match_report import Matched, Recipe
from batiksim.dyes.recipes import dilution_words, recipe_words
from batiksim.sheets.colours import GROUND, INK, QUIET
from batiksim.sheets.lettering import fitted, line_height, wrapped, write, write_lines
from batiksim.sheets.pot import FRINGE, SIDE, WIDE, cloth_line, hung_cloth
from batiksim.texts.catalogue import say
from batiksim.types import Bytes
from batiksim.values.light_words import seen_as

STRIPE, HIGH = 170, 190  # width of a stripe of cloth, and its height
TOP, ROW = 330, HIGH + 2 * FRINGE + 82  # of the first row; from one to the next
LAMPS_X = SIDE + 2 * STRIPE + 2 * FRINGE + 36
WORDS_X = LAMPS_X + 2 * STRIPE + FRINGE + 46
MOST_NOTE_LINES = 3


def match_sheet(found: Matched) -> Bytes:
    """The picture, uint8 (rows, cols, 3)."""
    notes = [
        line
        for note in found.notes
        for line in wrapped(str(note), "italic", 30, WIDE - 2 * SIDE, lines=MOST_NOTE_LINES)
    ]
    foot = TOP + ROW * len(found.recipes) + 20
    sheet = Image.new("RGB", (WIDE, foot + SIDE + max(0, len(notes) - 1) * line_height(30)), GROUND)
    draw = ImageDraw.Draw(sheet)
    _head(draw, found)
    for number, recipe in enumerate(found.recipes, start=1):
        _row(sheet, found, number, recipe, TOP + ROW * (number - 1))
    write_lines(draw, (SIDE, foot), notes, style="italic", size=30, fill=QUIET)
    return np.asarray(sheet)


def _head(draw: ImageDraw.ImageDraw, found: Matched) -> None:
    title = say("sheets.match.title", colour=found.wanted.hex, name=found.wanted.shown)
    write(draw, (SIDE, 128), fitted(title, "serif-bold", 68, WIDE - 2 * SIDE), style="serif-bold", size=68, fill=INK)
    under = "over_ground" if found.dyed_ground else "on_undyed"
    about = say(f"sheets.match.{under}", ground=found.ground.shown, seen=seen_as(found.light, "dry"))
    write(draw, (SIDE, 184), fitted(about, "sans", 34, WIDE - 2 * SIDE), style="sans", size=34, fill=QUIET)
    heads = [(SIDE, "wanted"), (SIDE + STRIPE, "pot_gives")]
    heads += [(LAMPS_X + at * STRIPE, f"light.{light.lower()}") for at, light in enumerate(other_lights(found.light))]
    for left, name in heads:
        at = (left + STRIPE / 2, TOP - FRINGE - 24)
        words = fitted(say(f"sheets.match.head.{name}"), "italic", 28, STRIPE)
        write(draw, at, words, style="italic", size=28, fill=QUIET, align="middle")


def _row(sheet: Image.Image, found: Matched, number: int, recipe: Recipe, top: int) -> None:
    """A pot on its line: beside the colour to match, in other light, and in words."""
    draw = ImageDraw.Draw(sheet)
    by_light = {lit.light: lit.colour.hex for lit in recipe.lit}
    cloth_line(sheet, top - 24, [SIDE + STRIPE, LAMPS_X + STRIPE])
    hung_cloth(sheet, (found.wanted.hex, recipe.colour.hex), (SIDE, top), (STRIPE, HIGH), seed=2 * number)
    lamps = [by_light[light] for light in other_lights(found.light)]
    hung_cloth(sheet, lamps, (LAMPS_X, top), (STRIPE, HIGH), seed=2 * number + 1)
    wide = WIDE - SIDE - WORDS_X
    y = float(top + 46)
    how_near = fitted(say("sheets.match.pot", number=number, difference=recipe.words), "sans-medium", 34, wide)
    write(draw, (WORDS_X, y), how_near, style="sans-medium", size=34, fill=INK)
    dilution = say("sheets.match.dilution", strength=recipe.pot.strength, dilution=dilution_words(recipe.pot))
    words = (recipe_words(recipe.pot), dilution)
    lines = [line for text in words for line in wrapped(text, "sans", 30, wide, lines=2)]
    lead = line_height(30) + 4
    write_lines(draw, (WORDS_X, y + lead), lines, style="sans", size=30, fill=QUIET, lead=lead)
