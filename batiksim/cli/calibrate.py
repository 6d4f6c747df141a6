"""Commands that learn from dyed cloth: calibrate, compare."""

from pathlib import Path
from typing import Any

import click

from batiksim import jobs
from batiksim.cli.options import PATH, corners_option, design_argument, json_option
from batiksim.cli.report.report import print_data, progress_line, tell, terminal
from batiksim.cli.words import Command
from batiksim.texts.catalogue import say


@click.command(cls=Command)
@click.argument("picture", type=PATH, required=False, metavar="photo")
@click.option("--strip", type=PATH)
@click.option("--table", type=PATH)
@click.option("--book", type=PATH, required=True)
@corners_option
@click.option("--dry-run", is_flag=True)
@click.option("--replace", "overwrite", is_flag=True)
@json_option
def calibrate(book: Path, as_json: bool, **options: Any) -> None:
    """Learn dyes from a photo of a dyed strip, or from measured swatches, and keep them in a dye book."""
    result = jobs.calibrate(book, **options)
    if as_json:
        print_data(result.data())
        return
    from batiksim.cli.report.lessons import print_calibration

    print_calibration(terminal(), result)
    if result.changes is None:
        tell(say("cli.calibrate.unchanged", book=book))
    elif result.changes.added or result.changes.replaced:
        tell(say("cli.calibrate.saved", book=book, name=book.name))


@click.command(cls=Command)
@design_argument
@click.argument("picture", type=PATH, metavar="photo")
@click.option("--out", "out", type=PATH, required=True)
@corners_option
@json_option
def compare(
    design: Path, picture: Path, out: Path, corners: tuple[tuple[float, float], ...] | None, as_json: bool
) -> None:
    """Compare a photo of the finished cloth with its design."""
    with progress_line(not as_json) as progress:
        result = jobs.compare(design, picture, corners=corners, progress=progress)
        files = result.save(out)
    if as_json:
        print_data(result.data())
        return
    from batiksim.cli.report.lessons import print_comparison

    print_comparison(terminal(), result)
    tell(result.summary)
    tell(say("cli.saved", count=len(files), folder=out))
    tell(say("cli.open", file=out / "compare.png"))
    if result.swatches:
        tell(say("cli.compare.teach", table=out / jobs.COMPARE_TABLE))
    else:
        tell(say("cli.compare.teaches_nothing"))
