"""What `orders` prints: each order with its pots, what became of the wants, and why it stands where it does."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Any

from batiksim import jobs
from batiksim.cli.report.tables import cloth_piece

if TYPE_CHECKING:
    from rich.console import Console

    from batiksim.jobs import Ordered


def print_orders(console: Console, ordered: Ordered) -> None:
    """The ranked orders, then the design as it stands where it isn't among them."""
    data = jobs.orders_data(ordered)
    console.print(str(ordered.how))
    for order in data["orders"]:
        stands = " As it stands:" if order["as_it_stands"] else ""
        _print_order(console, order, f"{order['rank']}.{stands}")
    if not any(order["as_it_stands"] for order in data["orders"]):
        _print_order(console, data["planned"], "As it stands:")
    console.print()
    if ordered.standing:
        console.print(str(ordered.standing))
    console.print(
        "Points: 1 for each CIEDE2000 that wanted colours are off on average, and more for what else troubles."
    )
    for note in data["notes"]:
        console.print(note)
    if not data["planned"]["wants"]:
        hint = "To ask for a colour, write [[want]] in the design: colour, and at = [x, y] in mm or where = a picture."
        console.print(hint, markup=False)


def _print_order(console: Console, order: dict[str, Any], title: str) -> None:
    from rich.text import Text

    console.print()
    console.print(f"{title} {order['sequence']}  ({order['points']:.1f} points)", style="bold")
    wide = max(40, min(console.width, 110)) - 3
    for line in textwrap.wrap(" ".join(order["reasons"]), wide):
        console.print(f"   {line}")
    for want in order["wants"]:
        pieces = [cloth_piece(want["wanted"]), cloth_piece(want["hex"])]
        named = f" {want['called']}: {want['hex']}, {want['delta_e']:.1f} from {want['wanted']}"
        console.print(Text("   ").join([Text(""), Text.assemble(*pieces, named)]))
