"""What `pot` and `match` print: swatches where the terminal shows colour, words and numbers everywhere."""

from __future__ import annotations

from typing import TYPE_CHECKING

from batiksim.cli.telling_lessons import cloth_piece, plain_table
from batiksim.plan.recipes import amount_words, dilution_words, recipe_words

if TYPE_CHECKING:
    from rich.console import Console
    from rich.text import Text

    from batiksim.plan.pots import PotColour, PotLook
    from batiksim.plan.recipes import Matched

__all__ = ["print_match", "print_pot"]

WIDE = 8


def print_pot(console: Console, look: PotLook) -> None:
    """The pot on cloth, dry and wet, and in its bowl; what makes it up; what one more of each dye does."""
    console.print(f"{recipe_words(look.pot)}; {dilution_words(look.pot)}", style="bold")
    console.print()
    table = plain_table("", "", "Colour", "Name")
    for what, colour in (
        ("undyed", look.cloth),
        ("dry on cloth", look.dry),
        ("wet on cloth, about", look.wet),
        ("in the pot, about", look.solution),
    ):
        table.add_row(what, cloth_piece(colour.hex, WIDE), colour.hex, colour.name)
    console.print(table)
    console.print("It looks stronger wet, and stronger still in the pot: judge it by a dried drop.")
    console.print()
    console.print("For " + _volume(look) + ": " + ", ".join(f"{amount_words(ml)} {what}" for what, ml in look.amounts))
    if look.shifts:
        console.print()
        shifts = plain_table("One more", "", "Colour", "Differs", "It gets", right=("Differs",))
        for one in look.shifts:
            swatch = cloth_piece(one.colour.hex, WIDE)
            shifts.add_row(f"{one.by} {one.dye}", swatch, one.colour.hex, f"{one.delta_e:.1f}", one.words)
        console.print(shifts)
        console.print("Differs: CIEDE2000 (1 is just seen, 2 is plain side by side).")
    _print_notes(console, look.notes)


def print_match(console: Console, result: Matched) -> None:
    """The wanted colour beside each pot's, how far off it is and in which way."""
    under = "on this ground" if result.dyed_ground else "on undyed cloth"
    table = plain_table("", "", "Colour", "Name")
    table.add_row("wanted", *_colour_cells(result.wanted))
    table.add_row(under, *_colour_cells(result.ground))
    console.print(table)
    console.print()
    pots = plain_table("Wanted", "Pot gives", "Off", "It is", "Mix", "Strength", "Thin with", right=("Off", "Strength"))
    for one in result.recipes:
        pots.add_row(
            cloth_piece(result.wanted.hex, WIDE),
            cloth_piece(one.colour.hex, WIDE),
            f"{one.delta_e:.1f}",
            one.words,
            recipe_words(one.pot),
            f"{one.pot.strength:g}",
            dilution_words(one.pot),
        )
    console.print(pots)
    console.print("Off: CIEDE2000 left (1 is just seen, 2 is plain side by side). Dye a sample before you trust it.")
    _print_notes(console, result.notes)


def _colour_cells(colour: PotColour) -> tuple[Text, str, str]:
    return cloth_piece(colour.hex, WIDE), colour.hex, colour.name


def _volume(look: PotLook) -> str:
    return f"{100 if look.pot.ml is None else look.pot.ml:g} ml"


def _print_notes(console: Console, notes: tuple[str, ...]) -> None:
    if notes:
        console.print()
    for note in notes:
        console.print(note)
