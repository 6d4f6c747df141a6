"""The command that draws charts."""

from pathlib import Path
from typing import Any

import click

from batiksim import jobs
from batiksim.cli.options import PATH, cloth_option, codes, json_option, light_option, request
from batiksim.cli.report.report import print_data
from batiksim.errors import BatikError


@click.command()
@click.argument("kind", type=click.Choice(["ladders", "spectra", "colours"], case_sensitive=False))
@click.argument("source", metavar="DESIGN-or-BOOK")
@click.option("--out", type=PATH, help="The chart: a .png, .pdf, .svg or .json file.")
@click.option("--only", callback=codes, metavar="NAMES", help='Only these dyes or pots: "lemon, navy".')
@click.option("--pots", "use_pots", is_flag=True, help="Chart the pots of a design, not its dyes.")
@click.option("--strength", type=float, default=1.0, show_default=True, help="For spectra; 1 is full strength.")
@click.option("--table", type=PATH, help="Measured swatches (CSV) to lay on the ladders.")
@cloth_option
@light_option
@json_option
def chart(kind: str, source: str, out: Path | None, table: Path | None, as_json: bool, **options: Any) -> None:
    """Draw a chart for a lesson, of a design, a dye book or "demo".

    ladders: each dye from weak to strong. spectra: what each throws back of daylight. colours: where the colours of a
    DESIGN lie in the CIELAB plane, and how each came there, dye by dye.
    """
    if out is None and not as_json:
        raise BatikError("the chart needs a file to go to", field="--out", fix="write --out chart.png")
    drawn = jobs.draw_chart(kind, source, request(jobs.ChartRequest, options), measured=table or ())
    if out is not None:
        jobs.save_chart(drawn, out)
    if as_json:
        print_data(drawn.data)
        return
    click.echo(f"The chart is in {out}")
