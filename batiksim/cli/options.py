"""Arguments and options that several commands share."""

from collections.abc import Mapping
from dataclasses import fields
from pathlib import Path
from typing import Any, TypeVar

import click

from batiksim.errors import BatikError
from batiksim.texts.catalogue import speak
from batiksim.values import DAYLIGHT, LIGHTS
from batiksim.values.fields import language

Request = TypeVar("Request")
PATH = click.Path(path_type=Path)


def request(kind: type[Request], options: Mapping[str, Any]) -> Request:
    """A request made of those options that it has a field for and that were given; the rest keep its defaults."""
    names = [field.name for field in fields(kind)]  # type: ignore[arg-type]  # every request is a dataclass
    return kind(**{name: options[name] for name in names if options.get(name) is not None})


design_argument = click.argument("design", type=PATH)


class LightName(click.Choice[str]):
    """A light by its name, small and capital letters alike."""

    def convert(self, value: str, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """The name as it is written here. Raises BatikError listing all of them."""
        del param, ctx
        known = next((light for light in LIGHTS if light.casefold() == value.strip().casefold()), None)
        if known is None:
            fix = f"use one of {', '.join(LIGHTS)}"
            raise BatikError("is not a known light", field="--light", got=value, fix=fix)
        return known


light_option = click.option(
    "--light",
    type=LightName(LIGHTS),
    metavar=f"[{'|'.join(LIGHTS)}]",
    default=DAYLIGHT,
    show_default=True,
    help="Look at it by daylight (D65), warm daylight (D50), a filament lamp (A) or a white LED.",
)

wet_option = click.option(
    "--wet",
    "look",
    is_flag=True,
    callback=lambda _, __, wet: "wet" if wet else "dry",
    help="Look at it wet (approximate).",
)

json_option = click.option("--json", "as_json", is_flag=True, help="Print the same as data.")


def codes(_: click.Context, __: click.Parameter, text: str | None) -> tuple[str, ...]:
    """Words from "leak,mud"."""
    return tuple(word.strip() for word in (text or "").split(",") if word.strip())


def points(_: click.Context, __: click.Parameter, text: str | None) -> tuple[tuple[float, float], ...] | None:
    """Four corners from "x,y x,y x,y x,y"."""
    if text is None:
        return None
    try:
        pairs = [tuple(float(part) for part in pair.split(",")) for pair in text.split()]
    except ValueError:
        pairs = []
    points = tuple((pair[0], pair[1]) for pair in pairs if len(pair) == 2)
    if len(points) != 4 or len(pairs) != 4:
        fix = 'write "412,305 3620,380 3580,1490 395,1420"'
        raise BatikError("needs four corners in pixels", field="--corners", got=text, fix=fix)
    return points


corners_option = click.option(
    "--corners",
    callback=points,
    metavar="'X,Y X,Y X,Y X,Y'",
    help="Corners in the photo, in pixels: top left, top right, bottom right, bottom left.",
)

book_option = click.option(
    "--book", default="demo", show_default=True, help="Dye book or design to take dyes from; demo is built in."
)

cloth_option = click.option("--cloth", metavar="COLOUR", help='Colour of the undyed cloth, such as "#f1ede2".')

paper_option = click.option(
    "--paper",
    type=click.Choice(["a4", "letter"], case_sensitive=False),
    default="a4",
    show_default=True,
    help="A4, or US Letter.",
)

language_option = click.option(
    "--language",
    default="en",
    show_default=True,
    expose_value=False,
    callback=lambda _, __, code: speak(language(code)),
    help="Language of the fixed words.",
)


def between(_: click.Context, __: click.Parameter, text: str | None) -> tuple[int, int] | None:
    """How many, from "3" or "2-5"."""
    if text is None:
        return None
    low, dash, high = text.partition("-")
    try:
        return int(low), int(high if dash else low)
    except ValueError:
        raise BatikError("needs a number or a range", field="--choose", got=text, fix="write 3, or 2-5") from None
