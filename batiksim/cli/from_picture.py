"""The command that turns a picture into a design."""

from pathlib import Path
from typing import Any

import click

from batiksim import jobs
from batiksim.cli.options import PATH, book_option, cloth_option, json_option, request
from batiksim.cli.report.report import print_data, progress_line, terminal
from batiksim.cli.words import NUMBER, WHOLE, Command
from batiksim.texts.catalogue import say


@click.command("from-picture", cls=Command)
@click.argument("picture", type=PATH)
@click.option("--out", required=True, type=PATH)
@click.option("--steps", type=WHOLE, default=4, show_default=True)
@click.option("--pots", type=WHOLE, default=2, show_default=True)
@click.option("--width", "width_mm", type=NUMBER, default=450.0, show_default=True)
@click.option("--line", "line_mm", type=NUMBER, default=1.5, show_default=True)
@book_option
@cloth_option
@click.option("--where", metavar="dyeings")
@click.option("--title")
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
    click.echo(say("cli.saved", count=len(names), folder=out))
    click.echo(say("cli.see_it", design=out, out=out / "preview"))
