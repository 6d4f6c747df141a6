"""The command that turns a picture into a design."""

from pathlib import Path
from typing import Any

import click

from batiksim import jobs
from batiksim.cli.options import PATH, book_option, cloth_option, json_option, request
from batiksim.cli.report.report import print_data, progress_line, terminal


@click.command("from-picture", short_help="Turn a sketch, painting or photo into a design.")
@click.argument("picture", type=PATH)
@click.option("--out", required=True, type=PATH, help="New folder for the design and its masks.")
@click.option("--steps", type=int, default=4, show_default=True, help="Dyeings at most, 1 to 6.")
@click.option("--pots", type=int, default=2, show_default=True, help="Pots brushed side by side in a dyeing, 1 to 3.")
@click.option("--width", "width_mm", type=float, default=450.0, show_default=True, help="Width of the cloth in mm.")
@click.option("--line", "line_mm", type=float, default=1.5, show_default=True, help="Finest line you will wax, in mm.")
@book_option
@cloth_option
@click.option(
    "--where",
    metavar="DYEINGS",
    help='Dyeings you have settled, in order, where only the wax is wanted: "lemon 60% > navy", or a design.',
)
@click.option("--title", help="Title of the design; the picture's name when left out.")
@json_option
def from_picture_command(picture: Path, out: Path, as_json: bool, **options: Any) -> None:
    """Turn PICTURE, a colour sketch, painting or photo, into a design with its dyes, their order and wax masks.

    The design previews and checks like any other. What the cloth can't give is told, and why.
    """
    asked = request(jobs.FromPictureRequest, options)
    with progress_line(not as_json) as progress:
        made = jobs.design_from_picture(picture, asked, out=out, progress=progress)
    names = jobs.save_from_picture(made, out)
    if as_json:
        print_data(jobs.from_picture_data(made))
        return
    from batiksim.cli.report.from_picture import print_from_picture

    print_from_picture(terminal(), made)
    click.echo(f'{len(names)} files in {out}. See it with: batiksim preview "{out}" --out FOLDER')
