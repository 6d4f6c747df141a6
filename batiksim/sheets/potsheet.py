"""One pot as a picture: dyed cloth hung dry and wet, the bowl it came from, and what one part more of each dye does."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
from PIL import Image, ImageDraw

from batiksim.plan.pots import PotColour, PotLook
from batiksim.plan.recipes import amount_words, dilution_words, recipe_words
from batiksim.sheets.drawing import (
    GROUND,
    INK,
    PAPER,
    QUIET,
    WOOD,
    mixed,
    peg,
    put,
    sagging,
    shadow,
    stamp,
    string_line,
)
from batiksim.sheets.lettering import balanced, fitted, line_height, wrapped, write
from batiksim.sheets.weave import Plaid, plaid_picture

__all__ = ["bowl", "pot_sheet"]

WIDE, SIDE = 1720, 90
LARGE, SMALL = 440, 310  # cloths, without their fringe
FRINGE, PEG = 34, 58
MOST_SHIFTS = 4
FULL = 1.5  # the strength that fills a bowl to its rim


def pot_sheet(look: PotLook, *, title: str) -> npt.NDArray[np.uint8]:
    """The picture, uint8 (rows, cols, 3)."""
    shifts = look.shifts[:MOST_SHIFTS]
    second = 1080
    high = (second + SMALL + 325) if shifts else 990
    high += line_height(30) * len(look.notes) if look.notes else -20
    sheet = Image.new("RGB", (WIDE, high), GROUND)
    draw = ImageDraw.Draw(sheet)
    write(draw, (SIDE, 128), fitted(title, "serif", 68, WIDE - 2 * SIDE), style="serif", size=68, fill=INK)
    told = f"{recipe_words(look.pot)}; {dilution_words(look.pot)}"
    write(draw, (SIDE, 184), fitted(told, "sans", 34, WIDE - 2 * SIDE), style="sans", size=34, fill=QUIET)
    _line(sheet, 262, [SIDE + LARGE / 2, SIDE + 1.5 * LARGE + 70])
    for number, (what, colour) in enumerate((("dry", look.dry), ("wet, about", look.wet))):
        left = SIDE + number * (LARGE + 70)
        _hung(sheet, colour.hex, (left, 290), LARGE, seed=3 + number)
        _caption(draw, left + LARGE / 2, 290 + LARGE + FRINGE + 56, LARGE, what, colour)
    _shelf(sheet, look, SIDE + 2 * LARGE + 160)
    if shifts:
        _shifts(sheet, look, second)
    _notes(draw, look.notes, high - SIDE)
    return np.asarray(sheet)


def _line(sheet: Image.Image, y: float, middles: Sequence[float]) -> None:
    """A string across the sheet, low where cloth hangs on it."""
    ends = [(-20.0, y - 6), *((x, y + 30) for x in middles), (WIDE + 20.0, y - 22)]
    string_line(sheet, sagging(ends, sag=10))


def _hung(sheet: Image.Image, colour: str, corner: tuple[int, int], side: int, *, seed: int) -> None:
    """A square of dyed cloth hung by two pegs, its woven part's top left at `corner`."""
    plaid = Plaid(
        bare=colour, down=(colour,), across=(colour,), cells=((colour,),), pitch=side, band=side, hem=0, fringe=FRINGE
    )
    cloth = plaid_picture(plaid, seed=seed)
    x, y = corner
    shadow(sheet, (x, y, x + side, y + side), soft=16)
    sheet.paste(cloth, (x - FRINGE, y - FRINGE), cloth)
    for middle in (x + side * 0.14, x + side * 0.86):
        put(sheet, peg(PEG), (middle, y + 6))


def _caption(draw: ImageDraw.ImageDraw, middle: float, y: float, width: float, what: str, colour: PotColour) -> None:
    write(draw, (middle, y), what, style="sans-medium", size=32, fill=INK, align="middle")
    for number, line in enumerate(balanced(colour.name, "sans", 28, width, lines=2)):
        write(
            draw, (middle, y + line_height(30) * (1 + number)), line, style="sans", size=28, fill=QUIET, align="middle"
        )


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
    write(draw, (left, y), "in the pot, about", style="sans-medium", size=32, fill=INK)
    volume = 100.0 if look.pot.ml is None else look.pot.ml
    lines = [f"For {volume:g} ml"] + [f"{amount_words(ml)}  {what}" for what, ml in look.amounts]
    for number, line in enumerate(lines[:6]):
        at = y + line_height(30) * (number + 1)
        write(draw, (left, at), fitted(line, "sans", 28, wide), style="sans", size=28, fill=QUIET)


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
    step = min(SMALL + 2 * FRINGE + 62, (WIDE - 2 * SIDE) // len(shifts))
    side = step - 2 * FRINGE - 30
    lefts = [SIDE + number * step for number in range(len(shifts))]
    write(draw, (SIDE, top - 62), "And with a little more", style="serif", size=44, fill=INK)
    _line(sheet, top - 10, [left + side / 2 for left in lefts])
    for number, (left, one) in enumerate(zip(lefts, shifts, strict=True)):
        _hung(sheet, one.colour.hex, (left, top + 18), side, seed=11 + number)
        more = f"one {one.by} more {one.dye}"
        middle, y = left + side / 2, top + 18 + side + FRINGE + 46
        lines = balanced(more, "sans-medium", 30, step - 24, lines=2)
        for line in lines:
            write(draw, (middle, y), line, style="sans-medium", size=30, fill=INK, align="middle")
            y += line_height(30)
        for line in wrapped(
            "no change to see" if one.words == "the same" else one.words, "sans", 27, step - 24, lines=3
        ):
            write(draw, (middle, y), line, style="sans", size=27, fill=QUIET, align="middle")
            y += line_height(27)


def _notes(draw: ImageDraw.ImageDraw, notes: Sequence[str], foot: int) -> None:
    for number, note in enumerate(reversed(notes)):
        line = fitted(note, "italic", 30, WIDE - 2 * SIDE)
        write(draw, (SIDE, foot - number * line_height(30)), line, style="italic", size=30, fill=QUIET)
