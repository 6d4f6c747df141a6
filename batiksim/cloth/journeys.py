"""The way of each colour: where a region of the cloth stood after each dye that it took."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.cloth.outcome import LEAST_SHARE, History, held_dye, history_names
from batiksim.cloth.program import Program
from batiksim.colour import names, spaces
from batiksim.colour.gamut import xyz_to_hex
from batiksim.colour.viewing import DAY, seen_xyz
from batiksim.values import Design

__all__ = ["Journey", "journeys"]


@dataclass(frozen=True, kw_only=True)
class Journey:
    """One region's way from the bare cloth to what it is.

    history : pots and "discharge", in order
    labs : CIELAB of the bare cloth and after each of them, dry, by the light asked for
    hex, name : of the last; share : of the cloth, 0..1
    """

    share: float
    history: tuple[str, ...]
    labs: tuple[tuple[float, float, float], ...]
    hex: str
    name: str


def journeys(
    program: Program,
    found: Sequence[History],
    dyes: ClothDyes,
    design: Design,
    *,
    light: str = DAY,
    most: int = 10,
) -> tuple[Journey, ...]:
    """The ways of the largest regions, at most so many, the largest first; those under 0.1 % are left out.

    found : the histories that `survey` found with the same program; light : one of `lights.LIGHT_WORDS`
    """
    whole = sum(history.pixels for history in found)
    large = [one for one in found if not one.mixed and one.pixels >= LEAST_SHARE * whole]
    return tuple(_journey(program, one, dyes, design, share=one.pixels / whole, light=light) for one in large[:most])


def _journey(
    program: Program, history: History, dyes: ClothDyes, design: Design, *, share: float, light: str
) -> Journey:
    labs = []
    for layers in range(len(history.reached) + 1):
        held = held_dye(program, replace(history, reached=history.reached[:layers]), dyes, design)
        xyz = seen_xyz(dyes.reflectance(held.ks), light=light)
        lightness, a, b = spaces.xyz_to_lab(xyz).tolist()
        labs.append((lightness, a, b))
    return Journey(
        share=share,
        history=history_names(program, history),
        labs=tuple(labs),
        hex=xyz_to_hex(xyz),
        name=names.colour_name(labs[-1]).name,
    )
