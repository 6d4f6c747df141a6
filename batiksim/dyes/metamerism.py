"""Metamerism: colours that match under one light and part under another."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.spaces import xyz_to_lab
from batiksim.colour.viewing import DAY, other_lights, seen_xyz
from batiksim.texts.catalogue import Message, say
from batiksim.types import Floats
from batiksim.values.light_words import seen_as

# CIEDE2000. Below the first two cloths side by side pass for one colour; from the second on anyone sees two. Common
# practice in judging textile matches, no source; the figures are assumptions.
SAME, APART = 1.5, 3.0
PLAINLY_APART = 5.0  # nobody would call them a match
BLOCK = 512  # rows of pairs at a time: bounds the memory


@dataclass(frozen=True, kw_only=True)
class MetamericPair:
    """Two colours that match under one light, mostly by day, and part under another, mostly by lamp.

    first, second : their places in what was given, first < second
    day : the light under which they match; lamp : the one that parts them most
    by_day, by_lamp : CIEDE2000 between them under `day` and under `lamp`
    """

    first: int
    second: int
    day: str
    lamp: str
    by_day: float
    by_lamp: float


def metameric_pairs(reflectances: ArrayLike, *, day: str = DAY) -> tuple[MetamericPair, ...]:
    """Pairs among dry reflectances (n, 31) that match by day and part by lamp, the furthest parted first.

    day : the light under which they are matched, at most `SAME` apart (CIEDE2000); they part by at least `APART` under
        the filament lamp or the LED, or daylight in place of the one that is `day`, each with its own adaptation
    """
    values = np.asarray(reflectances, dtype=np.float64)
    labs = {light: xyz_to_lab(seen_xyz(values, light=light)) for light in (day, *other_lights(day))}
    pairs = []
    for start in range(0, len(values), BLOCK):
        first, second = _matching(labs[day], start)
        apart_by = {light: delta_e_2000(lit[first], lit[second]).tolist() for light, lit in labs.items()}
        by_day = apart_by.pop(day)
        for at, places in enumerate(zip(first.tolist(), second.tolist(), strict=True)):
            by_lamp, lamp = max((gaps[at], light) for light, gaps in apart_by.items())
            if by_lamp >= APART:
                two = {"first": places[0], "second": places[1]}
                pairs.append(MetamericPair(**two, day=day, lamp=lamp, by_day=by_day[at], by_lamp=by_lamp))
    return tuple(sorted(pairs, key=lambda pair: (-pair.by_lamp, pair.first, pair.second)))


def _matching(labs: Floats, start: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Places of pairs (first < second, first in the block from `start`) at most `SAME` apart."""
    first, second = np.nonzero(np.abs(labs[start : start + BLOCK, None, 0] - labs[None, :, 0]) <= 2 * SAME)
    first += start
    first, second = first[first < second], second[first < second]
    matching = delta_e_2000(labs[first], labs[second]) <= SAME
    return first[matching], second[matching]


def metamerism_words(first: str | Message, second: str | Message, pair: MetamericPair) -> Message:
    """A metameric pair as a sentence; first, second : what the two colours are called."""
    day, lamp = (
        say("dyes.metamerism.by_day") if light == DAY else seen_as(light, "dry") for light in (pair.day, pair.lamp)
    )
    key = "dyes.metamerism.clearly" if pair.by_lamp >= PLAINLY_APART else "dyes.metamerism.slightly"
    by_day, by_lamp = round(pair.by_day, 1), round(pair.by_lamp, 1)
    return say(key, first=first, second=second, day=day, lamp=lamp, by_day=by_day, by_lamp=by_lamp)
