"""Recipes: what goes into a pot and how to thin it, in words, and a pot as plain data."""

import math
from typing import Any

from batiksim.dyes.pot_colour import PotLook, volume_ml
from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import listed
from batiksim.values import DROP_ML, Pot
from batiksim.values.plain_data import plain_data


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


def pot_words(pot: Pot) -> dict[str, str]:
    """A pot in words: its recipe, and its dilution."""
    return {"recipe": str(recipe_words(pot)), "dilution": str(dilution_words(pot))}


def pot_data(look: PotLook) -> dict[str, Any]:
    """A pot as `pot --json` prints it."""
    return plain_data(look) | pot_words(look.pot)
