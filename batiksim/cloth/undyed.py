"""The cloth before anything is done to it: as the design states it, else as the cloth that its dyes were seen on.

A dye's K/S carries over from cloth to cloth; the undyed colour and the surface floor don't come with it. A dye learnt
from a strip knows both of that strip, and a design that says nothing else is taken to be dyed on such cloth.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.spaces import hex_to_lab
from batiksim.values import COTTON, FLOOR, Cloth, Dye, Undyed

# Assumptions. Strips of one cloth calibrate to floors some .003 and colours some 1.5 CIEDE2000 apart (made photos).
FLOORS_AGREE = 0.005
COLOURS_AGREE = 3.0

_Value = TypeVar("_Value")


@dataclass(frozen=True, kw_only=True)
class BareCloth:
    """Undyed cloth as it is reckoned with. colour : "#rrggbb"; surface : Kubelka-Munk surface floor."""

    colour: str
    surface: float


def bare_cloth(cloth: Cloth, dyes: Sequence[Dye]) -> BareCloth:
    """A cloth with its colour and floor: as stated, else as most of these dyes were seen on, else a common cotton's.

    Dyes seen on cloth of a known floor speak before the others about the colour too: such cloth was measured. Whether
    dyes come in one order or another makes no difference.
    """
    seen = measured_cloths(dyes)
    surface = cloth.surface
    if surface is None:
        floors = [undyed.surface for undyed in seen.values() if undyed.surface is not None]
        surface = _most_agree(sorted(floors), floors_apart, FLOORS_AGREE) if floors else FLOOR
    colour = cloth.colour
    if colour is None:
        spoken = list(seen.values()) or [dye.seen_on for dye in dyes if dye.seen_on is not None]
        colours = sorted(undyed.colour for undyed in spoken)
        colour = _most_agree(colours, colours_apart, COLOURS_AGREE) if colours else COTTON
    return BareCloth(colour=colour, surface=surface)


def reckoned_cloth(cloth: Cloth, dyes: Sequence[Dye], bare: BareCloth) -> Cloth:
    """A cloth for a design of these dyes that is reckoned with as `bare`; stated only what they wouldn't lead to.

    For designs made of some of the dyes that a search chose from: its cloth stays the one that was searched on.
    """
    alone = bare_cloth(cloth, dyes)
    surface = cloth.surface if alone.surface == bare.surface else bare.surface
    return replace(cloth, colour=cloth.colour if alone.colour == bare.colour else bare.colour, surface=surface)


def measured_cloths(dyes: Sequence[Dye]) -> dict[str, Undyed]:
    """The cloths that dyes were seen on, by the dye's name, as far as their surface floor is known."""
    return {dye.name: dye.seen_on for dye in dyes if dye.seen_on is not None and dye.seen_on.surface is not None}


def floors_apart(first: float, second: float) -> float:
    """How far two surface floors are apart, rounded to three places."""
    return abs(round(first, 3) - round(second, 3))


def colours_apart(first: str, second: str) -> float:
    """How far two undyed cloths are apart, CIEDE2000."""
    return float(delta_e_2000(hex_to_lab(first), hex_to_lab(second)))


def _most_agree(values: Sequence[_Value], apart: Callable[[_Value, _Value], float], limit: float) -> _Value:
    """The value that most others agree with; of several, the one nearest to those, then the first."""
    kinds = list(dict.fromkeys(values))

    def standing(value: _Value) -> tuple[int, float]:
        agreeing = [distance for other in values if (distance := apart(value, other)) <= limit + 1e-9]
        return -len(agreeing), sum(agreeing)

    return min(kinds, key=standing)
