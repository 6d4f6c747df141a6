"""The command that opens the worktable."""

from pathlib import Path

import click

from batiksim.cli.options import PATH


@click.command(short_help="All of it in your browser, by looking and trying.")
@click.argument("design", type=PATH, required=False)
@click.option("--home", type=click.Path(path_type=Path, file_okay=False), default=".", help="Where new cloths go.")
@click.option("--port", type=click.IntRange(0, 65535), default=0, help="A port of your choice; any free one otherwise.")
@click.option("--no-browser", is_flag=True, help="Only tell the address; don't open the browser.")
@click.option("--desktop", is_flag=True, help="Lay a file on your desktop that opens it by a double click; no more.")
def worktable(design: Path | None, home: Path, port: int, no_browser: bool, desktop: bool) -> None:
    """Open the worktable in your browser: look, try and change DESIGN live.

    When you name none, the cloth that you worked on last in the --home folder is opened, or a sample.
    The page is for this machine alone. What you change is saved as you go.
    """
    if desktop:
        from batiksim import jobs

        file = jobs.save_opener(home=home, design=design)
        click.echo(f"Double-click {file} to open the worktable; your cloths are kept in {home.resolve()}.")
        click.echo("Should it open as text, allow it to be run, in its properties.")
        return
    from batiksim.worktable.run import serve

    serve(design, home=home.resolve(), port=port, browser=not no_browser, say=click.echo)
