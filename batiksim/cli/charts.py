"""The command that draws charts."""

from pathlib import Path
from typing import Any

import click

from batiksim import jobs
from batiksim.cli.options import PATH, cloth_option, codes, json_option, light_option, request
from batiksim.cli.report.report import print_data
from batiksim.cli.words import NUMBER, Choice, Command
from batiksim.errors import BatikError
from batiksim.texts.catalogue import say


@click.command(cls=Command)
@click.argument("kind", type=Choice(["ladders", "spectra", "colours"]))
@click.argument("source", metavar="design_or_book")
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
        raise BatikError("cli.error.chart_without_out", field="--out")
    drawn = jobs.draw_chart(kind, source, request(jobs.ChartRequest, options), measured=table or ())
    if out is not None:
        jobs.save_chart(drawn, out)
    if as_json:
        print_data(drawn.data)
        return
    click.echo(say("cli.chart.saved", file=out))
