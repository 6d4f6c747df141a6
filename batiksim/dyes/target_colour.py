"""A colour in words, wanted or there already: its figures, its name, or a dye or pot that is at hand."""

import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.colour.gamut import lab_to_hex
from batiksim.colour.kubelka_munk import ks_from_reflectance
from batiksim.colour.names import known_names
from batiksim.colour.reflectance_recovery import smooth_reflectance
from batiksim.colour.spaces import hex_to_lab, lab_to_xyz, xyz_to_lab
from batiksim.colour.viewing import seen_xyz
from batiksim.dyes.match_colours import Ground
from batiksim.dyes.pot_colour import read_pot
from batiksim.errors import BatikError, at_argument
from batiksim.texts.catalogue import Message, say
from batiksim.types import Floats, triple
from batiksim.values import Pot
from batiksim.values.colour_words import name_message

_HEX = re.compile(r"#?[0-9a-fA-F]{6}")
HOW = say("dyes.error.unknown_colour.fix")


@dataclass(frozen=True, eq=False, kw_only=True)
class TargetColour:
    """A colour to aim for, CIELAB (D65).

    from_name : the colour name it was given by, if any
    reflectance : (31,) of a dye or pot, which has a look in every light; None for a mere colour
    """

    lab: tuple[float, float, float]
    from_name: str | None = None
    reflectance: Floats | None = field(default=None, compare=False)

    @property
    def hex(self) -> str:
        """The colour "#rrggbb"."""
        return lab_to_hex(self.lab)


def wanted_colour(text: str) -> TargetColour:
    """A colour from "#rrggbb" (the # may be left out) or from an ISCC-NBS name such as "deep yellowish pink",
    in English or in the language that is spoken.

    errors : BatikError naming the nearest colour names, or how a colour may be written where none is near
    """
    given = text.strip()
    if _HEX.fullmatch(given):
        return TargetColour(lab=triple(hex_to_lab(f"#{given.removeprefix('#')}")))
    names, centroids = known_names()
    wanted = " ".join(given.lower().replace("gray", "grey").replace("-", " ").split())
    spoken = [str(name_message(known.name)).lower() for known in names]
    for known, shown, lab in zip(names, spoken, centroids, strict=True):
        if wanted in (known.name, shown):
            return TargetColour(lab=triple(lab), from_name=known.name)
    raise BatikError("dyes.error.unknown_colour", field="colour", got=text, fix=_near_names(wanted, spoken))


def wanted_dye_or_colour(text: str, dyes: ClothDyes, pots: Sequence[Pot] = (), *, light: str = "D65") -> TargetColour:
    """What `wanted_colour` takes, or else a pot by its name, a dye, or parts of dyes, as it dries on bare cloth.

    dyes, pots : those at hand; light : by which a dye or pot is looked at
    errors : BatikError as of `wanted_colour`, naming the nearest dye too
    """
    try:
        return wanted_colour(text)
    except BatikError as unknown:
        with at_argument("colour"):
            pot = _pot_at_hand(text, dyes, pots)
        if pot is None:
            raise _unknown(text, unknown, dyes, pots) from None
    shown = dyes.reflectance(dyes.taken_ks([pot]))
    return TargetColour(lab=triple(xyz_to_lab(seen_xyz(shown, light=light))), reflectance=shown)


def ground_of(text: str, dyes: ClothDyes, pots: Sequence[Pot] = ()) -> Ground:
    """What lies on the cloth already, from the pot, dye or parts that dyed it, or else from its colour.

    A dye goes before a colour of that name. A colour doesn't show how full the fibre is: it counts as one full
    strength where it is darker than the cloth.
    errors : BatikError for what is neither, naming what is near
    """
    try:
        pot = _pot_at_hand(text, dyes, pots)
        if pot is not None:
            return Ground(ks=dyes.taken_ks([pot]), load=sum(dyes.pot_loads(pot).values()))
        colour = wanted_colour(text)
    except BatikError as unknown:
        error = _unknown(text, unknown, dyes, pots) if unknown.field == "colour" else unknown
        raise error.at_argument("ground") from None
    reflectance, _ = smooth_reflectance(lab_to_xyz(np.array(colour.lab)), surface=dyes.surface)
    ks = np.maximum(ks_from_reflectance(reflectance, surface=dyes.surface) - dyes.cloth_ks, 0.0)
    return Ground(ks=ks, load=1.0 if ks.any() else 0.0)


def _at_hand(dyes: ClothDyes, pots: Sequence[Pot]) -> dict[str, Pot]:
    """Pots and dyes by their names in small letters; of two alike, the first."""
    named = [*pots, *(Pot(name=name, parts={name: 1}) for name in dyes.dyes)]
    return {pot.name.casefold(): pot for pot in reversed(named)}


def _pot_at_hand(text: str, dyes: ClothDyes, pots: Sequence[Pot]) -> Pot | None:
    """A pot or dye by its name, or parts of dyes; None for what looks like neither."""
    found = _at_hand(dyes, pots).get(" ".join(text.split()).casefold())
    return found or (read_pot(text, dyes.dyes) if "=" in text or "," in text else None)


def _unknown(text: str, unknown: BatikError, dyes: ClothDyes, pots: Sequence[Pot]) -> BatikError:
    """The error for what is no colour: with the nearest dye or pot, where one is spelt alike."""
    known = _at_hand(dyes, pots)
    near = difflib.get_close_matches(" ".join(text.split()).casefold(), known, n=1, cutoff=0.75)
    fix = say("dyes.error.near_dye", name=repr(known[near[0]].name)) if near else unknown.fix
    return BatikError(unknown.problem, field=unknown.field, got=text, fix=fix)


def _near_names(wanted: str, names: list[str]) -> Message:
    """Advice: names spelt alike, else those that share most words, or beginnings of words, with the name wanted."""
    near = difflib.get_close_matches(wanted, names, n=3, cutoff=0.8)
    if not near:
        words = wanted.split()
        shared = {name: sum(_akin(one, other) for one in words for other in name.split()) for name in names}
        near = [name for name in sorted(names, key=lambda name: (-shared[name], len(name))) if shared[name]][:4]
    if not near:
        return HOW
    key = "dyes.error.near_colour" if len(near) == 1 else "dyes.error.near_colours"
    return say(key, names=", ".join(repr(name) for name in near))


def _akin(one: str, other: str) -> bool:
    return one == other or (min(len(one), len(other)) >= 3 and one[:4] == other[:4])
