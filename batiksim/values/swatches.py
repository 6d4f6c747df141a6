"""Dyed strips and measured swatches, to learn dyes from."""

from dataclasses import dataclass

from batiksim.errors import BatikError
from batiksim.values.fields import between, colour, text

LIGHTS = ("D65", "D50", "A", "LED")
"""The lights that colours are seen in: CIE daylights, a filament lamp, a white LED."""
DAYLIGHT = LIGHTS[0]

Layers = tuple[tuple[str, float], ...]
"""What a piece of cloth was dyed with: (dye, strength), one over another; nothing for undyed cloth."""


def _layers(layers: Layers) -> None:
    for dye, strength in layers:
        text("dye", dye)
        between(f"strength of {dye}", strength, 0, 4, above=True)


@dataclass(frozen=True, kw_only=True)
class Patch:
    """One patch of a strip in a photo.

    at : left, top, width, height as shares of the strip; a card may lie beyond the strip
    card : reflectance 0..1 of a white or grey card; None for cloth
    """

    name: str
    layers: Layers = ()
    at: tuple[float, float, float, float]
    card: float | None = None

    def __post_init__(self) -> None:
        text("name", self.name)
        _layers(self.layers)
        for value in self.at[:2]:
            between("at: left, top", value, -3, 4)
        for value in self.at[2:]:
            between("at: width, height", value, 0, 4, above=True)
        if self.card is not None:
            between("reflectance", self.card, 0.01, 1)
        elif not all(low >= -0.02 and low + size <= 1.02 for low, size in zip(self.at[:2], self.at[2:], strict=True)):
            raise BatikError("lies outside the strip", field="at", got=self.at, fix="keep cloth patches on the strip")


@dataclass(frozen=True, kw_only=True)
class Strip:
    """A dyed strip in a photo.

    cloth_colour : of the undyed cloth by daylight, where it is known
    cloth_assumed : whether that is only what cotton commonly is
    corners : x, y in pixels of the upright photo: the strip's top left, top right, bottom right, bottom left
    ground : whether all between the patches is undyed cloth
    lit_by : the light the photo was taken in, by its name in `LIGHTS`
    """

    title: str
    corners: tuple[tuple[float, float], ...]
    patches: tuple[Patch, ...]
    cloth_colour: str | None = None
    cloth_assumed: bool = False
    ground: bool = False
    lit_by: str = "D65"

    def __post_init__(self) -> None:
        text("title", self.title)
        if self.cloth_colour is not None:
            object.__setattr__(self, "cloth_colour", colour("colour", self.cloth_colour))
        if not any(patch.layers for patch in self.patches):
            raise BatikError("has no dyed patch", field="patch", fix='write [[patch]] and under it dye = "sun yellow"')


@dataclass(frozen=True, kw_only=True)
class Swatch:
    """One measured piece of cloth, known by exactly one of: CIELAB (D65), colour, reflectance.

    samples : ((nm, reflectance 0..1), ...)
    """

    name: str
    layers: Layers = ()
    lab: tuple[float, float, float] | None = None
    colour: str | None = None
    samples: tuple[tuple[float, float], ...] = ()

    def __post_init__(self) -> None:
        text("name", self.name)
        _layers(self.layers)
        if (self.lab is not None) + (self.colour is not None) + bool(self.samples) != 1:
            raise BatikError("needs CIELAB, a colour or a reflectance", field=self.name, fix="fill in one of them")
        if self.colour is not None:
            object.__setattr__(self, "colour", colour("colour", self.colour))
        if self.lab is not None:
            between("L", self.lab[0], 0, 100)
            for letter, value in zip("ab", self.lab[1:], strict=True):
                between(letter, value, -160, 160)
