"""What `from-picture` prints: the dyeings in order, each colour of the picture and what comes of it."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from batiksim.cli.report.tables import cloth_piece
from batiksim.texts.phrases import percent

if TYPE_CHECKING:
    from rich.console import Console

    from batiksim.jobs import DesignFromPicture


def print_from_picture(console: Console, made: DesignFromPicture) -> None:
    """The plan, then its colours, then what else to know."""
    from rich.text import Text

    plan, report = made.plan, made.report
    wide = max(40, min(console.width, 110))
    for at, (named, colours) in enumerate(zip(made.names, made.colours, strict=True)):
        wax = f"wax {percent(float(plan.wax[at].mean()) / 255)} of the cloth, then " if plan.waxed[at] else ""
        pots = [Text.assemble(cloth_piece(colour), f" {name}") for name, colour in zip(named, colours, strict=True)]
        verb = "brush side by side " if len(named) > 1 else "dye "
        console.print(Text.assemble(f"{at + 1}. {wax}{verb}", Text(",  ").join(pots)))
    console.print()
    for region in report.regions:
        pieces = [cloth_piece(region.target), cloth_piece(region.reachable)]
        console.print(
            Text.assemble(*pieces, f" {region.name}, {percent(region.share, whole=True)}: {region.difference:.1f} off"),
            style="bold",
        )
        for line in textwrap.wrap(" ".join(map(str, (region.words, *region.impossible))), wide - 3):
            console.print(f"   {line}")
    console.print()
    console.print(
        f"Spot by spot the cloth is {report.miss:.1f} off the picture on average (CIEDE2000; 1 is just seen)."
    )
    for note in report.notes:
        console.print(str(note))
