"""What commands print: regions, findings, assumptions, progress."""

from __future__ import annotations

import contextlib
import json
import sys
from collections.abc import Callable, Iterator, Mapping
from functools import cache, partial
from typing import TYPE_CHECKING, Any

import click

from batiksim import jobs
from batiksim.texts.phrases import percent

if TYPE_CHECKING:
    from rich.console import Console

    from batiksim.texts.catalogue import Message
    from batiksim.values import Finding, Region


def terminal() -> Console:
    """The terminal as it shows text and colour."""
    from rich.console import Console

    return Console(highlight=False, markup=False, emoji=False)  # names are printed as the maker wrote them


def print_data(data: Mapping[str, Any]) -> None:
    """What `--json` prints."""
    click.echo(json.dumps(data, ensure_ascii=False, indent=2))


def print_regions(console: Console, regions: tuple[Region, ...]) -> None:
    """The colours of the finished cloth, largest first."""
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, pad_edge=False, header_style="bold")
    for title in ("", "Colour", "Name", "Share", "Dyes it took"):
        table.add_column(title, justify="right" if title == "Share" else "left")
    for region in regions:
        history = " + ".join(region.history) or "none: bare cloth"
        swatch = Text("      ", style=f"on {region.hex}")
        table.add_row(swatch, region.hex, region.name, str(percent(region.share)), history)
    console.print(table)


def print_assumed(assumed: list[str], *, usual: bool = False) -> None:
    """What was worked out because the design didn't say. usual : also what hardly anyone needs to be told."""
    pictures: dict[str, list[str]] = {}
    for note in assumed:
        picture, colon, what = note.partition(": ")
        if usual or what != str(jobs.AS_USUAL):
            pictures.setdefault(what if colon else note, []).append(picture)
    for what, names in pictures.items():
        some = ", ".join(names) if len(names) < 4 else f"{names[0]} and {len(names) - 1} more masks"
        click.echo(f"Assumed: {what}" if names == [what] else f"Assumed: {some}: {what}")


def print_findings(console: Console, findings: tuple[Finding, ...], *, quick: bool = False) -> None:
    """Each finding in a line, or that there is none; quick : by the checks that every preview can afford."""
    from rich.text import Text

    if not findings:
        console.print(jobs.QUICK_NOTHING if quick else jobs.NOTHING)
    styles = {"serious": "bold red", "warn": "yellow", "note": "dim"}
    for finding in findings:
        where = f"step {finding.step}, " if finding.step else ""
        words = f" ({where}{finding.code}): {finding.message} {finding.remedy}"
        console.print(Text.assemble((finding.severity, styles[finding.severity]), words))


_PREPARING = "batiksim: preparing the engine for this machine, only this once (some seconds)"


@contextlib.contextmanager
def progress_line(shown: bool) -> Iterator[Callable[[int, int, str | Message], None]]:
    """A progress line on a terminal, after half a second; silence elsewhere, but for a wait as long as compiling."""
    if not (shown and sys.stderr.isatty()):
        with jobs.on_compiling(cache(partial(click.echo, _PREPARING, err=True))):
            yield lambda done, whole, what: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (TextColumn("{task.description:<18}"), BarColumn(), TimeElapsedColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("reading", total=None)

        def tell(done: int, whole: int, what: str | Message) -> None:
            bar.update(task, completed=done, total=whole, description=str(what))

        with jobs.on_compiling(cache(partial(bar.console.print, _PREPARING))):
            yield tell
