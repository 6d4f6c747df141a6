"""Recipes: what goes into a pot and how to thin it, in words, and a pot as plain data."""

import math
from collections.abc import Sequence
from typing import Any

from batiksim.dyes.pot_colour import Amounts, Lit, PotColour, PotLook, volume_ml
from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import listed
from batiksim.values import DROP_ML, Pot


def recipe_words(pot: Pot) -> Message:
    """What goes into a pot: "5 parts lemon, 1 part turquoise and 3 drops navy"; a dye alone by its name."""
    alone = len(pot.parts) == 1
    mix = [dye if alone else counted("dyes.recipe.parts", parts, dye) for dye, parts in pot.parts.items()]
    return listed([*mix, *(counted("dyes.recipe.drops", drops, dye) for dye, drops in pot.drops.items())])


def counted(key: str, amount: float, dye: str) -> Message:
    """So many parts or drops of a dye; any fraction takes the plural, as in "0.5 parts"."""
    return say(key, count=1 if amount == 1 else max(2, math.ceil(amount)), amount=float(f"{amount:g}"), dye=dye)


def dilution_words(pot: Pot) -> Message:
    """How to bring a mixture to its strength: "60 ml dye solution, 40 ml chemical water"."""
    if not pot.parts or pot.strength == 0:
        return say("dyes.dilution.water")
    if pot.strength > 1:
        return say("dyes.dilution.stronger", strength=pot.strength)
    if pot.strength == 1:
        return say("dyes.dilution.full")
    volume = volume_ml(pot)
    dye = volume * pot.strength
    return say("dyes.dilution.thinned", dye=amount_words(dye), water=amount_words(volume - dye))


def amount_words(ml: float) -> Message:
    """An amount as it is measured, by the drop below a millilitre: "12 l", "50 ml", "8.3 ml", "3 drops"."""
    if ml >= 10_000:
        return say("dyes.amount.litres", litres=float(f"{ml / 1000:.4g}"))
    if ml < 1:
        drops = ml / DROP_ML
        return say("dyes.amount.drops", count=round(drops)) if drops >= 0.5 else say("dyes.amount.under_a_drop")
    return say("dyes.amount.ml" if ml < 9.95 else "dyes.amount.whole_ml", ml=ml)


def pot_data(look: PotLook) -> dict[str, Any]:
    """A pot as `pot --json` prints it."""
    return {
        "pot": pot_entries(look.pot),
        "light": look.light,
        "recipe": str(recipe_words(look.pot)),
        "dilution": str(dilution_words(look.pot)),
        "loads": dict(look.loads),
        "amounts_ml": amounts_data(look.amounts),
        "cloth": colour_data(look.cloth),
        "dry": colour_data(look.dry),
        "wet": colour_data(look.wet) | {"approximate": True},
        "solution": colour_data(look.solution) | {"approximate": True},
        "shifts": [
            {"dye": shift.dye, "more": shift.by, "delta_e": shift.delta_e, "words": str(shift.words)}
            | colour_data(shift.colour)
            for shift in look.shifts
        ],
        "lights": lights_data(look.lit),
        "notes": [str(note) for note in look.notes],
    }


def amounts_data(amounts: Amounts) -> list[dict[str, Any]]:
    """What makes up a pot, as data."""
    return [{"what": str(what), "ml": ml} for what, ml in amounts]


def colour_data(colour: PotColour) -> dict[str, Any]:
    """A colour as data."""
    return {"hex": colour.hex, "lab": list(colour.lab), "name": colour.name, "plain": colour.plain}


def lights_data(lit: Sequence[Lit]) -> list[dict[str, Any]]:
    """How a dry colour looks in each light, as data."""
    return [
        {"light": seen.light, "delta_e": seen.delta_e, "words": str(seen.words)} | colour_data(seen.colour)
        for seen in lit
    ]


def pot_entries(pot: Pot) -> dict[str, Any]:
    """A pot as a design would write it."""
    entries: dict[str, Any] = {"name": pot.name, "parts": dict(pot.parts), "strength": pot.strength}
    entries |= {"ml": pot.ml} if pot.ml is not None else {}
    return entries | ({"drops": dict(pot.drops)} if pot.drops else {})
