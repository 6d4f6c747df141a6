"""The pots nearest to a wanted colour: in words, in every light, as plain data."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.differences import difference_words
from batiksim.colour.viewing import DAY
from batiksim.dyes.match import find_pots
from batiksim.dyes.match_colours import Ground
from batiksim.dyes.metamerism import MetamericPair, metameric_pairs, metamerism_words
from batiksim.dyes.pot_colour import Lit, PotColour, PotLook, amounts_data, amounts_ml, colour_of, in_lights, lab_colour
from batiksim.dyes.recipes import pot_words, recipe_words
from batiksim.dyes.target_colour import TargetColour
from batiksim.texts.catalogue import Message, say
from batiksim.types import Floats
from batiksim.values import Pot
from batiksim.values.plain_data import LEFT_OUT, as_data, plain_data

# CIEDE2000: above the first, people see two colours side by side; above the second they would not call it a match.
# Common practice, no source.
CLOSE, FAR = 2.0, 5.0
MOST_PARTINGS = 3  # noted of one match
PALER = 1.0  # L* by which a colour must be paler than what it goes on, to be worth a note


@dataclass(frozen=True, kw_only=True)
class Recipe:
    """One pot and the colour it gives; delta_e and words: how that differs from the colour wanted.

    lit : that colour in every light, daylight first
    """

    pot: Pot
    colour: PotColour = field(metadata=as_data(spread=True))
    lit: tuple[Lit, ...] = field(metadata=as_data("lights"))
    delta_e: float
    words: Message


@dataclass(frozen=True, kw_only=True)
class Matched:
    """What was wanted, on what, and the pots found, the nearest first.

    light : by which all of it is seen
    metameric_pairs : of pots that match each other there and part under another light; places in `recipes`, then the
        wanted one where it is a dye or pot itself
    notes : what else to know
    """

    light: str
    wanted: PotColour
    ground: PotColour
    dyed_ground: bool = field(metadata=LEFT_OUT)
    recipes: tuple[Recipe, ...] = field(metadata=LEFT_OUT)
    metameric_pairs: tuple[MetamericPair, ...] = field(metadata=LEFT_OUT)
    notes: tuple[Message, ...]


def matched(
    dyes: ClothDyes,
    wanted: TargetColour,
    *,
    most_dyes: int = 3,
    most_parts: int = 8,
    ground: Ground | None = None,
    light: str = DAY,
    count: int = 5,
) -> Matched:
    """The pots nearest to a colour on the cloth or on a dyed ground, in words. Arguments as `find_pots`."""
    found = find_pots(
        dyes, wanted.lab, most_dyes=most_dyes, most_parts=most_parts, ground=ground, light=light, count=count
    )
    bare = colour_of(dyes.reflectance(), light=light)
    under = bare if ground is None else colour_of(_on_ground(dyes, ground), light=light)
    shown = [_on_ground(dyes, ground, one.pot) for one in found]
    recipes = tuple(
        Recipe(
            pot=one.pot,
            colour=lab_colour(one.lab),
            lit=in_lights(dry),
            delta_e=one.delta_e,
            words=difference_words(wanted.lab, one.lab),
        )
        for one, dry in zip(found, shown, strict=True)
    )
    shown += [] if wanted.reflectance is None else [wanted.reflectance]
    apart = metameric_pairs(np.stack(shown), day=light)[:MOST_PARTINGS]
    names = [*(say("dyes.match.pot", number=number) for number in range(1, len(found) + 1)), say("dyes.match.wanted")]
    return Matched(
        light=light,
        wanted=lab_colour(wanted.lab),
        ground=under,
        dyed_ground=ground is not None,
        recipes=recipes,
        metameric_pairs=apart,
        notes=(
            *_notes(wanted, under, bare, recipes, dyed=ground is not None),
            *(metamerism_words(names[pair.first], names[pair.second], pair) for pair in apart),
        ),
    )


def twins(dyes: ClothDyes, look: PotLook, *, most: int = 2) -> tuple[Message, ...]:
    """Notes on pots of other dyes that look the same as this one, but different under another light."""
    found = find_pots(dyes, look.dry.lab, light=look.light)
    pots = [one.pot for one in found if set(one.pot.dyes) != set(look.pot.dyes)]
    shown = np.stack([look.reflectance, *(_on_ground(dyes, None, pot) for pot in pots)])
    pairs = [pair for pair in metameric_pairs(shown, day=look.light) if pair.first == 0]
    others = [say("dyes.match.recipe_at_strength", recipe=recipe_words(pot), strength=pot.strength) for pot in pots]
    return tuple(metamerism_words(say("dyes.match.this_pot"), others[pair.second - 1], pair) for pair in pairs[:most])


def _on_ground(dyes: ClothDyes, ground: Ground | None, pot: Pot | None = None) -> Floats:
    """Reflectance (31,) of a ground, or of a pot over it."""
    under, before = (0.0, 0.0) if ground is None else (ground.ks, ground.load)
    return dyes.reflectance(under + dyes.taken_ks([] if pot is None else [pot], before=before))


def _notes(
    wanted: TargetColour, under: PotColour, bare: PotColour, recipes: Sequence[Recipe], *, dyed: bool
) -> tuple[Message, ...]:
    best = recipes[0]
    undone = float(delta_e_2000(np.array(wanted.lab), np.array(under.lab)))
    notes = []
    if undone <= best.delta_e:
        difference = difference_words(wanted.lab, under.lab)
        notes.append(say(f"dyes.match.{'ground' if dyed else 'cloth'}_is_closest", difference=difference))
    elif best.delta_e >= CLOSE:
        notes.append(say(f"dyes.match.{'far' if best.delta_e >= FAR else 'near'}", difference=best.words))
    if wanted.lab[0] > under.lab[0] + PALER:
        on_dyed = "wax_first" if wanted.lab[0] > bare.lab[0] + PALER else "wax_or_discharge"
        notes.append(say(f"dyes.match.paler.{on_dyed if dyed else 'leave_bare'}"))
    return tuple(notes)


def match_data(result: Matched) -> dict[str, Any]:
    """Found pots as `match --json` prints them."""
    names = [*range(1, len(result.recipes) + 1), "wanted"]
    return plain_data(result) | {
        "ground": plain_data(result.ground) | {"dyed": result.dyed_ground},
        "pots": [
            plain_data(one) | pot_words(one.pot) | {"amounts_ml": amounts_data(amounts_ml(one.pot))}
            for one in result.recipes
        ],
        "partings": [
            {
                "pots": [names[pair.first], names[pair.second]],
                "match_under": pair.day,
                "part_under": pair.lamp,
                "delta_e": [pair.by_day, pair.by_lamp],
            }
            for pair in result.metameric_pairs
        ],
    }
