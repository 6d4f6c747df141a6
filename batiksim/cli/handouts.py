"""Commands that print what a tutor hands out: handout, risk."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import click

from batiksim import jobs
from batiksim.cli.options import PATH, codes, design_argument, paper_option, request
from batiksim.cli.report.report import print_assumed, progress_line
from batiksim.cli.words import NUMBER, WHOLE, Command
from batiksim.texts.catalogue import say

_makers_option = click.option("--makers", type=WHOLE, default=1, show_default=True)
_presoak_option = click.option("--presoak", is_flag=True)


def _requests(options: Mapping[str, Any]) -> dict[str, Any]:
    """What is chosen of the pages, and the class that they are for."""
    return {"options": request(jobs.HandoutOptions, options), "workshop": request(jobs.WorkshopRequest, options)}


@click.command(cls=Command)
@design_argument
@click.option("--out", type=PATH, default="handout.pdf", show_default=True)
@paper_option
@click.option("--sections", callback=codes, metavar="sections")
@click.option("--one-page", is_flag=True)
@click.option("--learner", is_flag=True)
@_makers_option
@click.option("--room", "room_c", type=NUMBER, default=20.0, show_default=True)
@click.option("--sessions", default="", metavar="times")
@_presoak_option
def handout(design: Path, out: Path, **options: Any) -> None:
    """Print DESIGN for a class: every step with its plate, what to do, pots, colours, amounts and time.

    Your name and notes come from the design: maker and note, and note in any step.
    """
    with progress_line(True) as progress:
        printed = jobs.save_handout(design, out, progress=progress, **_requests(options))
    print_assumed(printed.assumed)
    click.echo(say("cli.handout.saved", file=printed.file))


@click.command(cls=Command)
@design_argument
@click.option("--out", type=PATH, default="risk-sheet.pdf", show_default=True)
@paper_option
@_makers_option
@_presoak_option
def risk(design: Path, out: Path, **options: Any) -> None:
    """Print the risk sheet of a class that makes DESIGN, for the tutor to complete.

    Hazards, whom they may hurt, precautions, what to do if. Labels, local rules and qualified advice come first.
    """
    with progress_line(True) as progress:
        printed = jobs.save_risk(design, out, progress=progress, **_requests(options))
    print_assumed(printed.assumed)
    click.echo(say("cli.risk.saved", file=printed.file))
