"""What `orders` prints: each order with its pots, how near it comes to the wanted colours, and its reasons."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Any

from batiksim import jobs
from batiksim.cli.report.tables import cloth_piece
from batiksim.texts.catalogue import say

if TYPE_CHECKING:
    from rich.console import Console

    from batiksim.jobs import Ordered


def print_orders(console: Console, ordered: Ordered) -> None:
    """The ranked orders, then the design as it stands where it isn't among them."""
    data = jobs.orders_data(ordered)
    console.print(str(ordered.how))
    for order in data["orders"]:
        _print_order(console, order, "cli.orders.yours" if order["as_it_stands"] else "cli.orders.order")
    if not any(order["as_it_stands"] for order in data["orders"]):
        _print_order(console, data["planned"], "cli.orders.yours_unranked")
    console.print()
    if ordered.standing:
        console.print(str(ordered.standing))
    console.print(str(say("cli.orders.points")))
    for note in data["notes"]:
        console.print(note)
    if not data["planned"]["wants"]:
        console.print(str(say("cli.orders.want")), markup=False)


def _print_order(console: Console, order: dict[str, Any], title: str) -> None:
    """One order under the headline of that key."""
    from rich.text import Text

    console.print()
    parts = {name: order[name] for name in ("rank", "sequence", "points") if name in order}
    console.print(str(say(title, **parts)), style="bold")
    wide = max(40, min(console.width, 110)) - 3
    for line in textwrap.wrap(" ".join(order["reasons"]), wide):
        console.print(f"   {line}")
    for want in order["wants"]:
        pieces = [cloth_piece(want["wanted"]), cloth_piece(want["hex"])]
        named = say("cli.orders.wanted", **{name: want[name] for name in ("called", "hex", "delta_e", "wanted")})
        console.print(Text.assemble("   ", *pieces, f" {named}"))
