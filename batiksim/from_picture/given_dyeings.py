"""Dyeings that a maker has settled already: "lemon 60% > turquoise | scarlet 80% > navy", or those of a design."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from batiksim.errors import BatikError, nearest
from batiksim.from_picture.palette import Bath, bath_pot, pot_bath
from batiksim.from_picture.picture_plan import MOST_POTS, MOST_STEPS
from batiksim.values import Design, DyeBath, Pot

__all__ = ["design_dyeings", "read_dyeings"]

_STRENGTH = re.compile(r"(?P<name>.+?)\s+(?P<percent>\d+(?:\.\d+)?)\s*%")
EXAMPLE = 'write "lemon 60% > turquoise | scarlet > navy"'


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
        raise BatikError("has no dyeings", field="--where", got=design.title, fix=EXAMPLE)
    _check(dyeings)
    return dyeings


def _pot(word: str, known: Mapping[str, Pot]) -> Pot:
    if word in known:
        return known[word]
    strength_word = _STRENGTH.fullmatch(word)
    if strength_word is None or strength_word["name"] not in known:
        name = strength_word["name"] if strength_word else word
        fix = nearest(name, known) if name else EXAMPLE
        raise BatikError("is not a dye or pot here", field="--where", got=name, fix=fix)
    full = float(strength_word["percent"]) / 100
    if not 0 < full <= 4:
        raise BatikError("strength out of range", field="--where", got=word, fix="use above 0% to 400%")
    bath: Bath = tuple((dye, amount * full) for dye, amount in pot_bath(known[strength_word["name"]]))
    return bath_pot(bath, f"{strength_word['name']} {strength_word['percent']}%")


def _check(dyeings: list[list[Pot]]) -> None:
    if len(dyeings) > MOST_STEPS:
        raise BatikError("has too many dyeings", field="--where", got=len(dyeings), fix=f"use at most {MOST_STEPS}")
    most = max(map(len, dyeings))
    if most > MOST_POTS:
        fix = f"use at most {MOST_POTS}"
        raise BatikError("has too many pots in one dyeing", field="--where", got=most, fix=fix)
