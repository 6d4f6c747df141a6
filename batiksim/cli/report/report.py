"""What commands print: regions, findings, assumptions, progress."""

from __future__ import annotations

import contextlib
import json
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cache, partial
from typing import TYPE_CHECKING, Any

import click

from batiksim import jobs
from batiksim.cli.words import quiet
from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import percent
from batiksim.values.colour_words import history_words

if TYPE_CHECKING:
    from rich.console import Console

    from batiksim.values import Finding, Region


MANY_PICTURES = 4  # from which on only the first is named
UNBROKEN = 1_000_000  # columns: no line is as long


def tell(words: object, *, nl: bool = True, err: bool = False) -> None:
    """Say something that is no error: nothing of it is heard of a quiet command. nl, err : as of `click.echo`."""
    if not quiet():
        click.echo(words, nl=nl, err=err)


def tell_error(error: object) -> None:
    """Say what went wrong, which is always heard."""
    click.echo(f"batiksim: {error}", err=True)


def terminal() -> Console:
    """The terminal as it shows text and colour; through a pipe, lines that nothing breaks, cuts or colours."""
    from rich.console import Console

    shown = sys.stdout.isatty()
    return Console(
        quiet=quiet(),
        width=None if shown else UNBROKEN,
        force_terminal=None if shown else False,
        color_system="auto" if shown else None,
        highlight=False,
        markup=False,  # names are printed as the maker wrote them
        emoji=False,
    )


def print_data(data: Mapping[str, Any]) -> None:
    """What `--json` prints."""
    click.echo(json.dumps(data, ensure_ascii=False, indent=2))


def print_regions(console: Console, regions: tuple[Region, ...]) -> None:
    """The colours of the finished cloth, largest first."""
    from batiksim.cli.report.tables import cloth_piece, plain_table

    table = plain_table("", "colour", "name", "share", "dyed", right=("share",))
    for region in regions:
        table.add_row(
            cloth_piece(region.hex, 6),
            region.hex,
            str(region.shown),
            str(percent(region.share)),
            history_words(region.history),
        )
    console.print(table)


def print_assumed(assumed: Iterable[Message], *, usual: bool = False) -> None:
    """What was worked out because the design didn't say. usual : also what hardly anyone needs to be told."""
    pictures: dict[Message, list[str]] = {}
    for message in assumed:
        parts = dict(message.parts)
        if message.key != jobs.OF_PICTURE:
            pictures[message] = []
        elif usual or parts["note"] != jobs.AS_USUAL:
            pictures.setdefault(parts["note"], []).append(parts["picture"])
    for note, names in pictures.items():
        if not names:
            tell(say("cli.assumed", note=note))
        elif len(names) < MANY_PICTURES:
            tell(say("cli.assumed_of", pictures=", ".join(names), note=note))
        else:
            tell(say("cli.assumed_of_many", picture=names[0], count=len(names) - 1, note=note))


def print_findings(console: Console, findings: Sequence[Finding], *, quick: bool = False) -> None:
    """Each finding in a line, or that there is none; quick : by the checks that every preview can afford."""
    from rich.text import Text

    if not findings:
        console.print(str(jobs.QUICK_NOTHING if quick else jobs.NOTHING))
    styles = {"serious": "bold red", "warn": "yellow", "note": "dim"}
    for finding in findings:
        where = say("cli.finding.at_step", step=finding.step, code=finding.code) if finding.step else finding.code
        severity = str(say(f"cli.finding.{finding.severity}"))
        words = f" ({where}): {finding.message} {finding.remedy}"
        console.print(Text.assemble((severity, styles[finding.severity]), words))


@contextlib.contextmanager
def progress_line(shown: bool) -> Iterator[Callable[[int, int, object], None]]:
    """A progress line on a terminal, after half a second; silence elsewhere, but for a wait as long as compiling."""
    compiling = str(say("cli.progress.compiling"))
    if quiet():
        with jobs.on_compiling(lambda: None):
            yield _unseen
        return
    if not (shown and sys.stderr.isatty()):
        with jobs.on_compiling(cache(partial(click.echo, compiling, err=True))):
            yield _unseen
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (TextColumn("{task.description:<18}"), BarColumn(), TimeElapsedColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(str(say("cli.progress.reading")), total=None)

        def move(done: int, whole: int, what: object) -> None:
            bar.update(task, completed=done, total=whole, description=str(what))

        with jobs.on_compiling(cache(partial(bar.console.print, compiling))):
            yield move


def _unseen(done: int, whole: int, what: object) -> None:
    """Progress that nobody sees."""
