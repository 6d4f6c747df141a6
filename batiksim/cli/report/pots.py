"""What `pot` and `match` print: swatches where the terminal shows colour, words and numbers everywhere."""

from __future__ import annotations

from typing import TYPE_CHECKING

from batiksim import jobs
from batiksim.cli.report.tables import cloth_piece, plain_table
from batiksim.values import DAYLIGHT
from batiksim.values.light_words import seen_as

if TYPE_CHECKING:
    from rich.console import Console
    from rich.text import Text

    from batiksim.jobs import Matched, PotColour, PotLook
    from batiksim.texts.catalogue import Message

WIDE, NARROW = 8, 6


def print_pot(console: Console, look: PotLook) -> None:
    """The pot on cloth, dry and wet, and in its bowl; what makes it up; what one more of each dye does."""
    words = jobs.pot_words(look.pot)
    console.print(f"{words['recipe']}; {words['dilution']}", style="bold")
    if look.light != DAYLIGHT:
        console.print(f"All as seen {seen_as(look.light, 'dry')}.")
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
    print_in_other_light(console, look)
    amounts = ", ".join(f"{jobs.amount_words(ml)} {what}" for what, ml in look.amounts)
    console.print(f"For {jobs.amount_words(look.volume_ml)}: {amounts}")
    console.print("Each dye at full strength, ready to brush: half its stock, half chemical water.")
    if look.shifts:
        console.print()
        shifts = plain_table("One more", "", "Colour", "Differs", "It gets", right=("Differs",))
        for shift in look.shifts:
            swatch = cloth_piece(shift.colour.hex, WIDE)
            shifts.add_row(f"{shift.by} {shift.dye}", swatch, shift.colour.hex, f"{shift.delta_e:.1f}", shift.words)
        console.print(shifts)
        console.print("Differs: CIEDE2000 (1 is just seen, 2 is plain side by side).")
    _print_notes(console, look.notes)


def print_in_other_light(console: Console, look: PotLook) -> None:
    """The dry cloth by each light, and how far it turns from how it looks by day."""
    table = plain_table("Dry, in other light", "", "Colour", "Turns", "It looks", right=("Turns",))
    for lit in look.lit:
        if lit.light != look.light:
            words = "as by day" if lit.words == "the same" else lit.words
            swatch = cloth_piece(lit.colour.hex, WIDE)
            table.add_row(str(seen_as(lit.light, "dry")), swatch, lit.colour.hex, f"{lit.delta_e:.1f}", words)
    console.print(table)
    console.print()


def print_match(console: Console, result: Matched) -> None:
    """The wanted colour, then each pot's: how far off it is and in which way, its mix, how to thin it."""
    under = "on this ground" if result.dyed_ground else "on undyed cloth"
    table = plain_table("", "", "Colour", "Name")
    table.add_row("wanted", *_colour_cells(result.wanted))
    table.add_row(under, *_colour_cells(result.ground))
    console.print(table)
    if result.light != DAYLIGHT:
        console.print(f"All as seen {seen_as(result.light, 'dry')}.")
    console.print()
    pots = plain_table("Pot", "Wanted", "Gives", "Off", "It is, and how to mix it", right=("Pot", "Off"))
    for number, recipe in enumerate(result.recipes, start=1):
        words = jobs.pot_words(recipe.pot)
        pots.add_row(
            str(number),
            cloth_piece(result.wanted.hex, NARROW),
            cloth_piece(recipe.colour.hex, NARROW),
            f"{recipe.delta_e:.1f}",
            f"{recipe.words}\n{words['recipe']}\nstrength {recipe.pot.strength:g}: {words['dilution']}",
        )
    console.print(pots)
    console.print("Off: CIEDE2000 left (1 is just seen, 2 is plain side by side).")
    console.print("Dye a sample before you trust it, and look at it in the light it will hang in.")
    _print_notes(console, result.notes)


def _colour_cells(colour: PotColour) -> tuple[Text, str, str]:
    return cloth_piece(colour.hex, WIDE), colour.hex, colour.name


def _print_notes(console: Console, notes: tuple[Message, ...]) -> None:
    if notes:
        console.print()
    for note in notes:
        console.print(str(note))
