"""What `pot` and `match` print: swatches where the terminal shows colour, words and numbers everywhere."""

from __future__ import annotations

from typing import TYPE_CHECKING

from batiksim.cli.report.tables import cloth_piece, plain_table
from batiksim.colour.viewing import DAY
from batiksim.dyes.recipes import amount_words, dilution_words, recipe_words
from batiksim.texts.lights import seen_as

if TYPE_CHECKING:
    from rich.console import Console
    from rich.text import Text

    from batiksim.dyes.match_report import Matched
    from batiksim.dyes.pot_colour import PotColour, PotLook

__all__ = ["print_match", "print_pot"]

WIDE, NARROW = 8, 6


def print_pot(console: Console, look: PotLook) -> None:
    """The pot on cloth, dry and wet, and in its bowl; what makes it up; what one more of each dye does."""
    console.print(f"{recipe_words(look.pot)}; {dilution_words(look.pot)}", style="bold")
    if look.light != DAY:
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
    console.print(
        "For "
        + amount_words(look.volume_ml)
        + ": "
        + ", ".join(f"{amount_words(ml)} {what}" for what, ml in look.amounts)
    )
    console.print("Each dye at full strength, ready to brush: half its stock, half chemical water.")
    if look.shifts:
        console.print()
        shifts = plain_table("One more", "", "Colour", "Differs", "It gets", right=("Differs",))
        for one in look.shifts:
            swatch = cloth_piece(one.colour.hex, WIDE)
            shifts.add_row(f"{one.by} {one.dye}", swatch, one.colour.hex, f"{one.delta_e:.1f}", one.words)
        console.print(shifts)
        console.print("Differs: CIEDE2000 (1 is just seen, 2 is plain side by side).")
    _print_notes(console, look.notes)


def print_in_other_light(console: Console, look: PotLook) -> None:
    """The dry cloth by each light, and how far it turns from how it looks by day."""
    table = plain_table("Dry, in other light", "", "Colour", "Turns", "It looks", right=("Turns",))
    for one in look.lit:
        if one.light != look.light:
            words = "as by day" if one.words == "the same" else one.words
            swatch = cloth_piece(one.colour.hex, WIDE)
            table.add_row(seen_as(one.light, "dry"), swatch, one.colour.hex, f"{one.delta_e:.1f}", words)
    console.print(table)
    console.print()


def print_match(console: Console, result: Matched) -> None:
    """The wanted colour, then each pot's: how far off it is and in which way, its mix, how to thin it."""
    under = "on this ground" if result.dyed_ground else "on undyed cloth"
    table = plain_table("", "", "Colour", "Name")
    table.add_row("wanted", *_colour_cells(result.wanted))
    table.add_row(under, *_colour_cells(result.ground))
    console.print(table)
    if result.light != DAY:
        console.print(f"All as seen {seen_as(result.light, 'dry')}.")
    console.print()
    pots = plain_table("Pot", "Wanted", "Gives", "Off", "It is, and how to mix it", right=("Pot", "Off"))
    for number, one in enumerate(result.recipes, start=1):
        pots.add_row(
            str(number),
            cloth_piece(result.wanted.hex, NARROW),
            cloth_piece(one.colour.hex, NARROW),
            f"{one.delta_e:.1f}",
            f"{one.words}\n{recipe_words(one.pot)}\nstrength {one.pot.strength:g}: {dilution_words(one.pot)}",
        )
    console.print(pots)
    console.print("Off: CIEDE2000 left (1 is just seen, 2 is plain side by side).")
    console.print("Dye a sample before you trust it, and look at it in the light it will hang in.")
    _print_notes(console, result.notes)


def _colour_cells(colour: PotColour) -> tuple[Text, str, str]:
    return cloth_piece(colour.hex, WIDE), colour.hex, colour.name


def _print_notes(console: Console, notes: tuple[str, ...]) -> None:
    if notes:
        console.print()
    for note in notes:
        console.print(note)
