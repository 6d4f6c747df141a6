"""Checks of single values that aren't settings."""

from batiksim.errors import BatikError, nearest
from batiksim.texts.catalogue import languages
from batiksim.values.rules import Choice, Colour, shown

_COLOUR = Colour(help="A colour.")


def as_share(value: float, high: float) -> str:
    """What to add to the advice where a share of at most `high` was given in percent: "; write 0.8 for 80%"."""
    return f"; write {shown(value / 100)} for {shown(value)}%" if high < value <= 100 else ""


def choice(name: str, value: object, choices: tuple[str, ...]) -> None:
    """BatikError unless `value` is one of the choices."""
    Choice(choices=choices, help="A choice.").check(value, name)


def colour(name: str, value: object) -> str:
    """A colour like "#f0d92e", in small letters; BatikError otherwise."""
    checked: str = _COLOUR.check(value, name)
    return checked


def language(code: str) -> str:
    """The code of a language that there are sentences in. Raises BatikError naming the nearest for any other."""
    if code not in languages():
        raise BatikError("error.no_such_language", got=code, fix=nearest(code, languages()))
    return code
