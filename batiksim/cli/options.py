"""Arguments and options that several commands share."""

from functools import partial
from pathlib import Path

import click
from click.shell_completion import CompletionItem

from batiksim.cli.words import Choice
from batiksim.errors import BatikError
from batiksim.texts.catalogue import texts
from batiksim.values import DAYLIGHT, LIGHTS

PATH = click.Path(path_type=Path)
DEMO = "demo"  # the built-in dye book
_WHAT = ".what"


def codes(_: click.Context, __: click.Parameter, text: str | None) -> tuple[str, ...]:
    """Words from "leak,mud"."""
    return tuple(word.strip() for word in (text or "").split(",") if word.strip())


def check_codes() -> tuple[str, ...]:
    """The codes of all checks: each says what it looks for."""
    return tuple(key.removesuffix(_WHAT) for key in texts().under("checks") if key.endswith(_WHAT))


def offer_checks(_: click.Context, __: click.Parameter, incomplete: str) -> list[str]:
    """For completion: checks that aren't named yet, after a comma too."""
    before, comma, begun = incomplete.rpartition(",")
    left = [code for code in check_codes() if code not in before.split(",")]
    return [f"{before}{comma}{code}" for code in left if code.startswith(begun)]


def offer_books(_: click.Context, __: click.Parameter, incomplete: str) -> list[CompletionItem]:
    """For completion: the built-in dye book, and files."""
    demo = [CompletionItem(DEMO)] if DEMO.startswith(incomplete) else []
    return [*demo, CompletionItem(incomplete, type="file")]


def points(_: click.Context, __: click.Parameter, text: str | None) -> tuple[tuple[float, float], ...] | None:
    """Four corners from "x,y x,y x,y x,y"."""
    if text is None:
        return None
    try:
        pairs = [pair.split(",") for pair in text.split()]
        points = tuple((float(x), float(y)) for x, y in pairs)
    except ValueError:
        points = ()
    if len(points) != 4:
        raise BatikError("cli.error.corners", field="corners", got=text)
    return points


def between(_: click.Context, __: click.Parameter, text: str | None) -> tuple[int, int] | None:
    """How many, from "3" or "2-5"."""
    if text is None:
        return None
    low, dash, high = text.partition("-")
    try:
        return int(low), int(high if dash else low)
    except ValueError:
        raise BatikError("cli.error.range", field="choose", got=text) from None


book_or_design = partial(click.argument, metavar="design_or_book", shell_complete=offer_books)
design_argument = click.argument("design", type=PATH)
designs_argument = click.argument("designs", type=PATH, nargs=-1, required=True, metavar="design")
dyes_option = click.option("--book", "dyes", default=DEMO, show_default=True, shell_complete=offer_books)
checks_option = partial(click.option, callback=codes, metavar="checks", shell_complete=offer_checks)
cloth_option = click.option("--cloth", metavar="colour")
corners_option = click.option("--corners", callback=points, metavar="corners")
json_option = click.option("--json", "as_json", is_flag=True)
light_option = click.option("--light", type=Choice(LIGHTS), default=DAYLIGHT, show_default=True)
paper_option = click.option("--paper", type=Choice(["a4", "letter"]), default="a4", show_default=True)
wet_option = click.option("--wet", "look", is_flag=True, callback=lambda _, __, wet: "wet" if wet else "dry")
