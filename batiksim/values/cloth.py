"""The cloth to be dyed, and the undyed cloth that a dye was seen on."""

from dataclasses import dataclass, field

from batiksim.values.documented import documented
from batiksim.values.rules import colour, number, text
from batiksim.values.settings import Value

# Cloth of which nothing is known: an undyed cotton, and its Kubelka-Munk surface floor. Assumptions.
COTTON, FLOOR = "#f1ede2", 0.015
_SURFACE = "Reflection that no dye can go below, a share: the surface floor of Kubelka and Munk"
_AS_SEEN = "where left out, that of the cloth its dyes were seen on."


@documented
@dataclass(frozen=True, kw_only=True)
class Cloth(Value):
    """The fabric before anything is done to it.

    Examples
    --------
    >>> from batiksim import Cloth
    >>> Cloth(width_mm=450)
    Cloth(width_mm=450.0, colour=None, grams_per_m2=120.0, surface=None)
    """

    KIND = "cloth"

    width_mm: float = field(metadata=number("Real width of the cloth that the pictures show.", 450, 10, 20_000, "mm"))
    colour: str | None = field(
        default=None, metadata=colour(f"Colour of the undyed cloth, by daylight; {_AS_SEEN}", COTTON)
    )
    grams_per_m2: float = field(default=120.0, metadata=number("Weight of the fabric.", 120, 10, 2_000, "g/m²"))
    surface: float | None = field(default=None, metadata=number(f"{_SURFACE}; {_AS_SEEN}", FLOOR, 0, 0.1))


@documented
@dataclass(frozen=True, kw_only=True)
class Undyed(Value):
    """The undyed cloth that a dye was seen on, where it may differ from the cloth to be dyed.

    Examples
    --------
    >>> from batiksim import Undyed
    >>> Undyed(colour="#F1EDE2", note="poplin").colour
    '#f1ede2'
    """

    KIND = "undyed"

    colour: str = field(default=COTTON, metadata=colour("Its colour, by daylight.", COTTON, stated=True))
    surface: float | None = field(
        default=None, metadata=number(f"{_SURFACE}; not known where left out.", FLOOR, 0, 0.1)
    )
    note: str = field(default="", metadata=text("What cloth it was, in your words.", "poplin"))
