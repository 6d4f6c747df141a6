"""The lights that a colour may be seen by, in words."""

from batiksim.texts.catalogue import Message, say
from batiksim.types import Look


def seen_as(light: str, look: Look) -> Message:
    """The light and look in words, for a title: "by daylight", "wet (approximate), under a white LED"."""
    seen = say(f"lights.seen.{light.lower()}")
    return say("lights.seen.wet", light=seen) if look == "wet" else seen
