"""One command for several designs: each is done, and one that fails holds up none of the others."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from batiksim import jobs
from batiksim.cli.exit_codes import ExitCode
from batiksim.cli.report.report import print_data, tell, tell_error
from batiksim.cli.words import spelling_in
from batiksim.errors import BatikError
from batiksim.texts.catalogue import say

if TYPE_CHECKING:
    from batiksim.jobs import Result

Made = TypeVar("Made", bound="Result")
_NAME = "design.toml"


def each_design(
    designs: Sequence[Path], work: Callable[[Path], Made], *, show: Callable[[Path, Made], None], as_json: bool
) -> None:
    """Do some work for each design, and show what came of it, or print it as data.

    Of a single one, errors pass through and the data is printed as it is. Of several, each is named in a line above, or
    in a list of data; what is wrong with one is told, and the command ends with `ExitCode.BAD_INPUT` after the last.
    """
    if len(designs) == 1:
        made = work(designs[0])
        if as_json:
            print_data(made.data())
        else:
            show(designs[0], made)
        return
    told: list[Mapping[str, Any]] = []
    command = click.get_current_context()
    for design in designs:
        try:
            made = work(design)
        except BatikError as error:
            placed = error.spelt(partial(spelling_in, command.command)).in_file(design)
            tell_error(placed)
            told.append({"design": {"title": None, "file": str(design)}, "error": str(placed)})
            continue
        if as_json:
            told.append(made.data())
        else:
            tell(say("cli.several.design", title=made.origin.title, file=made.origin.file))
            show(design, made)
            tell("")
    if as_json:
        print_data(jobs.head() | {"designs": told})
    if any("error" in one for one in told):
        command.exit(ExitCode.BAD_INPUT)


def names_of(designs: Sequence[Path]) -> dict[Path, str]:
    """What outputs of each of several designs are called: as its folder, or as its file where that has another name.

    Of one that is called as an earlier one, in small letters or capitals, the name gets a number: "cloth", "cloth-2".
    """
    names: dict[Path, str] = {}
    for design in dict.fromkeys(designs):
        whole = design.resolve()
        plain = whole.parent.name if whole.name == _NAME else whole.name.removesuffix(".toml")
        taken = {name.casefold() for name in names.values()}
        tries = (plain if number == 1 else f"{plain}-{number}" for number in range(1, len(designs) + 1))
        names[design] = next(name for name in tries if name.casefold() not in taken)
    return names


def folder_for(folder: Path | None, design: Path, designs: Sequence[Path]) -> Path | None:
    """Where outputs of one design go: the folder itself for a single one, else one below for each."""
    return folder if folder is None or len(designs) == 1 else folder / names_of(designs)[design]


def file_for(file: Path | None, design: Path, designs: Sequence[Path]) -> Path | None:
    """The file for one design: as it was named for a single one, else each with its name before the ending.

    The ending says what is written, so it stays: of "day.pdf" there are "day-dunes.pdf" and "day-poppies.pdf".
    """
    return file if file is None or len(designs) == 1 else file.with_stem(f"{file.stem}-{names_of(designs)[design]}")
