"""The command that opens the worktable."""

from pathlib import Path

import click

from batiksim.cli.options import PATH
from batiksim.cli.report.report import tell
from batiksim.cli.words import Command, Number
from batiksim.errors import BatikError
from batiksim.texts.catalogue import say


def _folder(_: click.Context, __: click.Parameter, path: Path) -> Path:
    """A folder, which needn't be there yet."""
    if path.is_file():
        raise BatikError("cli.error.no_folder", field="home", got=str(path))
    return path


@click.command(cls=Command)
@click.argument("design", type=PATH, required=False)
@click.option("--home", type=PATH, callback=_folder, default=".")
@click.option("--port", type=Number(int, 0, 65535), default=0)
@click.option("--no-browser", is_flag=True)
@click.option("--desktop", is_flag=True)
def worktable(design: Path | None, home: Path, port: int, no_browser: bool, desktop: bool) -> None:
    """Open the worktable in your browser: look, try and change DESIGN live.

    When you name none, the cloth that you worked on last in the --home folder is opened, or a sample.
    The page is for this machine alone. What you change is saved as you go.
    """
    if desktop:
        from batiksim import jobs

        file = jobs.save_opener(home=home, design=design)
        tell(say("cli.worktable.opener", file=file, home=home.resolve()))
        tell(say("cli.worktable.opener_as_text"))
        return
    from batiksim.worktable.run import serve

    serve(design, home=home.resolve(), port=port, browser=not no_browser, say=tell)
