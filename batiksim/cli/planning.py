"""Commands that plan: orders, workshop."""

from pathlib import Path
from typing import Any

import click

from batiksim import jobs
from batiksim.cli.options import PATH, between, design_argument, json_option, request
from batiksim.cli.report.report import print_assumed, print_data, progress_line, terminal
from batiksim.cli.words import NUMBER, WHOLE, Choice, Command, Whole
from batiksim.texts.catalogue import say


@click.command("orders", cls=Command)
@design_argument
@click.option("--choose", callback=between, metavar="range")
@click.option("--book")
@click.option("--best", type=Whole(1, 12), default=5, show_default=True)
@click.option("--tune", is_flag=True)
@click.option("--masks", type=Choice(["keep", "derive"]), default="keep", show_default=True)
@click.option("--out", type=PATH)
@click.option("--write", "write_to", type=PATH)
@click.option("--rank", type=WHOLE, default=1, show_default=True)
@json_option
def orders_command(design: Path, masks: str, out: Path | None, as_json: bool, **options: Any) -> None:
    """Rank every order of the pots of DESIGN, or every choice from a dye book.

    What counts: the colours you want ([[want]] in the design), clear colours, areas that read, pale to strong, few
    pots.
    """
    write_to, rank = options.pop("write_to"), options.pop("rank")
    with progress_line(not as_json) as progress:
        ordered = jobs.rank_orders(design, derive=masks == "derive", progress=progress, **options)
    done = jobs.keep_orders(ordered, out=out, write_to=write_to, rank=rank)
    if as_json:
        print_data(jobs.orders_data(ordered))
        return
    from batiksim.cli.report.orders import print_orders

    print_orders(terminal(), ordered)
    for said in done:
        click.echo(said)


@click.command(cls=Command)
@design_argument
@click.option("--makers", type=WHOLE, default=1, show_default=True)
@click.option("--room", "room_c", type=NUMBER, default=20.0, show_default=True)
@click.option("--sessions", default="", metavar="times")
@click.option("--measures", type=Choice(["metric", "us", "imperial", "all"]), default="metric", show_default=True)
@click.option("--presoak", is_flag=True)
@click.option("--hard-water", is_flag=True)
@click.option("--waste", type=NUMBER)
@click.option("--prices", type=PATH)
@click.option("--out", type=PATH)
@json_option
def workshop(design: Path, measures: str, prices: Path | None, out: Path | None, as_json: bool, **options: Any) -> None:
    """Plan a class that makes DESIGN: what to buy and mix, how much of it, and when."""
    with progress_line(not as_json) as progress:
        asked = request(jobs.WorkshopRequest, options)
        planned = jobs.plan_workshop(design, asked, measures=measures, prices=prices, progress=progress)
    if out is not None:
        jobs.save_workshop(planned, out)
    if as_json:
        print_data(jobs.workshop_data(planned))
        return
    print_assumed(planned.assumed)
    click.echo(jobs.workshop_text(planned) if out is None else say("cli.workshop.saved", file=out), nl=out is not None)
