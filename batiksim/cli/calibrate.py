"""Commands that learn from dyed cloth: calibrate, compare."""

from pathlib import Path
from typing import Any

import click

from batiksim import jobs
from batiksim.cli.options import PATH, corners_option, design_argument, json_option
from batiksim.cli.report.report import print_data, progress_line, terminal


@click.command(short_help="Learn your own dyes from a photo of a dyed strip.")
@click.argument("photo", type=PATH, required=False)
@click.option("--strip", type=PATH, help="File saying which patch is what, and where.")
@click.option("--table", type=PATH, help="Measured swatches (CSV) instead of a photo.")
@click.option("--book", type=PATH, required=True, help="Dye book to write the dyes into.")
@corners_option
@click.option("--dry-run", is_flag=True, help="Show what would be learnt, and leave the book as it is.")
@click.option(
    "--replace", "overwrite", is_flag=True, help="Also replace dyes in the book that are surer than the new ones."
)
@json_option
def calibrate(photo: Path | None, book: Path, as_json: bool, **options: Any) -> None:
    """Learn your own dyes from a PHOTO of a dyed strip, and keep them in a dye book."""
    result = jobs.calibrate_book(book, picture=photo, **options)
    if as_json:
        print_data(jobs.calibrated_data(result))
        return
    from batiksim.cli.report.lessons import print_calibration

    print_calibration(terminal(), result)
    if result.changes is None:
        click.echo(f"{book} is as it was.")
    elif result.changes.added or result.changes.replaced:
        click.echo(f'Dyes are in {book}. In a design, name one with: book = "{book.name}"')


@click.command(short_help="Lay a photo of the finished cloth over the plan.")
@design_argument
@click.argument("photo", type=PATH)
@click.option("--out", "out", type=PATH, required=True, help="Folder for the pictures.")
@corners_option
@json_option
def compare(
    design: Path, photo: Path, out: Path, corners: tuple[tuple[float, float], ...] | None, as_json: bool
) -> None:
    """Lay a PHOTO of the finished cloth over DESIGN, and tell where and how it came out otherwise."""
    with progress_line(not as_json) as progress:
        result = jobs.compare_photo(design, photo, out, corners=corners, progress=progress)
    if as_json:
        print_data(jobs.compared_data(result))
        return
    from batiksim.cli.report.lessons import print_comparison

    print_comparison(terminal(), result)
    click.echo(result.summary)
    click.echo(f"{len(result.files)} files in {result.folder}; open {result.folder / 'compare.png'}")
    if result.teaches:
        click.echo(
            "Teach the tool these dyes with: "
            f'batiksim calibrate --table "{result.folder / jobs.COMPARE_TABLE}" --book my-dyes.toml --dry-run'
        )
    else:
        click.echo("No dye lies alone and even beside bare cloth, so this cloth can't teach its dyes: dye a strip.")
