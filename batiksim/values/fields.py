"""What all values check of what they are given."""

import re

from batiksim.errors import BatikError, nearest
from batiksim.texts.catalogue import languages

_HEX = re.compile(r"#[0-9a-fA-F]{6}")


def between(
    name: str, value: object, low: float, high: float, *, above: bool = False, share: bool = False, why: str = ""
) -> float:
    """A finite number from `low` to `high`, or above `low`; BatikError otherwise.

    share : a number of which 1 is the whole, so that 80 is told to be 0.8
    why : what else to say of one out of range
    """
    least = f"above {shown(low)}" if above else f"from {shown(low)}"
    range_ = f"use a number {least} to {shown(high)}"
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) < 1e300:
        raise BatikError("needs a number", field=name, got=value, fix=range_)
    if value > high or value < low or (above and value == low):
        fix = f"{range_}{as_share(float(value), high) if share else ''}{why and f'; {why}'}"
        raise BatikError("out of range", field=name, got=value, fix=fix)
    return float(value)


def as_share(value: float, high: float) -> str:
    """What to add to the advice where a share of at most `high` was given in percent: "; write 0.8 for 80%"."""
    return f"; write {shown(value / 100)} for {shown(value)}%" if high < value <= 100 else ""


def shown(number: float) -> str:
    """A number as a maker writes it, without an exponent: "0.8", "1000000"."""
    return f"{number:.12g}"


def text(name: str, value: object, *, longest: int = 200) -> str:
    """A line of text, not empty; BatikError otherwise."""
    if not isinstance(value, str) or not value.strip():
        raise BatikError("needs a text", field=name, got=value, fix="write a name between quotes")
    if len(value) > longest:
        raise BatikError("text is too long", field=name, got=value, fix=f"use at most {longest} characters")
    if any(ord(letter) < 32 or ord(letter) == 127 for letter in value):
        raise BatikError("text has a control character in it", field=name, got=value, fix="retype it on one line")
    return value


def note(name: str, value: object, *, longest: int = 2000) -> None:
    """A text of any number of lines, or none."""
    if value == "":
        return
    if not isinstance(value, str):
        raise BatikError("needs a text", field=name, got=value, fix="write it between quotes")
    for line in value.split("\n"):
        if line.strip():
            text(name, line, longest=longest)
    if len(value) > longest:
        raise BatikError("text is too long", field=name, got=value, fix=f"use at most {longest} characters")


def choice(name: str, value: object, choices: tuple[str, ...]) -> None:
    """BatikError unless `value` is one of the choices."""
    if value not in choices:
        raise BatikError("is not a known choice", field=name, got=value, fix=nearest(value, choices))


def flag(name: str, value: object) -> None:
    """BatikError unless `value` is true or false."""
    if not isinstance(value, bool):
        raise BatikError("needs true or false", field=name, got=value, fix="write true or false, without quotes")


def colour(name: str, value: object) -> str:
    """A colour like "#f0d92e", in small letters; BatikError otherwise."""
    if not isinstance(value, str) or not _HEX.fullmatch(value):
        raise BatikError("needs a colour", field=name, got=value, fix='write it like "#f0d92e"')
    return value.lower()


def language(code: str) -> str:
    """The code of a language that there are sentences in. Raises BatikError naming the nearest for any other."""
    if code not in languages():
        raise BatikError("error.no_such_language", got=code, fix=nearest(code, languages()))
    return code
