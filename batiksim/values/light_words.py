"""The lights that a colour may be seen by, in words."""

from types import MappingProxyType

from batiksim.errors import BatikError, nearest
from batiksim.types import Look

LIGHT_WORDS = MappingProxyType(
    {"D65": "daylight", "D50": "warm daylight", "A": "a filament lamp", "LED": "a white LED"}
)


def seen_as(light: str, look: Look) -> str:
    """The light and look in words, for a title: "by daylight", "wet (approximate), under a white LED"."""
    if light not in LIGHT_WORDS:
        raise BatikError("is not a known light", field="light", got=light, fix=nearest(light, LIGHT_WORDS))
    words = f"{'by' if light in ('D65', 'D50') else 'under'} {LIGHT_WORDS[light]}"
    return f"wet (approximate), {words}" if look == "wet" else words
