"""Commands that plan: from-picture, orders, workshop."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from batiksim import jobs
from batiksim.cli.options import (
    PATH,
    between,
    cloth_option,
    design_argument,
    designs_argument,
    dyes_option,
    json_option,
)
from batiksim.cli.report.report import print_assumed, print_data, progress_line, tell, terminal
from batiksim.cli.several import each_design, file_for
from batiksim.cli.words import NUMBER, WHOLE, Choice, Command, Number
from batiksim.texts.catalogue import say


def _derive(_: click.Context, __: click.Parameter, masks: str) -> bool:
    return masks == "derive"


@click.command("orders", cls=Command)
@design_argument
@click.option("--choose", callback=between, metavar="range")
@click.option("--book")
@click.option("--best", type=Number(int, 1, 12), default=5, show_default=True)
@click.option("--tune", is_flag=True)
@click.option("--masks", "derive", type=Choice(["keep", "derive"]), default="keep", show_default=True, callback=_derive)
@click.option("--out", type=PATH)
@click.option("--write", "write_to", type=PATH)
@click.option("--rank", type=WHOLE, default=1, show_default=True)
@json_option
def orders_command(design: Path, out: Path | None, as_json: bool, **options: Any) -> None:
    """Rank every order of the pots of DESIGN, or every choice from a dye book.

    What counts: the colours you want ([[want]] in the design), clear colours, areas that read, pale to strong, few
    pots.
    """
    write_to, rank = options.pop("write_to"), options.pop("rank")
    with progress_line(not as_json) as progress:
        ordered = jobs.orders(design, progress=progress, **options)
    done = []
    if out is not None:
        done.append(say("cli.orders.saved", names=ordered.save(out), folder=out))
    if write_to is not None:
        ordered.write(write_to, rank=rank)
        done.append(say("cli.orders.written", rank=rank, folder=write_to, out=write_to / "preview"))
    if as_json:
        print_data(ordered.data())
        return
    from batiksim.cli.report.plans import print_orders

    print_orders(terminal(), ordered)
    for said in done:
        tell(said)


@click.command(cls=Command)
@designs_argument
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
def workshop(designs: tuple[Path, ...], out: Path | None, as_json: bool, **options: Any) -> None:
    """Plan a class that makes each DESIGN: what to buy and mix, how much of it, and when."""
    if out is not None:
        jobs.output_ending(out, jobs.SHEET_ENDINGS)  # refused before the work begins

    def work(design: Path) -> jobs.PlannedWorkshop:
        with progress_line(not as_json) as progress:
            planned = jobs.workshop(design, progress=progress, **options)
        if (file := file_for(out, design, designs)) is not None:
            planned.save(file)
        return planned

    def show(design: Path, planned: jobs.PlannedWorkshop) -> None:
        print_assumed(planned.assumed)
        if (file := file_for(out, design, designs)) is not None:
            tell(say("cli.workshop.saved", file=file))
        else:
            tell(planned.text(), nl=False)

    each_design(designs, work, show=show, as_json=as_json)


@click.command("from-picture", cls=Command)
@click.argument("picture", type=PATH)
@click.option("--out", required=True, type=PATH)
@click.option("--steps", type=WHOLE, default=4, show_default=True)
@click.option("--pots", type=WHOLE, default=2, show_default=True)
@click.option("--width", "width_mm", type=NUMBER, default=450.0, show_default=True)
@click.option("--line", "line_mm", type=NUMBER, default=1.5, show_default=True)
@dyes_option
@cloth_option
@click.option("--where", metavar="dyeings")
@click.option("--title")
@json_option
def from_picture_command(picture: Path, out: Path, as_json: bool, **options: Any) -> None:
    """Turn PICTURE, a colour sketch, painting or photo, into a design with its dyes, their order and wax masks.

    The design previews and checks like any other. What the cloth can't give is told, and why.
    """
    with progress_line(not as_json) as progress:
        made = jobs.from_picture(picture, out=out, progress=progress, **options)
    names = made.save(out)
    if as_json:
        print_data(made.data())
        return
    from batiksim.cli.report.plans import print_from_picture

    print_from_picture(terminal(), made)
    tell(say("cli.saved", count=len(names), folder=out))
    tell(say("cli.see_it", design=out, out=out / "preview"))
