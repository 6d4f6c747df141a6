"""The cloth to be dyed, and the undyed cloth that a dye was seen on."""

from __future__ import annotations

from dataclasses import dataclass

from batiksim.values.fields import between, colour, text

__all__ = ["COTTON", "FLOOR", "Cloth", "Undyed"]

# Cloth of which nothing is known: an undyed cotton, and its Kubelka-Munk surface floor. Assumptions.
COTTON, FLOOR = "#f1ede2", 0.015


@dataclass(frozen=True, kw_only=True)
class Cloth:
    """The fabric before anything is done to it.

    width_mm : real width of the pictures
    colour : undyed, by daylight, "#rrggbb"; None = as the cloth that its dyes were seen on (`bare_cloth`)
    grams_per_m2 : fabric weight
    surface : reflection no dye can go below (Kubelka-Munk surface floor), 0..0.1; None as for the colour
    """

    width_mm: float
    colour: str | None = None
    grams_per_m2: float = 120.0
    surface: float | None = None

    def __post_init__(self) -> None:
        between("width_mm", self.width_mm, 10, 20_000)
        if self.colour is not None:
            object.__setattr__(self, "colour", colour("colour", self.colour))
        between("grams_per_m2", self.grams_per_m2, 10, 2_000)
        if self.surface is not None:
            between("surface", self.surface, 0, 0.1)


@dataclass(frozen=True, kw_only=True)
class Undyed:
    """The undyed cloth that a dye was seen on, where it may differ from the cloth to be dyed.

    colour : "#rrggbb", by daylight
    surface : Kubelka-Munk surface floor, as in `Cloth`; None = not known
    note : what cloth it was, in the maker's words
    """

    colour: str = COTTON
    surface: float | None = None
    note: str = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "colour", colour("colour", self.colour))
        if self.surface is not None:
            between("surface", self.surface, 0, 0.1)
        if self.note:
            text("note", self.note)
