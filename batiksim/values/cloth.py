"""The cloth to be dyed, and the undyed cloth that a dye was seen on."""

from dataclasses import dataclass, field

from batiksim.values.rules import Colour, number, setting, text
from batiksim.values.settings import Value

# Cloth of which nothing is known: an undyed cotton, and its Kubelka-Munk surface floor. Assumptions.
COTTON, FLOOR = "#f1ede2", 0.015
_SURFACE = "Reflection that no dye can go below, a share: the surface floor of Kubelka and Munk."


@dataclass(frozen=True, kw_only=True)
class Cloth(Value):
    """The fabric before anything is done to it.

    colour : None = as the cloth that its dyes were seen on (`bare_cloth`); surface : None as for the colour
    """

    KIND = "cloth"

    width_mm: float = field(
        metadata=number(10, 20_000, unit="mm", example=450, help="Real width of the cloth that the pictures show.")
    )
    colour: str | None = field(
        default=None, metadata=setting(Colour(example=COTTON, help="Colour of the undyed cloth, by daylight."))
    )
    grams_per_m2: float = field(
        default=120.0, metadata=number(10, 2_000, unit="g/m²", example=120, help="Weight of the fabric.")
    )
    surface: float | None = field(default=None, metadata=number(0, 0.1, example=FLOOR, help=_SURFACE))


@dataclass(frozen=True, kw_only=True)
class Undyed(Value):
    """The undyed cloth that a dye was seen on, where it may differ from the cloth to be dyed.

    surface : None = not known
    """

    KIND = "undyed"

    colour: str = field(
        default=COTTON, metadata=setting(Colour(example=COTTON, stated=True, help="Its colour, by daylight."))
    )
    surface: float | None = field(default=None, metadata=number(0, 0.1, example=FLOOR, help=_SURFACE))
    note: str = field(default="", metadata=text(example="poplin", help="What cloth it was, in your words."))
