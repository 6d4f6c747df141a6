"""Commands about dyes and pots: overdye, pot, match, chart."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from batiksim import jobs
from batiksim.cli.options import (
    PATH,
    book_or_design,
    cloth_option,
    codes,
    dyes_option,
    json_option,
    light_option,
    wet_option,
)
from batiksim.cli.report.report import print_data, tell, terminal
from batiksim.cli.words import NUMBER, WHOLE, Choice, Command, Number
from batiksim.errors import BatikError
from batiksim.texts.catalogue import say


@click.command(cls=Command)
@book_or_design("dyes")
@click.option("--out", type=PATH)
@click.option("--strength", type=NUMBER, default=1.0, show_default=True)
@click.option("--under", type=NUMBER)
@click.option("--only", callback=codes, metavar="names")
@click.option("--pots", "use_pots", is_flag=True)
@cloth_option
@light_option
@wet_option
@json_option
def overdye(dyes: str, out: Path | None, as_json: bool, **options: Any) -> None:
    """Chart every dye over every dye of a design, a dye book or "demo", and mark what turns to mud."""
    if out is None and not as_json:
        raise BatikError("cli.error.chart_without_out", field="out")
    chart = jobs.overdye(dyes, **options)
    if out is not None:
        chart.save(out)
    if as_json:
        print_data(chart.data())
        return
    tell(say(f"cli.overdye.{chart.what}s", count=len(chart.dyes), file=out))
    if len(chart.dyes) > 1:
        tell(say("cli.overdye.mud", count=chart.muddy) if chart.muddy else say("cli.overdye.no_mud"))
    for note in chart.notes:
        tell(note)


@click.command(cls=Command)
@click.argument("recipe")
@click.option("--strength", type=NUMBER)
@click.option("--ml", type=NUMBER)
@light_option
@dyes_option
@cloth_option
@click.option("--out", type=PATH)
@json_option
def pot(recipe: str, out: Path | None, as_json: bool, **options: Any) -> None:
    """Show what a pot dyes: RECIPE in parts, such as "lemon=5, turquoise=1, navy=3 drops".

    You see it dry and wet on cloth, in the pot and in other light, and how one part more of each dye shifts it.
    """
    look = jobs.pot(recipe, **options)
    if out is not None:
        look.save(out)
    if as_json:
        print_data(look.data())
        return
    from batiksim.cli.report.pots import print_pot

    print_pot(terminal(), look)
    if out is not None:
        tell(say("cli.drawn", file=out))


@click.command("match", cls=Command)
@click.argument("colour")
@click.option("--dyes", "most_dyes", type=WHOLE, default=3, show_default=True)
@click.option("--parts", "most_parts", type=WHOLE, default=8, show_default=True)
@click.option("--ground")
@click.option("--pots", "count", type=Number(int, 1, 20), default=5, show_default=True)
@light_option
@dyes_option
@cloth_option
@click.option("--out", type=PATH)
@json_option
def match_command(colour: str, out: Path | None, as_json: bool, **options: Any) -> None:
    """Find the pot nearest to COLOUR: "#c05f7a", or a name such as "deep yellowish pink".

    COLOUR may also be a dye, a pot or parts such as "lemon=5, turquoise=1", to see what else would dye the same.
    """
    found = jobs.match(colour, **options)
    if out is not None:
        found.save(out)
    if as_json:
        print_data(found.data())
        return
    from batiksim.cli.report.pots import print_match

    print_match(terminal(), found)
    if out is not None:
        tell(say("cli.drawn", file=out))


@click.command(cls=Command)
@click.argument("kind", type=Choice(["ladders", "spectra", "colours"]))
@book_or_design("source")
@click.option("--out", type=PATH)
@click.option("--only", callback=codes, metavar="names")
@click.option("--pots", "use_pots", is_flag=True)
@click.option("--strength", type=NUMBER, default=1.0, show_default=True)
@click.option("--table", type=PATH)
@cloth_option
@light_option
@json_option
def chart(kind: str, source: str, out: Path | None, table: Path | None, as_json: bool, **options: Any) -> None:
    """Draw a chart for a lesson, of a design, a dye book or "demo".

    ladders: each dye from weak to strong. spectra: what each throws back of daylight. colours: where the colours of a
    DESIGN lie in the CIELAB plane, and how each came there, dye by dye.
    """
    if out is None and not as_json:
        raise BatikError("cli.error.chart_without_out", field="out")
    drawn = jobs.chart(kind, source, measured=table or (), **options)
    if out is not None:
        drawn.save(out)
    if as_json:
        print_data(drawn.data())
        return
    tell(say("cli.chart.saved", file=out))
