"""Commands that print or show for the maker's own table: trace, strip, stages."""

from pathlib import Path
from typing import Any

import click

from batiksim import jobs
from batiksim.cli.options import PATH, cloth_option, codes, design_argument, json_option, language_option, paper_option
from batiksim.cli.report.report import print_assumed, print_data, progress_line


@click.command(short_help="Print what to wax at true size.")
@design_argument
@click.option("--out", type=PATH, default="tracing", show_default=True, help="Folder for the sheets.")
@paper_option
@click.option("--mirror", is_flag=True, help="Mirrored, to trace from the back of the cloth.")
@language_option
@json_option
def trace(design: Path, out: Path, as_json: bool, **options: Any) -> None:
    """Print what to wax in DESIGN at true size, to trace onto the cloth.

    For every waxing: sheets to tape together with a map of them, and one large page as PDF and SVG for a copy shop.
    """
    with progress_line(not as_json) as progress:
        made = jobs.save_tracing(design, out, progress=progress, **options)
    if as_json:
        counts = {"sheets": made.sheets, "pages": made.pages}
        data = {"folder": str(made.folder), "files": made.files, **counts, "notes": made.notes}
        print_data(data)
        return
    print_assumed(list(made.notes))
    if made.sheets:
        maps = f"a map of them for each waxing: {made.pages} pages"
        click.echo(f"{made.sheets} sheets to trace, and {maps}, are in {made.folder / 'sheets.pdf'}")
    click.echo(f"Each waxing on one large page is in {made.folder}")


@click.command(short_help="Print a strip to dye, for calibrate.")
@click.argument("source", metavar="DESIGN-or-BOOK")
@click.option("--out", type=PATH, default="strip", show_default=True, help="Folder for sheet and strip file.")
@click.option("--only", callback=codes, metavar="NAMES", help='Only these dyes: "lemon, navy".')
@cloth_option
@click.option(
    "--card", type=float, default=0.18, show_default=True, help="Reflectance of the card in the photo; white: 0.9."
)
@click.option("--no-card", is_flag=True, help="There is no card to lay beside the strip.")
@paper_option
@language_option
def strip(source: str, out: Path, card: float, no_card: bool, **options: Any) -> None:
    """Print a strip to dye with the dyes of a design, a dye book or "demo", so that calibrate can learn them.

    The sheet says what to dye where, at true size. The strip file beside it is what calibrate reads.
    """
    made = jobs.save_strips(source, out, card=None if no_card else card, **options)
    click.echo(f"What to dye where is in {made.folder / made.sheet}")
    for file, dyes in made.strips:
        click.echo(f"{made.folder / file} is for calibrate: {', '.join(dyes)}")


@click.command(short_help="Draw every stage on one sheet, or as a moving picture.")
@design_argument
@click.option("--animate", is_flag=True, help="A small picture that moves and begins again: .gif or .webp.")
@click.option("--out", type=PATH, help="The picture to write: stages.png, or stages.gif.")
@click.option("--width", "width_px", type=int, default=560, show_default=True, help="Of the moving picture, in pixels.")
def stages(design: Path, animate: bool, out: Path | None, width_px: int) -> None:
    """Draw every stage of DESIGN on one sheet, or let the cloth grow step by step for a screen or a message."""
    target = out or Path("stages.gif" if animate else "stages.png")
    with progress_line(True) as progress:
        made = jobs.save_stages(design, target, animate=animate, width_px=width_px, progress=progress)
    click.echo(f"The stages are in {made}")
