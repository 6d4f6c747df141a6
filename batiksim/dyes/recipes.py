"""Recipes told: what goes into a pot and how to thin it, in words, and a pot as plain data."""

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from batiksim.dyes.pot_colour import Lit, PotColour, PotLook
from batiksim.values import DROP_ML, Pot


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
    """An amount as it is measured, by the drop below a millilitre: "12 l", "50 ml", "8.3 ml", "3 drops"."""
    if ml >= 10_000:
        return f"{ml / 1000:,.4g} l"
    if ml < 1:
        drops = ml / DROP_ML
        return f"{drops:.0f} {'drop' if round(drops) == 1 else 'drops'}" if drops >= 0.5 else "under a drop"
    return f"{ml:.1f} ml" if ml < 9.95 else f"{ml:.0f} ml"


def pot_data(look: PotLook) -> dict[str, Any]:
    """A pot as `pot --json` prints it."""
    return {
        "pot": pot_entries(look.pot),
        "light": look.light,
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
        "lights": lights_data(look.lit),
        "notes": [str(note) for note in look.notes],
    }


def colour_data(colour: PotColour) -> dict[str, Any]:
    """A colour as data."""
    return {"hex": colour.hex, "lab": list(colour.lab), "name": colour.name, "plain": colour.plain}


def lights_data(lit: Sequence[Lit]) -> list[dict[str, Any]]:
    """How a dry colour looks in each light, as data."""
    return [{"light": one.light, "delta_e": one.delta_e, "words": one.words} | colour_data(one.colour) for one in lit]


def pot_entries(pot: Pot) -> dict[str, Any]:
    """A pot as a design would write it."""
    entries: dict[str, Any] = {"name": pot.name, "parts": dict(pot.parts), "strength": pot.strength}
    entries |= {"ml": pot.ml} if pot.ml is not None else {}
    return entries | ({"drops": dict(pot.drops)} if pot.drops else {})
