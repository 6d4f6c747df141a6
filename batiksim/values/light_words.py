"""The lights that a colour may be seen by, in words."""

from batiksim.errors import BatikError, nearest
from batiksim.texts.catalogue import Message, say
from batiksim.types import Look
from batiksim.values.swatches import LIGHTS


def seen_as(light: str, look: Look) -> Message:
    """The light and look in words, for a title: "by daylight", "wet (approximate), under a white LED".

    Raises BatikError for a light not in `LIGHTS`.
    """
    if light not in LIGHTS:
        raise BatikError("colour.error.unknown_light", field="light", got=light, fix=nearest(light, LIGHTS))
    seen = say(f"lights.seen.{light.lower()}")
    return say("lights.seen.wet", light=seen) if look == "wet" else seen
