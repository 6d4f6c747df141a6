"""Dyed strips and measured swatches, to learn dyes from."""

from dataclasses import dataclass, field

from batiksim.errors import BatikError
from batiksim.values.dyes import reflectance_samples
from batiksim.values.plain_data import as_data
from batiksim.values.rules import Colour, Number, Pairs, Text

LIGHTS = ("D65", "D50", "A", "LED")
"""The lights that colours are seen in: CIE daylights, a filament lamp, a white LED."""
DAYLIGHT = LIGHTS[0]

Layers = tuple[tuple[str, float], ...]
"""What a piece of cloth was dyed with: (dye, strength), one over another; nothing for undyed cloth."""


_NAME = Text(example="sun yellow", help="A name.")
_COLOUR = Colour(help="A colour by daylight.")
STRENGTH = Number(low=0, high=4, above=True, share=True, example=0.5, help="Strength of the dye; 1 is full strength.")
_CORNER = Number(low=-3, high=4, example=0.1, help="A share of the strip.")
_SIZE = Number(low=0, high=4, above=True, example=0.2, help="A share of the strip.")
_L, _AB = (
    Number(low=0, high=100, example=50, help="Lightness."),
    Number(low=-160, high=160, example=0, help="Of CIELAB."),
)
_CARD = Number(low=0, high=1, above=True, example=0.18, help="Reflectance of a card.")
_SAMPLES = Pairs(problem="values.error.needs_reflectance", example=[[400, 0.052], [410, 0.055]], help="Reflectance.")


def _layers(layers: Layers) -> Layers:
    return tuple((_NAME.check(dye, "dye"), STRENGTH.check(strength, f"strength of {dye}")) for dye, strength in layers)


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
        _NAME.check(self.name, "name")
        corner = (_CORNER.check(value, "at: left, top") for value in self.at[:2])
        size = (_SIZE.check(value, "at: width, height") for value in self.at[2:])
        object.__setattr__(self, "layers", _layers(self.layers))
        object.__setattr__(self, "at", (*corner, *size))
        if self.card is not None:
            object.__setattr__(self, "card", _CARD.check(self.card, "card"))
        inside = all(low >= -0.02 and low + size <= 1.02 for low, size in zip(self.at[:2], self.at[2:], strict=True))
        if self.card is None and not inside:
            raise BatikError("values.error.outside_the_strip", field="at", got=self.at)


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
        if not any(patch.layers for patch in self.patches):
            raise BatikError("values.error.no_dyed_patch", field="patch")


@dataclass(frozen=True, kw_only=True)
class Swatch:
    """One measured piece of cloth, known by exactly one of: CIELAB (D65), colour, reflectance.

    Parameters
    ----------
    name : str
        What it is called.
    layers : sequence of (str, float), optional
        The dyes it was dyed with, one over another, each with its strength; none for undyed cloth.
    lab : sequence of 3 floats, optional
        Its colour in CIELAB, D65.
    colour : str, optional
        Its colour by daylight, "#rrggbb".
    samples : sequence of (float, float), optional
        Its measured reflectance: pairs of wavelength in nm and reflectance 0 to 1.

    Examples
    --------
    >>> from batiksim import Swatch
    >>> Swatch(name="A3", layers=[("navy", 0.5)], lab=(42, -3, -20)).lab
    (42.0, -3.0, -20.0)
    """

    name: str
    layers: Layers = field(default=(), metadata=as_data("dyes", make=dict))
    lab: tuple[float, float, float] | None = None
    colour: str | None = None
    samples: tuple[tuple[float, float], ...] = ()

    def __post_init__(self) -> None:
        _NAME.check(self.name, "name")
        object.__setattr__(self, "layers", _layers(self.layers))
        if (self.lab is not None) + (self.colour is not None) + bool(self.samples) != 1:
            raise BatikError("values.error.one_measure", field=self.name)
        if self.colour is not None:
            object.__setattr__(self, "colour", _COLOUR.check(self.colour, "colour"))
        if self.lab is not None:
            named = zip(("L", "a", "b"), (_L, _AB, _AB), self.lab, strict=True)
            object.__setattr__(self, "lab", tuple(rule.check(value, name) for name, rule, value in named))
        if self.samples:
            object.__setattr__(self, "samples", reflectance_samples(_SAMPLES.check(self.samples, "reflectance")))
