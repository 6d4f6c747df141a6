"""How a dye grows with its strength, and what it throws back of each colour of light: the values behind two charts."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.colour.gamut import xyz_to_hex
from batiksim.colour.viewing import DAY, seen_xyz
from batiksim.types import Floats
from batiksim.values import Pot
from batiksim.values.plain_data import LEFT_OUT, as_data


@dataclass(frozen=True, kw_only=True)
class Ladder:
    """One dye or pot at rising strengths.

    strengths : full strengths, rising; colours : "#rrggbb" of each
    measured : (strength, "#rrggbb") of the maker's own swatches, if there are any
    """

    name: str
    strengths: tuple[float, ...] = field(metadata=LEFT_OUT)
    colours: tuple[str, ...]
    measured: tuple[tuple[float, str], ...] = ()


@dataclass(frozen=True, eq=False, kw_only=True)
class Spectrum:
    """What one dyed cloth throws back: reflectance (31,) on the grid of `spectra.BANDS_NM`, and its "#rrggbb"."""

    name: str
    reflectance: Floats = field(metadata=as_data(places=5))
    colour: str = field(metadata=as_data("hex"))


def ladder(
    dyes: ClothDyes,
    pot: Pot,
    strengths: Sequence[float],
    *,
    measured: Sequence[tuple[float, str]] = (),
    light: str = DAY,
) -> Ladder:
    """A pot (a dye alone is the pot of that dye) at each strength, dry, by one of `LIGHTS`."""
    reflectances = np.stack([_reflectance(dyes, pot, strength) for strength in strengths])
    colours = tuple(xyz_to_hex(xyz) for xyz in seen_xyz(reflectances, light=light))
    return Ladder(name=pot.name, strengths=tuple(strengths), colours=colours, measured=tuple(measured))


def spectra(dyes: ClothDyes, pots: Sequence[Pot], *, strength: float = 1.0, light: str = DAY) -> tuple[Spectrum, ...]:
    """The spectra of pots on the cloth at one strength; light : by which their colours are seen."""
    held = [(pot.name, _reflectance(dyes, pot, strength)) for pot in pots]
    return tuple(Spectrum(name=name, reflectance=r, colour=xyz_to_hex(seen_xyz(r, light=light))) for name, r in held)


def _reflectance(dyes: ClothDyes, pot: Pot, strength: float) -> Floats:
    return dyes.reflectance(dyes.taken_ks([pot], level=strength))
