"""What `orders` and `from-picture` print: orders with their reasons, dyeings, colours and what comes of them."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from rich.console import Console
from rich.text import Text

from batiksim.cli.report.tables import cloth_piece
from batiksim.texts.catalogue import say
from batiksim.texts.phrases import percent
from batiksim.values.colour_words import name_message

if TYPE_CHECKING:
    from batiksim.jobs import DesignFromPicture, Ordered


def print_orders(console: Console, ordered: Ordered) -> None:
    """The ranked orders, then the design as it stands where it isn't among them."""
    data = ordered.data()
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
    console.print()
    parts = {name: order[name] for name in ("rank", "sequence", "points") if name in order}
    console.print(str(say(title, **parts)), style="bold")
    _print_indented(console, order["reasons"])
    for want in order["wants"]:
        pieces = [cloth_piece(want["wanted"]), cloth_piece(want["hex"])]
        named = say("cli.orders.wanted", **{name: want[name] for name in ("called", "hex", "delta_e", "wanted")})
        console.print(Text.assemble("   ", *pieces, f" {named}"))


def _print_indented(console: Console, sentences: Iterable[object]) -> None:
    """Sentences in a row, indented; on a terminal in lines that are easy to read."""
    wide = max(40, min(console.width, 110)) if console.is_terminal else console.width
    for line in textwrap.wrap(" ".join(map(str, sentences)), wide - 3):
        console.print(f"   {line}")


def print_from_picture(console: Console, made: DesignFromPicture) -> None:
    """The plan, then its colours, then what else to know."""
    plan, report = made.plan, made.report
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
        _print_indented(console, (region.words, *region.impossible))
    console.print()
    console.print(str(say("cli.from_picture.miss", miss=report.miss)))
    for note in report.notes:
        console.print(str(note))
