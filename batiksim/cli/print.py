"""Commands that print or show, for the maker's own table and for a class: trace, strip, stages, handout, risk."""

from pathlib import Path
from typing import Any

import click

from batiksim import jobs
from batiksim.cli.options import PATH, book_or_design, cloth_option, codes, design_argument, json_option, paper_option
from batiksim.cli.report.report import print_assumed, print_data, progress_line, tell
from batiksim.cli.words import NUMBER, WHOLE, Command
from batiksim.texts.catalogue import say


@click.command(cls=Command)
@design_argument
@click.option("--out", type=PATH, default="tracing", show_default=True)
@paper_option
@click.option("--mirror", is_flag=True)
@json_option
def trace(design: Path, out: Path, as_json: bool, **options: Any) -> None:
    """Print what to wax in DESIGN at true size, to trace onto the cloth.

    For every waxing: sheets to tape together with a map of them, and one large page as PDF and SVG for a print shop.
    """
    with progress_line(not as_json) as progress:
        made = jobs.trace(design, out, progress=progress, **options)
    if as_json:
        print_data(made.data())
        return
    print_assumed(made.notes)
    if made.sheets:
        tell(say("cli.trace.sheets", count=made.sheets, file=made.folder / jobs.SHEETS_NAME))
        tell(say("cli.trace.pages", count=made.pages))
    tell(say("cli.trace.large", folder=made.folder))


@click.command(cls=Command)
@book_or_design("dyes")
@click.option("--out", type=PATH, default="strip", show_default=True)
@click.option("--only", callback=codes, metavar="names")
@cloth_option
@click.option("--card", type=NUMBER, default=0.18, show_default=True)
@click.option("--no-card", is_flag=True)
@paper_option
@json_option
def strip(dyes: str, out: Path, card: float, no_card: bool, as_json: bool, **options: Any) -> None:
    """Print a strip to dye with the dyes of a design, a dye book or "demo", so that calibrate can learn them.

    The sheet says what to dye where, at true size. The strip file beside it is what calibrate reads.
    """
    made = jobs.strip(dyes, out, card=None if no_card else card, **options)
    if as_json:
        print_data(made.data())
        return
    tell(say("cli.strip.sheet", file=made.folder / made.sheet))
    for file, on_it in made.strips:
        tell(say("cli.strip.file", file=made.folder / file, dyes=on_it))


@click.command(cls=Command)
@design_argument
@click.option("--animate", is_flag=True)
@click.option("--out", type=PATH)
@click.option("--width", "width_px", type=WHOLE, default=560, show_default=True)
@json_option
def stages(design: Path, animate: bool, out: Path | None, width_px: int, as_json: bool) -> None:
    """Draw every stage of DESIGN on one sheet, or let the cloth grow step by step for a screen or a message."""
    target = out or Path("stages.gif" if animate else "stages.png")
    with progress_line(not as_json) as progress:
        made = jobs.stages(design, target, animate=animate, width_px=width_px, progress=progress)
    if as_json:
        print_data(made.data())
        return
    tell(say("cli.stages.saved", file=made.file))


_makers_option = click.option("--makers", type=WHOLE, default=1, show_default=True)
_presoak_option = click.option("--presoak", is_flag=True)


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
@json_option
def handout(design: Path, out: Path, as_json: bool, **options: Any) -> None:
    """Print DESIGN for a class: every step with its plate, what to do, pots, colours, amounts and time.

    Your name and notes come from the design: maker and note, and note in any step.
    """
    with progress_line(not as_json) as progress:
        printed = jobs.handout(design, out, progress=progress, **options)
    if as_json:
        print_data(printed.data())
        return
    print_assumed(printed.assumed)
    tell(say("cli.handout.saved", file=printed.file))


@click.command(cls=Command)
@design_argument
@click.option("--out", type=PATH, default="risk-sheet.pdf", show_default=True)
@paper_option
@_makers_option
@_presoak_option
@json_option
def risk(design: Path, out: Path, as_json: bool, **options: Any) -> None:
    """Print the risk sheet of a class that makes DESIGN, for the tutor to complete.

    Hazards, whom they may hurt, precautions, what to do if. Labels, local rules and qualified advice come first.
    """
    with progress_line(not as_json) as progress:
        printed = jobs.risk(design, out, progress=progress, **options)
    if as_json:
        print_data(printed.data())
        return
    print_assumed(printed.assumed)
    tell(say("cli.risk.saved", file=printed.file))
