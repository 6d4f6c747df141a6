"""What `pot` and `match` print: swatches where the terminal shows colour, words and numbers everywhere."""

from collections.abc import Iterable

from rich.console import Console
from rich.text import Text

from batiksim import jobs
from batiksim.cli.report.tables import cloth_piece, plain_table, tenths
from batiksim.jobs import Matches, PotColour, PotOnCloth
from batiksim.texts.catalogue import say
from batiksim.values import DAYLIGHT
from batiksim.values.light_words import seen_as

WIDE, NARROW = 8, 6


def print_pot(console: Console, look: PotOnCloth) -> None:
    """The pot on cloth, dry and wet, and in its bowl; what makes it up; what one more of each dye does."""
    words = jobs.pot_words(look.pot)
    console.print(str(say("cli.pot.recipe", **words)), style="bold")
    _print_light(console, look.light)
    console.print()
    table = plain_table("", "", "colour", "name")
    for what, colour in (("undyed", look.cloth), ("dry", look.dry), ("wet", look.wet), ("solution", look.solution)):
        table.add_row(str(say(f"cli.pot.{what}")), *_colour_cells(colour))
    console.print(table)
    console.print(str(say("cli.pot.judge_dry")))
    console.print()
    print_in_other_light(console, look)
    amounts = [f"{jobs.amount_words(ml)} {what}" for what, ml in look.amounts]
    console.print(str(say("cli.pot.amounts", volume=jobs.amount_words(look.volume_ml), amounts=", ".join(amounts))))
    console.print(str(say("cli.pot.full_strength")))
    if look.shifts:
        console.print()
        shifts = plain_table("one_more", "", "colour", "differs", "gets", right=("differs",))
        for shift in look.shifts:
            swatch = cloth_piece(shift.colour.hex, WIDE)
            more = str(say(f"sheets.pot.one_more.{shift.by}", dye=shift.dye))
            shifts.add_row(more, swatch, shift.colour.hex, tenths(shift.delta_e), str(shift.words))
        console.print(shifts)
        console.print(str(say("cli.pot.differs")))
    _print_notes(console, look.notes)


def print_in_other_light(console: Console, look: PotOnCloth) -> None:
    """The dry cloth by each light, and how far it turns from how it looks by day."""
    table = plain_table("other_light", "", "colour", "turns", "looks", right=("turns",))
    for lit in look.lit:
        if lit.light != look.light:
            swatch = cloth_piece(lit.colour.hex, WIDE)
            seen = str(seen_as(lit.light, "dry"))
            table.add_row(seen, swatch, lit.colour.hex, tenths(lit.delta_e), str(lit.words))
    console.print(table)
    console.print()


def print_match(console: Console, result: Matches) -> None:
    """The wanted colour, then each pot's: how far off it is and in which way, its mix, how to thin it."""
    under = say("cli.match.ground" if result.dyed_ground else "cli.match.undyed")
    table = plain_table("", "", "colour", "name")
    table.add_row(str(say("cli.match.wanted")), *_colour_cells(result.wanted))
    table.add_row(str(under), *_colour_cells(result.ground))
    console.print(table)
    _print_light(console, result.light)
    console.print()
    pots = plain_table("pot", "wanted", "gives", "off", "mix", right=("pot", "off"))
    for number, recipe in enumerate(result.recipes, start=1):
        words = jobs.pot_words(recipe.pot)
        pots.add_row(
            str(number),
            cloth_piece(result.wanted.hex, NARROW),
            cloth_piece(recipe.colour.hex, NARROW),
            tenths(recipe.delta_e),
            str(say("cli.match.mix", words=recipe.words, strength=recipe.pot.strength, **words)),
        )
    console.print(pots)
    console.print(str(say("cli.match.off")))
    console.print(str(say("cli.match.sample")))
    _print_notes(console, result.notes)


def _colour_cells(colour: PotColour) -> tuple[Text, str, str]:
    return cloth_piece(colour.hex, WIDE), colour.hex, str(colour.shown)


def _print_light(console: Console, light: str) -> None:
    if light != DAYLIGHT:
        console.print(str(say("cli.pot.light", seen=seen_as(light, "dry"))))


def _print_notes(console: Console, notes: Iterable[object]) -> None:
    for number, note in enumerate(notes):
        console.print(f"{note}" if number else f"\n{note}")
