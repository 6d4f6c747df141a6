"""One pot looked at: its colour on cloth dry and wet, the solution, what goes into it, what one part more does."""

import dataclasses
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.cloth.loads import load_held
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.differences import difference_words
from batiksim.colour.gamut import lab_to_hex
from batiksim.colour.names import colour_name
from batiksim.colour.spaces import xyz_to_lab
from batiksim.colour.viewing import DAY, seen_xyz
from batiksim.errors import BatikError, nearest
from batiksim.texts.catalogue import Message, say
from batiksim.types import Floats, Look, triple
from batiksim.values import DROP_ML, LIGHTS, Pot
from batiksim.values.colour_words import name_message
from batiksim.values.frozen import FrozenDict
from batiksim.values.plain_data import LEFT_OUT, as_data, plain_data

SHOWN_ML = 100.0  # a pot's amounts add up to so much when nothing else is said
# The solution in its bowl is seen through a layer deeper than cloth takes up, and wet: as wet cloth with so many times
# the dye. Common practice says only that it looks stronger; the figure is an assumption.
POT_DEPTH = 3.0
_AMOUNT = re.compile(r"(?P<dye>.+?)\s*(?:=\s*(?P<number>\d+(?:\.\d+)?)\s*(?P<drops>drops?)?)?")


Amounts = tuple[tuple[str | Message, float], ...]
"""What makes up a pot, and how many ml of it: dyes by their names, and chemical water."""


@dataclass(frozen=True, kw_only=True)
class PotColour:
    """A colour as shown: "#rrggbb", CIELAB (D65; adapted, under another light) and its names."""

    DATA = ("shown",)

    hex: str
    lab: tuple[float, float, float]
    name: str
    plain: str

    @property
    def shown(self) -> Message:
        """Its name in the language that is spoken."""
        return name_message(self.name)


@dataclass(frozen=True, kw_only=True)
class Shift:
    """What one part (or drop) more of a dye does, at the same strength: the new colour, how far, in words."""

    dye: str
    by: str = field(metadata=as_data("more"))
    colour: PotColour = field(metadata=as_data(spread=True))
    delta_e: float
    words: Message


@dataclass(frozen=True, kw_only=True)
class Lit:
    """The dry cloth under one light, to an eye used to it; delta_e and words: how it differs from daylight."""

    light: str
    colour: PotColour = field(metadata=as_data(spread=True))
    delta_e: float
    words: Message


def amounts_data(amounts: Amounts) -> list[dict[str, Any]]:
    """What makes up a pot, as data."""
    return [{"what": str(what), "ml": ml} for what, ml in amounts]


def approximate_data(colour: PotColour) -> dict[str, Any]:
    """A colour that is only about right, as data."""
    return plain_data(colour) | {"approximate": True}


@dataclass(frozen=True, eq=False, kw_only=True)
class PotLook:
    """A pot on one cloth.

    light : by which cloth, dry, wet, solution and shifts are seen
    dry, wet : on the cloth (wet approximate); solution : the pot itself, approximate
    reflectance : (31,) of the dry cloth
    lit : the dry cloth under every light, daylight first
    amounts : (what, ml) that make it up: full-strength solutions, then chemical water
    notes : what else to know
    """

    pot: Pot
    light: str
    reflectance: Floats = field(metadata=LEFT_OUT)
    cloth: PotColour
    dry: PotColour
    wet: PotColour = field(metadata=as_data(make=approximate_data))
    solution: PotColour = field(metadata=as_data(make=approximate_data))
    loads: Mapping[str, float]
    amounts: Amounts = field(metadata=as_data("amounts_ml", make=amounts_data))
    shifts: tuple[Shift, ...]
    lit: tuple[Lit, ...] = field(metadata=as_data("lights"))
    notes: tuple[Message, ...]

    @property
    def volume_ml(self) -> float:
        """What the amounts add up to, before drops."""
        return volume_ml(self.pot)


def read_pot(text: str, dyes: Iterable[str], *, strength: float = 1.0, ml: float | None = None) -> Pot:
    """A pot from words: "sun yellow=5, sea blue=1, navy=3 drops"; a dye alone counts one part.

    dyes : the names to choose from; small and capital letters are alike
    ml : what the pot holds before the drops; 100 when there are drops and nothing is said
    errors : BatikError for a dye that isn't there and for what isn't an amount
    """
    known = {dye.casefold(): dye for dye in dyes}
    parts: dict[str, float] = {}
    drops: dict[str, float] = {}
    for piece in text.split(","):
        found = _AMOUNT.fullmatch(piece.strip())
        if found is None or "=" in found["dye"]:
            raise BatikError("dyes.error.not_a_part", field="recipe", got=piece.strip())
        dye = known.get(found["dye"].casefold())
        if dye is None:
            fix = nearest(found["dye"], known.values())
            raise BatikError("dyes.error.unknown_dye", field="recipe", got=found["dye"], fix=fix)
        into = drops if found["drops"] else parts
        into[dye] = into.get(dye, 0.0) + float(found["number"] or 1)
    holds = SHOWN_ML if ml is None and drops else ml
    return Pot(name="pot", parts=parts, strength=strength, ml=holds, drops=drops)


def pot_look(dyes: ClothDyes, pot: Pot, *, light: str = DAY) -> PotLook:
    """Everything about one pot on a cloth, seen by one of `LIGHTS`.

    errors : BatikError for a dye that isn't among `dyes`, and for a light that isn't known
    """
    for dye in pot.dyes:
        if dye not in dyes.dyes:
            raise BatikError("dyes.error.unknown_dye", field="recipe", got=dye, fix=nearest(dye, dyes.dyes))
    ks = dyes.taken_ks([pot])
    dry, deep = dyes.reflectance(ks), dyes.reflectance(POT_DEPTH * ks)
    shown = colour_of(dry, light=light)
    return PotLook(
        pot=pot,
        light=light,
        reflectance=dry,
        cloth=colour_of(dyes.reflectance(), light=light),
        dry=shown,
        wet=colour_of(dry, light=light, look="wet"),
        solution=colour_of(deep, light=light, look="wet"),
        loads=FrozenDict(dyes.pot_loads(pot)),
        amounts=amounts_ml(pot),
        shifts=tuple(
            Shift(dye=dye, by=by, **_compared(shown, dyes.reflectance(dyes.taken_ks([more])), light))
            for by, dye, more in _more(pot)
        ),
        lit=in_lights(dry),
        notes=_notes(dyes, pot),
    )


def in_lights(dry: Floats) -> tuple[Lit, ...]:
    """A dry cloth's reflectance (31,) in every light, daylight first."""
    by_day = colour_of(dry)
    return tuple(Lit(light=light, **_compared(by_day, dry, light)) for light in LIGHTS)


def _compared(start: PotColour, reflectance: Floats, light: str) -> dict[str, Any]:
    """A dry cloth's colour under a light, and how it differs from another."""
    colour = colour_of(reflectance, light=light)
    away = float(delta_e_2000(np.array(start.lab), np.array(colour.lab)))
    return {"colour": colour, "delta_e": away, "words": difference_words(start.lab, colour.lab)}


def colour_of(reflectance: Floats, *, light: str = DAY, look: Look = "dry") -> PotColour:
    """A reflectance (31,) of dry cloth as a named colour, by daylight and dry if nothing else is said."""
    return lab_colour(xyz_to_lab(seen_xyz(reflectance, light=light, look=look)))


def lab_colour(lab: ArrayLike) -> PotColour:
    """A CIELAB colour (3,), D65, with its names."""
    values = np.asarray(lab, dtype=np.float64)
    named = colour_name(values)
    return PotColour(hex=lab_to_hex(values), lab=triple(values), name=named.name, plain=named.plain)


def volume_ml(pot: Pot) -> float:
    """What a pot holds before drops: 100 ml when nothing is said."""
    return SHOWN_ML if pot.ml is None else pot.ml


def amounts_ml(pot: Pot) -> Amounts:
    """What makes up a pot of its own volume (100 ml when it has none), in ml: dyes, chemical water, then drops.

    Above strength 1 there is no water: the solutions themselves are made so much stronger.
    """
    whole = sum(pot.parts.values())
    volume = volume_ml(pot)
    mixed = volume * min(1.0, pot.strength) if whole else 0.0
    amounts: list[tuple[str | Message, float]] = [(dye, mixed * part / whole) for dye, part in pot.parts.items()]
    if volume - mixed > 1e-9:
        amounts.append((say("dyes.pot.chemical_water"), volume - mixed))
    return (*amounts, *((dye, DROP_ML * drops) for dye, drops in pot.drops.items()))


def _more(pot: Pot) -> list[tuple[str, str, Pot]]:
    """(part or drop, dye, the pot with one more of it) for every dye of which one more changes the pot."""
    changed = []
    if len(pot.parts) > 1:
        for dye, parts in pot.parts.items():
            changed.append(("part", dye, dataclasses.replace(pot, parts={**pot.parts, dye: parts + 1})))
    for dye, drops in pot.drops.items():
        changed.append(("drop", dye, dataclasses.replace(pot, drops={**pot.drops, dye: drops + 1})))
    return changed


def _notes(dyes: ClothDyes, pot: Pot) -> tuple[Message, ...]:
    notes = []
    if pot.strength > 1:
        notes.append(say("dyes.pot.too_strong_for_stock", strength=pot.strength))
    offered = sum(dyes.pot_loads(pot).values())
    if load_held(offered) < 0.98 * offered:
        notes.append(say("dyes.pot.more_than_cloth_takes"))
    for dye in pot.dyes:
        if (residual := dyes.dyes[dye].residual) >= 1:
            notes.append(say("dyes.pot.colour_out_of_reach", dye=dye, off=round(residual, 1)))
    return tuple(notes)
