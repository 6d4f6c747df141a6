"""Commands that plan: orders, workshop."""

from pathlib import Path
from typing import Any

import click

from batiksim import jobs
from batiksim.cli.options import PATH, between, design_argument, json_option, request
from batiksim.cli.report.report import print_assumed, print_data, progress_line, terminal


@click.command("orders", short_help="Rank every order of the pots of DESIGN.")
@design_argument
@click.option("--choose", callback=between, metavar="N or N-N", help="Try every choice of so many pots: 3, or 2-5.")
@click.option("--book", help="Dye book to choose from, instead of the design's own pots; demo is built in.")
@click.option("--best", type=click.IntRange(1, 12), default=5, show_default=True, help="How many to show.")
@click.option("--tune", is_flag=True, help="Also thin or strengthen pots where that helps.")
@click.option(
    "--masks",
    type=click.Choice(["keep", "derive"]),
    default="keep",
    show_default=True,
    help="Keep the wax as drawn, or find anew what to wax before which dyeing.",
)
@click.option("--out", type=PATH, help="Folder for orders.png, a sheet of previews, and its data.")
@click.option("--write", "write_to", type=PATH, help="Write an order as a design into a new folder.")
@click.option("--rank", type=int, default=1, show_default=True, help="Which order to write.")
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


@click.command(short_help="Plan a class: what to buy and mix, how much, and when.")
@design_argument
@click.option("--makers", type=int, default=1, show_default=True, help="How many make this cloth.")
@click.option("--room", "room_c", type=float, default=20.0, show_default=True, help="Room temperature in °C.")
@click.option(
    "--sessions", default="", metavar="TEXT", help='How long you have: "2x2h", "two evenings of 2 hours", "3h + 90min".'
)
@click.option(
    "--measures",
    type=click.Choice(["metric", "us", "imperial", "all"], case_sensitive=False),
    default="metric",
    show_default=True,
    help="Kitchen measures to show beside metric ones.",
)
@click.option("--presoak", is_flag=True, help="Soak the cloth in fixative first; none goes into the pots then.")
@click.option("--hard-water", is_flag=True, help="Your water is hard: softener goes in.")
@click.option("--waste", type=float, help="Share on top of every amount; 0.15 when left out.")
@click.option("--prices", type=PATH, help="Price list (.toml), to reckon the cost.")
@click.option(
    "--out", type=PATH, help="Write the sheet to this .pdf, .txt or .md file, or its timetable's chart to a .png."
)
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
    print_assumed(list(planned.assumed))
    click.echo(f"The sheet is in {out}" if out is not None else jobs.workshop_text(planned), nl=out is not None)
