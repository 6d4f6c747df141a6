"""What `from-picture` prints: the dyeings in order, each colour of the picture and what comes of it."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from batiksim.cli.report.tables import cloth_piece
from batiksim.texts.catalogue import say
from batiksim.texts.phrases import percent
from batiksim.values.colour_words import name_message

if TYPE_CHECKING:
    from rich.console import Console

    from batiksim.jobs import DesignFromPicture


def print_from_picture(console: Console, made: DesignFromPicture) -> None:
    """The plan, then its colours, then what else to know."""
    from rich.text import Text

    plan, report = made.plan, made.report
    wide = max(40, min(console.width, 110))
    for at, (named, colours) in enumerate(zip(made.names, made.colours, strict=True)):
        share = percent(float(plan.wax[at].mean()) / 255)
        pots = [Text.assemble(cloth_piece(colour), f" {name}") for name, colour in zip(named, colours, strict=True)]
        what = ("wax_and_" if plan.waxed[at] else "") + ("brush" if len(named) > 1 else "dye")
        dyeing = say(f"cli.from_picture.{what}", number=at + 1, share=share)
        console.print(Text.assemble(f"{dyeing} ", Text(",  ").join(pots)))
    console.print()
    for region in report.regions:
        pieces = [cloth_piece(region.target), cloth_piece(region.reachable)]
        share = percent(region.share, whole=True)
        title = say(
            "cli.from_picture.region", name=name_message(region.name), share=share, difference=region.difference
        )
        console.print(Text.assemble(*pieces, f" {title}"), style="bold")
        words = " ".join(map(str, (region.words, *region.impossible)))
        for line in textwrap.wrap(words, wide - 3):
            console.print(f"   {line}")
    console.print()
    console.print(str(say("cli.from_picture.miss", miss=report.miss)))
    for note in report.notes:
        console.print(str(note))
