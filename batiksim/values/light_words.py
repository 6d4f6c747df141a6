"""The lights and looks that a colour may be seen by: which there are, and in words."""

from typing import TypeVar

from batiksim.errors import BatikError, nearest
from batiksim.texts.catalogue import Message, say
from batiksim.types import LOOKS, Look
from batiksim.values.swatches import LIGHTS

Name = TypeVar("Name", bound=str)


def check_light(light: str) -> str:
    """The light. Raises BatikError for one not in `LIGHTS`, TypeError for what is no name."""
    return _known(light, LIGHTS, "light", "colour.error.unknown_light")


def check_look(look: Look) -> Look:
    """The look. Raises BatikError for one not in `LOOKS`, TypeError for what is no name."""
    return _known(look, LOOKS, "look", "colour.error.unknown_look")


def _known(name: Name, choices: tuple[Name, ...], field: str, problem: str) -> Name:
    if not isinstance(name, str):
        raise TypeError(f"{field} needs a str, not {type(name).__name__}")
    if name not in choices:
        raise BatikError(problem, field=field, got=name, fix=nearest(name, choices))
    return name


def seen_as(light: str, look: Look) -> Message:
    """The light and look in words, for a title: "by daylight", "wet (approximate), under a white LED".

    Raises BatikError for a light or a look that there is not.
    """
    seen = say(f"lights.seen.{check_light(light).lower()}")
    return say("lights.seen.wet", light=seen) if check_look(look) == "wet" else seen
