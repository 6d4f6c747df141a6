"""Recipes told: the pots found for a wanted colour in words, and both kinds of answer as plain data."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import numpy as np

from batiksim.cloth.pots import ClothDyes
from batiksim.colour.differences import difference_words
from batiksim.colour.mixing import reflectance_from_ks
from batiksim.colour.spaces import delta_e_2000
from batiksim.plan.match import Ground, Match, find_pots
from batiksim.plan.pots import PotColour, PotLook, Wanted, amounts_ml, colour_of, lab_colour
from batiksim.values import DROP_ML, Pot

__all__ = ["Matched", "Recipe", "amount_words", "dilution_words", "match_data", "matched", "pot_data", "recipe_words"]

# CIEDE2000: above the first, people see two colours side by side; above the second they would not call it a match.
# Common practice, no source.
CLOSE, FAR = 2.0, 5.0


@dataclass(frozen=True, kw_only=True)
class Recipe:
    """One pot and the colour it gives; delta_e and words: how that differs from the colour wanted."""

    pot: Pot
    colour: PotColour
    delta_e: float
    words: str


@dataclass(frozen=True, kw_only=True)
class Matched:
    """What was wanted, on what, and the pots found, the nearest first. notes : what else to know, in sentences."""

    wanted: PotColour
    ground: PotColour
    dyed_ground: bool
    recipes: tuple[Recipe, ...]
    notes: tuple[str, ...]


def matched(
    dyes: ClothDyes,
    wanted: Wanted,
    *,
    most_dyes: int = 3,
    most_parts: int = 8,
    ground: Ground | None = None,
    count: int = 5,
) -> Matched:
    """The pots nearest to a colour on the cloth or on a dyed ground, told in words. Arguments as `find_pots`."""
    found = find_pots(dyes, wanted.lab, most_dyes=most_dyes, most_parts=most_parts, ground=ground, count=count)
    ks = dyes.cloth_ks if ground is None else dyes.cloth_ks + ground.ks
    under = colour_of(reflectance_from_ks(ks, surface=dyes.surface))
    recipes = tuple(_recipe(wanted, one) for one in found)
    return Matched(
        wanted=lab_colour(wanted.lab),
        ground=under,
        dyed_ground=ground is not None,
        recipes=recipes,
        notes=_notes(wanted, under, recipes, dyed=ground is not None),
    )


def _recipe(wanted: Wanted, found: Match) -> Recipe:
    words = difference_words(np.array(wanted.lab), np.array(found.lab))
    return Recipe(pot=found.pot, colour=lab_colour(found.lab), delta_e=found.delta_e, words=words)


def _notes(wanted: Wanted, under: PotColour, recipes: Sequence[Recipe], *, dyed: bool) -> tuple[str, ...]:
    best = recipes[0]
    undone = float(delta_e_2000(np.array(wanted.lab), np.array(under.lab)))
    notes = []
    if undone <= best.delta_e:
        notes.append(f"No pot comes nearer than the {'ground' if dyed else 'cloth'} as it is, {undone:.1f} away.")
    elif best.delta_e >= CLOSE:
        far = "These dyes can't make it" if best.delta_e >= FAR else "These dyes come near, not quite there"
        notes.append(f"{far}: the nearest pot is {best.words}, {best.delta_e:.1f} away.")
    if wanted.lab[0] > under.lab[0] + 1.0:
        notes.append("It is paler than what it goes on. Dye only darkens: wax that spot before, or discharge it.")
    return tuple(notes)


def recipe_words(pot: Pot) -> str:
    """What goes into a pot: "5 parts lemon + 1 part turquoise, 3 drops navy"."""
    mix = " + ".join(f"{part:g} {'part' if part == 1 else 'parts'} {dye}" for dye, part in pot.parts.items())
    if len(pot.parts) == 1:
        mix = next(iter(pot.parts))
    drops = ", ".join(f"{many:g} {'drop' if many == 1 else 'drops'} {dye}" for dye, many in pot.drops.items())
    return ", ".join(part for part in (mix, drops) if part)


def dilution_words(pot: Pot) -> str:
    """How to bring a mixture to its strength: "3 parts of the mix, 2 parts chemical water"."""
    if not pot.parts:
        return "chemical water"
    if pot.strength > 1:
        return f"solutions {pot.strength:g} times as strong"
    if pot.strength == 1:
        return "full strength, no water"
    if pot.strength == 0:
        return "chemical water alone"
    what = "the mix" if len(pot.parts) > 1 else "solution"
    share = Fraction(pot.strength).limit_denominator(20)
    mix, water = share.numerator, share.denominator - share.numerator
    if abs(float(share) - pot.strength) > 1e-9:
        return f"{100 * pot.strength:.3g} ml {what}, {100 - 100 * pot.strength:.3g} ml chemical water"
    return f"{mix} {'part' if mix == 1 else 'parts'} {what}, {water} {'part' if water == 1 else 'parts'} chemical water"


def amount_words(ml: float) -> str:
    """An amount as it is measured, by the drop below a millilitre: "50 ml", "8.3 ml", "3 drops"."""
    if ml < 1:
        drops = ml / DROP_ML
        return f"{drops:.0f} {'drop' if round(drops) == 1 else 'drops'}" if drops >= 0.5 else "under a drop"
    return f"{ml:.1f} ml" if ml < 9.95 else f"{ml:.0f} ml"


def pot_data(look: PotLook) -> dict[str, Any]:
    """A pot as `pot --json` prints it."""
    return {
        "pot": _pot_entries(look.pot),
        "recipe": recipe_words(look.pot),
        "dilution": dilution_words(look.pot),
        "loads": dict(look.loads),
        "amounts_ml": [{"what": what, "ml": ml} for what, ml in look.amounts],
        "cloth": colour_data(look.cloth),
        "dry": colour_data(look.dry),
        "wet": colour_data(look.wet) | {"approximate": True},
        "solution": colour_data(look.solution) | {"approximate": True},
        "shifts": [
            {"dye": one.dye, "more": one.by, "delta_e": one.delta_e, "words": one.words} | colour_data(one.colour)
            for one in look.shifts
        ],
        "notes": list(look.notes),
    }


def match_data(result: Matched) -> dict[str, Any]:
    """Found pots as `match --json` prints them."""
    return {
        "wanted": colour_data(result.wanted),
        "ground": colour_data(result.ground) | {"dyed": result.dyed_ground},
        "pots": [
            {
                "pot": _pot_entries(one.pot),
                "recipe": recipe_words(one.pot),
                "dilution": dilution_words(one.pot),
                "amounts_ml": [{"what": what, "ml": ml} for what, ml in amounts_ml(one.pot)],
                "delta_e": one.delta_e,
                "words": one.words,
            }
            | colour_data(one.colour)
            for one in result.recipes
        ],
        "notes": list(result.notes),
    }


def colour_data(colour: PotColour) -> dict[str, Any]:
    """A colour as data."""
    return {"hex": colour.hex, "lab": list(colour.lab), "name": colour.name, "plain": colour.plain}


def _pot_entries(pot: Pot) -> dict[str, Any]:
    entries: dict[str, Any] = {"name": pot.name, "parts": dict(pot.parts), "strength": pot.strength}
    entries |= {"ml": pot.ml} if pot.ml is not None else {}
    return entries | ({"drops": dict(pot.drops)} if pot.drops else {})
