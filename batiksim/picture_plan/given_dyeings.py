"""Dyeings that a maker has settled already: "lemon 60% > turquoise | scarlet 80% > navy", or those of a design."""

import re
from collections.abc import Iterable, Mapping

from batiksim.errors import BatikError, nearest
from batiksim.picture_plan.palette import Bath, bath_pot, pot_bath
from batiksim.picture_plan.plan import MOST_POTS, MOST_STEPS
from batiksim.texts.catalogue import say
from batiksim.values import Design, DyeBath, Pot

_STRENGTH = re.compile(r"(?P<name>.+?)\s+(?P<percent>\d+(?:\.\d+)?)\s*%")
EXAMPLE = say("from_picture.error.no_dyeings.fix")


def read_dyeings(text: str, dyes: Iterable[str], pots: Mapping[str, Pot]) -> list[list[Pot]]:
    """Dyeings in order, each of one pot or more.

    text : dyeings parted by ">", pots side by side by "|"; each a pot, or a dye and its strength (100% if left out)
    errors : BatikError for unknown names, too many dyeings or pots, and strengths out of range
    """
    known = {name: Pot(name=name, parts={name: 1.0}) for name in dyes} | dict(pots)
    dyeings = [[_pot(word.strip(), known) for word in dyeing.split("|")] for dyeing in text.split(">")]
    _check(dyeings)
    return dyeings


def design_dyeings(design: Design) -> list[list[Pot]]:
    """The dyeings of a design in order, with their pots. Raises BatikError for none, or too many."""
    dyeings = [
        list({paint.pot: design.pot(paint.pot) for paint in step.paints}.values())
        for step in design.steps
        if isinstance(step, DyeBath)
    ]
    if not dyeings:
        raise BatikError("from_picture.error.no_dyeings", field="where", got=design.title)
    _check(dyeings)
    return dyeings


def _pot(word: str, known: Mapping[str, Pot]) -> Pot:
    if word in known:
        return known[word]
    strength_word = _STRENGTH.fullmatch(word)
    if strength_word is None or strength_word["name"] not in known:
        name = strength_word["name"] if strength_word else word
        fix = nearest(name, known) if name else EXAMPLE
        raise BatikError("from_picture.error.unknown_pot", field="where", got=name, fix=fix)
    full = float(strength_word["percent"]) / 100
    if not 0 < full <= 4:
        raise BatikError("from_picture.error.strength_out_of_range", field="where", got=word)
    bath: Bath = tuple((dye, amount * full) for dye, amount in pot_bath(known[strength_word["name"]]))
    return bath_pot(bath, f"{strength_word['name']} {strength_word['percent']}%")


def _check(dyeings: list[list[Pot]]) -> None:
    if len(dyeings) > MOST_STEPS:
        raise BatikError("from_picture.error.too_many_dyeings", field="where", got=len(dyeings), most=MOST_STEPS)
    most = max(map(len, dyeings))
    if most > MOST_POTS:
        raise BatikError("from_picture.error.too_many_pots", field="where", got=most, most=MOST_POTS)
