"""One pot as a picture: dyed cloth hung dry and wet, the bowl it came from, and what one part more of each dye does."""

from collections.abc import Sequence

import numpy as np
from PIL import Image, ImageDraw

from batiksim.colour.viewing import DAY
from batiksim.dyes.pot_colour import PotLook
from batiksim.dyes.recipes import amount_words, dilution_words, recipe_words
from batiksim.sheets.colours import GROUND, INK, PAPER, QUIET, WOOD, mixed
from batiksim.sheets.drawing import peg, put, sagging, shadow, stamp, string_line
from batiksim.sheets.lettering import Lettering, line_height
from batiksim.sheets.plates.weave import Plaid, plaid_picture
from batiksim.texts.catalogue import Message, say
from batiksim.types import Bytes
from batiksim.values.light_words import seen_as

WIDE, SIDE = 1720, 90
INNER = WIDE - 2 * SIDE
TITLE, NOTE = Lettering("serif-bold", 68), Lettering("italic", 30, QUIET)
_HEAD = Lettering("serif-bold", 44)
_RECIPE, _LONG_RECIPE = Lettering("sans", 34, QUIET), Lettering("sans", 28, QUIET)  # one line, or up to two
_IN_POT = Lettering("sans-medium", 32)
_AMOUNT, _SMALL_AMOUNT = (Lettering("sans", size, QUIET, lead=line_height(lead)) for size, lead in ((28, 30), (23, 22)))
_WHAT = Lettering("sans-medium", 32, align="middle")
_COLOUR = Lettering("sans", 28, QUIET, align="middle", lead=line_height(30))
_NAME, _CHANGE = Lettering("sans-medium", 30, align="middle"), Lettering("sans", 27, QUIET, align="middle")
LARGE, SMALL = 440, 310  # cloths, without their fringe
FRINGE, PEG = 20, 58
STRIPE = 230  # height of the cloth that shows all lights
MOST_SHIFTS = 4
MOST_AMOUNTS = 8  # lines beneath the bowl
FULL = 1.5  # the strength that fills a bowl to its rim
JUST_SEEN = 0.5  # CIEDE2000 from which a difference has words of its own


def pot_sheet(look: PotLook, *, title: str | Message) -> Bytes:
    """The picture, uint8 (rows, cols, 3)."""
    notes = NOTE.all_wrapped(look.notes, INNER)
    lights = 1080 + (SMALL + 330 if look.shifts else 0)
    foot = lights + STRIPE + 225
    sheet = Image.new("RGB", (WIDE, foot + SIDE + max(0, len(notes) - 1) * NOTE.high), GROUND)
    draw = ImageDraw.Draw(sheet)
    TITLE.write(draw, (SIDE, 128), title, INNER)
    key = "sheets.pot.recipe" if look.light == DAY else "sheets.pot.recipe_seen"
    mix, dilution, seen = recipe_words(look.pot), dilution_words(look.pot), seen_as(look.light, "dry")
    recipe = str(say(key, recipe=mix, dilution=dilution, seen=seen))
    written, first = (_RECIPE, 184) if _RECIPE.width(recipe) <= INNER else (_LONG_RECIPE, 172)
    written.write_lines(draw, (SIDE, first), written.wrapped(recipe, INNER, lines=2))
    cloth_line(sheet, 262, [SIDE + LARGE / 2, SIDE + 1.5 * LARGE + 70])
    for number, (what, colour) in enumerate((("dry", look.dry), ("wet", look.wet))):
        left, base = SIDE + number * (LARGE + 70), 290 + LARGE + FRINGE + 56
        hung_cloth(sheet, (colour.hex,), (left, 290), (LARGE, LARGE), seed=3 + number)
        _WHAT.write(draw, (left + LARGE / 2, base), say(f"sheets.pot.{what}"))
        lines = _COLOUR.balanced(colour.shown, LARGE, lines=2)
        _COLOUR.write_lines(draw, (left + LARGE / 2, base + _COLOUR.high), lines)
    _shelf(sheet, look, SIDE + 2 * LARGE + 160)
    if look.shifts:
        _shifts(sheet, look, 1080)
    _lights(sheet, look, lights)
    NOTE.write_lines(draw, (SIDE, foot), notes)
    return np.asarray(sheet)


def cloth_line(sheet: Image.Image, y: float, middles: Sequence[float]) -> None:
    """A string across the sheet, low where cloth hangs on it."""
    ends = [(-20.0, y - 6), *((x, y + 30) for x in middles), (WIDE + 20.0, y - 22)]
    string_line(sheet, sagging(ends, sag=10))


def hung_cloth(
    sheet: Image.Image, colours: Sequence[str], corner: tuple[int, int], size: tuple[int, int], *, seed: int
) -> None:
    """Dyed cloth hung by two pegs, its woven part's top left at `corner`; striped where it has several colours.

    size : (width of one stripe, height)
    """
    cloth = _striped(colours, size, seed)
    x, y = corner
    wide, high = size[0] * len(colours), size[1]
    shadow(sheet, (x, y, x + wide, y + high), soft=16)
    sheet.paste(cloth, (x - FRINGE, y - FRINGE), cloth)
    inset = min(wide, LARGE) * 0.14
    for middle in (x + inset, x + wide - inset):
        put(sheet, peg(PEG), (middle, y + 6))


def _striped(colours: Sequence[str], size: tuple[int, int], seed: int) -> Image.Image:
    """A cloth of stripes side by side with its fringe, RGBA; all stripes share their weft."""
    wide, high = size
    whole = Image.new("RGBA", (wide * len(colours) + 2 * FRINGE, high + 2 * FRINGE))
    for number, colour in enumerate(colours):
        one = (colour,)
        alone = Plaid(bare=colour, down=one, across=one, cells=(one,), pitch=wide, band=wide, hem=0, fringe=FRINGE)
        stripe = plaid_picture(alone, seed=seed)
        first, last = number == 0, number == len(colours) - 1
        left, right = 0 if first else FRINGE, stripe.width - (0 if last else FRINGE)
        cut = FRINGE + high // 2  # the middle of a square stripe is left out where the cloth is lower
        for top, foot, y in ((0, cut, 0), (stripe.height - (high + 2 * FRINGE - cut), stripe.height, cut)):
            whole.paste(stripe.crop((left, top, right, foot)), (number * wide + left, y))
    return whole


def _shelf(sheet: Image.Image, look: PotLook, left: int) -> None:
    """The bowl on its shelf, and what goes into it."""
    draw = ImageDraw.Draw(sheet)
    wide = WIDE - SIDE - left
    piece = bowl(look.solution.hex, look.pot.strength / FULL, round(wide * 0.8))
    board = 290 + LARGE - 20
    put(sheet, piece, (left + wide / 2, board - piece.height / 2 + 2))
    shadow(sheet, (left, board + 6, left + wide, board + 14), soft=8, strength=0.35)
    draw.rounded_rectangle((left, board, left + wide, board + 16), radius=4, fill=WOOD)
    draw.line((left + 4, board + 2, left + wide - 4, board + 2), fill=mixed(WOOD, "#ffffff", 0.35), width=2)
    _words(draw, look, left, board + 66, wide)


def _words(draw: ImageDraw.ImageDraw, look: PotLook, left: int, y: float, wide: int) -> None:
    _IN_POT.write(draw, (left, y), say("sheets.pot.in_pot"), wide)
    amounts = [say("sheets.pot.for_amount", amount=amount_words(look.volume_ml))]
    amounts += [say("sheets.pot.amount", amount=amount_words(ml), what=what) for what, ml in look.amounts]
    written = _AMOUNT if len(amounts) <= 6 else _SMALL_AMOUNT
    if len(amounts) > MOST_AMOUNTS:
        amounts[MOST_AMOUNTS - 1 :] = [say("sheets.pot.and_more", count=len(amounts) - MOST_AMOUNTS + 1)]
    written.write_lines(draw, (left, y + 4 + written.high), written.all_wrapped(amounts, wide, lines=1))


def bowl(colour: str, full: float, wide: int) -> Image.Image:
    """A glass bowl of dye seen from the side, filled to a share of its volume; above the dye a wet rim."""
    high = round(wide * 0.64)
    deep = min(0.94, max(0.12, full**0.65))  # of a bowl's height: the lower part is narrow

    def pen(draw: ImageDraw.ImageDraw, k: float) -> None:
        middle, w, h = wide * k / 2, wide * k * 0.47, high * k * 0.94
        depth = np.linspace(0.0, 1.0, 90)
        reach = w * (1.0 - depth**2.6) ** 0.5

        def body(top: float) -> list[tuple[float, float]]:
            below = depth >= top
            xs, ys = reach[below], (0.03 * high * k + depth * h)[below]
            right = [(middle + x, y) for x, y in zip(xs, ys, strict=True)]
            return [*right, *((2 * middle - x, y) for x, y in reversed(right))]

        level = 1.0 - deep
        foot = w * 0.42
        draw.rounded_rectangle(
            (middle - foot, h * 0.98, middle + foot, high * k - 1), radius=4 * k, fill=mixed(INK, GROUND, 0.45)
        )
        draw.polygon(body(0.0), fill=mixed(PAPER, INK, 0.05))
        draw.polygon(body(max(0.0, level - 0.035)), fill=mixed(mixed(colour, PAPER, 0.45), INK, 0.1))
        draw.polygon(body(level), fill=colour)
        draw.line(body(level)[:1] + body(level)[-1:], fill=mixed(colour, INK, 0.5), width=round(2.0 * k))
        draw.line([*body(0.0)], fill=mixed(INK, GROUND, 0.35), width=round(2.4 * k), joint="curve")
        shine = [(middle - reach[i] * 0.86, 0.03 * high * k + depth[i] * h) for i in range(12, 52)]
        draw.line(shine, fill=mixed(colour, "#ffffff", 0.5), width=round(3.0 * k), joint="curve")

    return stamp(wide, high, pen)


def _shifts(sheet: Image.Image, look: PotLook, top: int) -> None:
    """A second line: the pot with one part more of each dye."""
    draw = ImageDraw.Draw(sheet)
    shifts = look.shifts[:MOST_SHIFTS]
    step = min(SMALL + 2 * FRINGE + 62, INNER // len(shifts))
    side = step - 2 * FRINGE - 30
    lefts = [SIDE + number * step for number in range(len(shifts))]
    _HEAD.write(draw, (SIDE, top - 62), say("sheets.pot.a_little_more"), INNER)
    cloth_line(sheet, top - 10, [left + side / 2 for left in lefts])
    for number, (left, shift) in enumerate(zip(lefts, shifts, strict=True)):
        hung_cloth(sheet, (shift.colour.hex,), (left, top + 18), (side, side), seed=11 + number)
        more = say(f"sheets.pot.one_more.{shift.by}", dye=shift.dye)
        middle, base = left + side / 2, top + 18 + side + FRINGE + 46
        y = _NAME.write_lines(draw, (middle, base), _NAME.balanced(more, step - 24, lines=2))
        change = say("sheets.pot.no_change") if shift.delta_e < JUST_SEEN else shift.words
        _CHANGE.write_lines(draw, (middle, y), _CHANGE.wrapped(change, step - 24, lines=3))


def _lights(sheet: Image.Image, look: PotLook, top: int) -> None:
    """A third line: one cloth, striped by how the dry colour looks in each light."""
    draw = ImageDraw.Draw(sheet)
    _HEAD.write(draw, (SIDE, top - 62), say("sheets.pot.in_lights"), INNER)
    wide = INNER // len(look.lit)
    cloth_line(sheet, top - 10, [SIDE + wide / 2, WIDE - SIDE - wide / 2])
    hung_cloth(sheet, [lit.colour.hex for lit in look.lit], (SIDE, top + 18), (wide, STRIPE), seed=23)
    for number, lit in enumerate(look.lit):
        middle, y = SIDE + (number + 0.5) * wide, top + 18 + STRIPE + FRINGE + 46
        _NAME.write(draw, (middle, y), seen_as(lit.light, "dry"), wide)
        words = lit.colour.shown
        if lit.light != DAY:
            words = say("sheets.pot.same_as_by_day") if lit.delta_e < JUST_SEEN else lit.words
        _CHANGE.write_lines(draw, (middle, y + _CHANGE.high), _CHANGE.balanced(words, wide - 24, lines=2))
