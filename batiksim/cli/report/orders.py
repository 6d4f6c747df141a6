"""What `orders` prints: each order with its pots, what became of the wants, and why it stands where it does."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from batiksim.cli.report.tables import cloth_piece
from batiksim.orders.design_of_order import is_planned
from batiksim.orders.reasons import reasons
from batiksim.orders.report import how_words, met_wants, sequence_words, standing_words

if TYPE_CHECKING:
    from rich.console import Console

    from batiksim.jobs import Ordered
    from batiksim.orders import Orders, Ranked

__all__ = ["print_orders"]


def print_orders(console: Console, ordered: Ordered) -> None:
    """The ranked orders, then the design as it stands where it isn't among them."""
    found = ordered.found
    console.print(how_words(found))
    for ranked in found.ranked:
        stands = " As it stands:" if is_planned(found, ranked) else ""
        _print_order(console, found, ranked, f"{ranked.rank}.{stands}")
    if not any(is_planned(found, ranked) for ranked in found.ranked):
        _print_order(console, found, found.planned, "As it stands:")
    console.print()
    if standing := standing_words(found):
        console.print(standing)
    console.print(
        "Points: 1 for each CIEDE2000 that wanted colours are off on average, and more for what else troubles."
    )
    for note in found.notes:
        console.print(note)
    if not found.targets:
        told = "To ask for a colour, write [[want]] in the design: colour, and at = [x, y] in mm or where = a picture."
        console.print(told, markup=False)


def _print_order(console: Console, orders: Orders, ranked: Ranked, title: str) -> None:
    from rich.text import Text

    console.print()
    console.print(f"{title} {sequence_words(orders, ranked)}  ({ranked.found.points:.1f} points)", style="bold")
    wide = max(40, min(console.width, 110)) - 3
    for line in textwrap.wrap(" ".join(reasons(orders, ranked)), wide):
        console.print(f"   {line}")
    for one in met_wants(orders, ranked):
        pieces = [cloth_piece(one.wanted_hex), cloth_piece(one.hex)]
        named = f" {one.called}: {one.hex}, {one.delta_e:.1f} from {one.wanted_hex}"
        console.print(Text("   ").join([Text(""), Text.assemble(*pieces, named)]))
