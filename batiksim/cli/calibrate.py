"""Commands that learn from dyed cloth: calibrate, compare."""

from pathlib import Path
from typing import Any

import click

from batiksim import jobs
from batiksim.cli.options import PATH, corners_option, design_argument, json_option
from batiksim.cli.report.report import print_data, progress_line, terminal
from batiksim.cli.words import Command
from batiksim.texts.catalogue import say


@click.command(cls=Command)
@click.argument("photo", type=PATH, required=False)
@click.option("--strip", type=PATH)
@click.option("--table", type=PATH)
@click.option("--book", type=PATH, required=True)
@corners_option
@click.option("--dry-run", is_flag=True)
@click.option("--replace", "overwrite", is_flag=True)
@json_option
def calibrate(photo: Path | None, book: Path, as_json: bool, **options: Any) -> None:
    """Learn dyes from a photo of a dyed strip, or from measured swatches, and keep them in a dye book."""
    result = jobs.calibrate(book, picture=photo, **options)
    if as_json:
        print_data(result.data())
        return
    from batiksim.cli.report.lessons import print_calibration

    print_calibration(terminal(), result)
    if result.changes is None:
        click.echo(say("cli.calibrate.unchanged", book=book))
    elif result.changes.added or result.changes.replaced:
        click.echo(say("cli.calibrate.saved", book=book, name=book.name))


@click.command(cls=Command)
@design_argument
@click.argument("photo", type=PATH)
@click.option("--out", "out", type=PATH, required=True)
@corners_option
@json_option
def compare(
    design: Path, photo: Path, out: Path, corners: tuple[tuple[float, float], ...] | None, as_json: bool
) -> None:
    """Compare a photo of the finished cloth with its design."""
    with progress_line(not as_json) as progress:
        result = jobs.compare(design, photo, corners=corners, progress=progress)
        files = result.save(out)
    if as_json:
        print_data(result.data())
        return
    from batiksim.cli.report.lessons import print_comparison

    print_comparison(terminal(), result)
    click.echo(result.summary)
    click.echo(say("cli.saved", count=len(files), folder=out))
    click.echo(say("cli.open", file=out / "compare.png"))
    if result.swatches:
        click.echo(say("cli.compare.teach", table=out / jobs.COMPARE_TABLE))
    else:
        click.echo(say("cli.compare.teaches_nothing"))
