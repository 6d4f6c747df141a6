"""The cloth to be dyed, and the undyed cloth that a dye was seen on."""

from dataclasses import dataclass, field

from batiksim.values.rules import colour, number, text
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

    width_mm: float = field(metadata=number("Real width of the cloth that the pictures show.", 450, 10, 20_000, "mm"))
    colour: str | None = field(default=None, metadata=colour("Colour of the undyed cloth, by daylight.", COTTON))
    grams_per_m2: float = field(default=120.0, metadata=number("Weight of the fabric.", 120, 10, 2_000, "g/m²"))
    surface: float | None = field(default=None, metadata=number(_SURFACE, FLOOR, 0, 0.1))


@dataclass(frozen=True, kw_only=True)
class Undyed(Value):
    """The undyed cloth that a dye was seen on, where it may differ from the cloth to be dyed.

    surface : None = not known
    """

    KIND = "undyed"

    colour: str = field(default=COTTON, metadata=colour("Its colour, by daylight.", COTTON, stated=True))
    surface: float | None = field(default=None, metadata=number(_SURFACE, FLOOR, 0, 0.1))
    note: str = field(default="", metadata=text("What cloth it was, in your words.", "poplin"))
