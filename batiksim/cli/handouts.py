"""Commands that print what a tutor hands out: handout, risk."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import click

from batiksim import jobs
from batiksim.cli.options import PATH, codes, design_argument, language_option, paper_option, request
from batiksim.cli.report.report import print_assumed, progress_line

_makers_option = click.option("--makers", type=int, default=1, show_default=True, help="How many make this cloth.")
_presoak_option = click.option("--presoak", is_flag=True, help="The cloth is soaked in fixative first.")


def _requests(options: Mapping[str, Any]) -> dict[str, Any]:
    """What is chosen of the pages, and the class that they are for."""
    return {"options": request(jobs.HandoutOptions, options), "workshop": request(jobs.WorkshopRequest, options)}


@click.command(short_help="Print DESIGN for a class, step by step.")
@design_argument
@click.option("--out", type=PATH, default="handout.pdf", show_default=True, help="The .pdf to write.")
@paper_option
@click.option(
    "--sections",
    callback=codes,
    metavar="NAMES",
    help="Only these parts: cover, steps, chart, amounts, timetable, glossary.",
)
@click.option("--one-page", is_flag=True, help="Everything in short on a single page.")
@click.option("--learner", is_flag=True, help="Plates as outlines to colour in, with room for notes.")
@_makers_option
@click.option("--room", "room_c", type=float, default=20.0, show_default=True, help="Room temperature in °C.")
@click.option("--sessions", default="", metavar="TEXT", help='How long you have: "2x2h", "3h + 90min".')
@_presoak_option
@language_option
def handout(design: Path, out: Path, **options: Any) -> None:
    """Print DESIGN for a class: every step with its plate, what to do, pots, colours, amounts and time.

    Your name and notes come from the design: maker and note, and note in any step.
    """
    with progress_line(True) as progress:
        printed = jobs.save_handout(design, out, progress=progress, **_requests(options))
    print_assumed(list(printed.assumed))
    click.echo(f"The handout is in {printed.file}")


@click.command(short_help="Print the risk sheet of a class, to complete.")
@design_argument
@click.option("--out", type=PATH, default="risk-sheet.pdf", show_default=True, help="The .pdf to write.")
@paper_option
@_makers_option
@_presoak_option
@language_option
def risk(design: Path, out: Path, **options: Any) -> None:
    """Print the risk sheet of a class that makes DESIGN, for the tutor to complete.

    Hazards, whom they may hurt, precautions, what to do if. Labels, local rules and qualified advice come first.
    """
    with progress_line(True) as progress:
        printed = jobs.save_risk(design, out, progress=progress, **_requests(options))
    print_assumed(list(printed.assumed))
    click.echo(f"The risk sheet is in {printed.file}")
