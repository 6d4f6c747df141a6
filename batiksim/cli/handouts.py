"""Commands that print what a tutor hands out: handout, risk."""

from __future__ import annotations

from pathlib import Path

import click

from batiksim import jobs
from batiksim.cli.options import codes, design_argument, language_option, paper_option
from batiksim.cli.report.report import print_assumed, progress_line

__all__ = ["handout", "risk"]

_makers_option = click.option("--makers", type=int, default=1, show_default=True, help="How many make this cloth.")
_presoak_option = click.option("--presoak", is_flag=True, help="The cloth is soaked in fixative first.")


@click.command(short_help="Print DESIGN for a class, step by step.")
@design_argument
@click.option(
    "--out", type=click.Path(path_type=Path), default="handout.pdf", show_default=True, help="The .pdf to write."
)
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
def handout(
    design: Path,
    out: Path,
    paper: str,
    sections: tuple[str, ...],
    one_page: bool,
    learner: bool,
    makers: int,
    room_c: float,
    sessions: str,
    presoak: bool,
    language: str,
) -> None:
    """Print DESIGN for a class: every step with its plate, what to do, pots, colours, amounts and time.

    Your name and notes come from the design: maker and note, and note in any step.
    """
    with progress_line(True) as progress:
        printed = jobs.save_handout(
            design,
            out,
            paper=paper,
            sections=sections,
            one_page=one_page,
            learner=learner,
            makers=makers,
            room_c=room_c,
            sessions=sessions,
            presoak=presoak,
            language=language,
            progress=progress,
        )
    print_assumed(list(printed.assumed))
    click.echo(f"The handout is in {printed.file}")


@click.command(short_help="Print the risk sheet of a class, to complete.")
@design_argument
@click.option(
    "--out", type=click.Path(path_type=Path), default="risk-sheet.pdf", show_default=True, help="The .pdf to write."
)
@paper_option
@_makers_option
@_presoak_option
@language_option
def risk(design: Path, out: Path, paper: str, makers: int, presoak: bool, language: str) -> None:
    """Print the risk sheet of a class that makes DESIGN, for the tutor to complete.

    Hazards, whom they may hurt, precautions, what to do if. Labels, local rules and qualified advice come first.
    """
    with progress_line(True) as progress:
        printed = jobs.save_risk(
            design, out, paper=paper, makers=makers, presoak=presoak, language=language, progress=progress
        )
    print_assumed(list(printed.assumed))
    click.echo(f"The risk sheet is in {printed.file}")
