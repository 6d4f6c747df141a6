"""Commands about dyes and pots: overdye, pot, match."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from batiksim import jobs
from batiksim.cli.options import PATH, book_option, cloth_option, codes, json_option, light_option, request, wet_option
from batiksim.cli.report.report import print_data, terminal
from batiksim.errors import BatikError

if TYPE_CHECKING:
    from batiksim.types import Look


@click.command(short_help="Chart every dye over every dye, mud marked.")
@click.argument("source", metavar="DESIGN-or-BOOK")
@click.option("--out", type=PATH, help="The chart: a .png, .pdf, .csv or .json file.")
@click.option("--strength", type=float, default=1.0, show_default=True, help="Of the dye on top; 1 is full strength.")
@click.option("--under", type=float, help="Strength of the dye beneath; the same when left out.")
@click.option("--only", callback=codes, metavar="NAMES", help='Only these dyes or pots: "lemon, navy".')
@click.option("--pots", "use_pots", is_flag=True, help="Chart the pots of a design, as mixed, not its dyes.")
@cloth_option
@light_option
@wet_option
@json_option
def overdye(source: str, out: Path | None, under: float | None, look: Look, as_json: bool, **options: Any) -> None:
    """Chart every dye over every dye of a design, a dye book or "demo", and mark what turns to mud."""
    if out is None and not as_json:
        raise BatikError("the chart needs a file to go to", field="--out", fix="write --out chart.png")
    chart = jobs.overdye_chart(source, request(jobs.ChartRequest, options), under=under, look=look)
    if out is not None:
        jobs.save_overdye(chart, out, source=source)
    if as_json:
        print_data(jobs.overdye_data(chart))
        return
    many = len(chart.dyes)
    if many == 1:
        click.echo(f"One {chart.what} over itself, in {out}")
    else:
        click.echo(f"{many**2} overdyes of {many} {chart.what}s, {chart.muddy} of them mud, in {out}")
    for note in chart.notes:
        click.echo(note)


@click.command(short_help="Show what a pot dyes, dry and wet.")
@click.argument("recipe")
@click.option("--strength", type=float, help="1 is full strength, as when left out; 0.5 is half water.")
@click.option("--ml", type=float, help="How much the pot holds, before drops.")
@light_option
@book_option
@cloth_option
@click.option("--out", type=PATH, help="Also draw it as dyed cloth, into this .png file.")
@json_option
def pot(recipe: str, book: str, out: Path | None, as_json: bool, **options: Any) -> None:
    """Show what a pot dyes: RECIPE in parts, such as "lemon=5, turquoise=1, navy=3 drops".

    You see it dry and wet on cloth, in the pot and in other light, and how one part more of each dye shifts it.
    """
    look = jobs.look_at_pot(recipe, source=book, **options)
    if out is not None:
        jobs.save_pot(look, out, source=book)
    if as_json:
        print_data(jobs.pot_data(look))
        return
    from batiksim.cli.report.pots import print_pot

    print_pot(terminal(), look)
    if out is not None:
        click.echo(f"Drawn in {out}")


@click.command("match", short_help="Find the pots nearest to a colour.")
@click.argument("colour")
@click.option(
    "--dyes", "most_dyes", type=int, default=3, show_default=True, help="At most so many dyes in a pot (1-4)."
)
@click.option("--parts", "most_parts", type=int, default=8, show_default=True, help="At most so many parts of each.")
@click.option("--ground", help='What is on the cloth already: a pot such as "lemon=1", or a colour.')
@click.option("--pots", "count", type=click.IntRange(1, 20), default=5, show_default=True, help="How many to show.")
@light_option
@book_option
@cloth_option
@click.option("--out", type=PATH, help="Also draw them as dyed cloth, into this .png file.")
@json_option
def match_command(colour: str, book: str, cloth: str | None, out: Path | None, as_json: bool, **options: Any) -> None:
    """Find the pot nearest to COLOUR: "#c05f7a", or a name such as "deep yellowish pink".

    COLOUR may also be a dye, a pot or parts such as "lemon=5, turquoise=1", to see what else would dye the same.
    """
    found = jobs.match_colour(colour, request(jobs.MatchRequest, options), source=book, cloth=cloth)
    if out is not None:
        jobs.save_match(found, out, source=book)
    if as_json:
        print_data(jobs.match_data(found))
        return
    from batiksim.cli.report.pots import print_match

    print_match(terminal(), found)
    if out is not None:
        click.echo(f"Drawn in {out}")
