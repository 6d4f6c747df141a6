"""What `separate` prints: the dyeings in order, each colour of the picture and what comes of it."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from batiksim.cli.report.tables import cloth_piece
from batiksim.texts.phrases import percent

if TYPE_CHECKING:
    from rich.console import Console

    from batiksim.jobs import Separated

__all__ = ["print_separation"]


def print_separation(console: Console, separated: Separated) -> None:
    """The plan, then its colours, then what else to know."""
    from rich.text import Text

    found, told = separated.found, separated.told
    wide = max(40, min(console.width, 110))
    for at, (named, colours) in enumerate(zip(separated.names, separated.colours, strict=True)):
        wax = f"wax {percent(float(found.wax[at].mean()) / 255)} of the cloth, then " if found.waxed[at] else ""
        pots = [Text.assemble(cloth_piece(colour), f" {name}") for name, colour in zip(named, colours, strict=True)]
        verb = "brush side by side " if len(named) > 1 else "dye "
        console.print(Text.assemble(f"{at + 1}. {wax}{verb}", Text(",  ").join(pots)))
    console.print()
    for one in told.regions:
        pieces = [cloth_piece(one.wanted), cloth_piece(one.reachable)]
        console.print(
            Text.assemble(*pieces, f" {one.name}, {percent(one.share, whole=True)}: {one.difference:.1f} off"),
            style="bold",
        )
        for line in textwrap.wrap(" ".join(filter(None, (one.words, one.impossible))), wide - 3):
            console.print(f"   {line}")
    console.print()
    console.print(f"Spot by spot the cloth is {told.miss:.1f} off the picture on average (CIEDE2000; 1 is just seen).")
    for note in told.notes:
        console.print(note)
