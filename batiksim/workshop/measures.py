"""Amounts as a kitchen measures them: spoons, cups, pints, ounces and yards beside millilitres, grams and metres.

Every amount is rounded up to what the next measure can hold, never down, and by less than one measure.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from batiksim.errors import BatikError, nearest
from batiksim.texts.catalogue import Message, say
from batiksim.values import DROP_ML

System = Literal["metric", "us", "imperial"]
Quantity = Literal["volume", "weight", "length", "powder"]
SYSTEMS: tuple[System, ...] = ("metric", "us", "imperial")

# Sizes in ml, g or mm. US customary and imperial units as defined in NIST Handbook 44, appendix C; yard and pound are
# those of 1959. A metric spoon is 5 or 15 ml, which is what British kitchens have too (common practice).
UNITS: dict[str, float] = {
    "drop": DROP_ML,
    "ml": 1.0,
    "l": 1000.0,
    "tsp": 5.0,
    "tbsp": 15.0,
    "US tsp": 4.92892159375,
    "US tbsp": 14.78676478125,
    "US cup": 236.5882365,
    "US pint": 473.176473,
    "US quart": 946.352946,
    "imp fl oz": 28.4130625,
    "imp pint": 568.26125,
    "g": 1.0,
    "kg": 1000.0,
    "oz": 28.349523125,
    "lb": 453.59237,
    "cm": 10.0,
    "m": 1000.0,
    "inch": 25.4,
    "yard": 914.4,
}
_WORDS = {
    "US tsp": "tsp",
    "US tbsp": "tbsp",
    "US cup": "cup",
    "US pint": "pint",
    "US quart": "quart",
    "imp fl oz": "fl_oz",
    "imp pint": "pint",
}
_DECIMAL = {"ml", "l", "g", "kg", "cm", "m"}  # the others are counted in eighths
_SMALLER = {  # the finest part of a measure that is sold, and how many of which smaller one it holds
    "tbsp": (1.0, 3, "tsp"),
    "US tbsp": (1.0, 3, "tsp"),
    "US cup": (0.25, 16, "tbsp"),
    "US pint": (1.0, 2, "cup"),
}
_FRACTIONS = {1: "⅛", 2: "¼", 3: "⅜", 4: "½", 5: "⅝", 6: "¾", 7: "⅞"}

# Below which amount (ml, g, mm) it is measured by which unit, in steps of how many of it.
_Rung = tuple[float, str, float]
_LADDERS: dict[tuple[str, str], tuple[_Rung, ...]] = {
    ("volume", "metric"): (
        (1, "drop", 1),
        (5, "ml", 0.2),
        (10, "ml", 0.5),
        (50, "ml", 1),
        (250, "ml", 5),
        (1000, "ml", 10),
        (5000, "l", 0.05),
        (math.inf, "l", 0.25),
    ),
    ("volume", "us"): (
        (0.625, "drop", 1),
        (5, "US tsp", 0.125),
        (14.7, "US tsp", 0.25),
        (59, "US tbsp", 1 / 6),
        (473, "US cup", 0.0625),
        (946, "US cup", 0.125),
        (1892, "US pint", 0.125),
        (math.inf, "US quart", 0.125),
    ),
    ("volume", "imperial"): (
        (0.625, "drop", 1),
        (5, "tsp", 0.125),
        (15, "tsp", 0.25),
        (56.5, "tbsp", 1 / 6),
        (142, "imp fl oz", 0.25),
        (568, "imp fl oz", 0.5),
        (math.inf, "imp pint", 0.125),
    ),
    ("weight", "metric"): ((20, "g", 0.1), (50, "g", 0.5), (250, "g", 1), (1000, "g", 10), (math.inf, "kg", 0.05)),
    ("weight", "us"): ((57, "oz", 0.125), (453, "oz", 0.25), (math.inf, "lb", 0.125)),
    ("weight", "imperial"): ((57, "oz", 0.125), (453, "oz", 0.25), (math.inf, "lb", 0.125)),
    ("length", "metric"): ((1000, "cm", 1), (math.inf, "m", 0.1)),
    ("length", "us"): ((914, "inch", 0.5), (math.inf, "yard", 0.125)),
    ("length", "imperial"): ((914, "inch", 0.5), (math.inf, "yard", 0.125)),
    ("powder", "metric"): ((5, "tsp", 0.125), (15, "tsp", 0.25), (60, "tbsp", 1 / 6), (math.inf, "tbsp", 1 / 3)),
    ("powder", "us"): (
        (4.9, "US tsp", 0.125),
        (14.7, "US tsp", 0.25),
        (59, "US tbsp", 1 / 6),
        (math.inf, "US tbsp", 1 / 3),
    ),
    ("powder", "imperial"): ((5, "tsp", 0.125), (15, "tsp", 0.25), (60, "tbsp", 1 / 6), (math.inf, "tbsp", 1 / 3)),
}


@dataclass(frozen=True, kw_only=True)
class Measured:
    """An amount rounded up to a measure.

    amount, step : what it comes to and the measure it was rounded to, in ml, g or mm
    count, unit : the same as it is measured; text : in words, "1¼ tsp"
    """

    amount: float
    step: float
    count: float
    unit: str
    text: Message


def measured(need: float, quantity: Quantity, system: System = "metric") -> Measured:
    """The least amount at or above `need` that the system's measures can give.

    need : ml for "volume" and "powder" (a dry powder by the spoon), g for "weight", mm for "length"; 0 or more
    errors : ValueError for amounts that are none
    """
    if not math.isfinite(need) or need < 0:
        raise ValueError(f"need must be 0 or more, not {need}")
    for limit, unit, step in _LADDERS[quantity, system]:
        size = UNITS[unit]
        steps = math.ceil(need / (size * step) * (1 - 1e-12) - 1e-12)
        count = steps * step
        if need < limit and (count * size <= limit or limit == math.inf):
            return Measured(amount=count * size, step=step * size, count=count, unit=unit, text=_text(count, unit))
    raise AssertionError("the last rung has no limit")


def spoons(grams: float, grams_per_tsp: float, system: System = "metric") -> Measured:
    """A powder by the level spoon, from the weight of a metric teaspoon (5 ml) of it."""
    return measured(grams / grams_per_tsp * UNITS["tsp"], "powder", system)


def amount_words(
    need: float, quantity: Quantity, system: System = "metric", grams_per_tsp: float | None = None
) -> Message:
    """An amount in words, rounded up to a measure; a powder, given in grams, by the spoon and by weight."""
    if quantity != "powder" or grams_per_tsp is None:
        return measured(need, quantity, system).text
    text = spoons(need, grams_per_tsp, system).text
    if system != "metric" and need < UNITS["oz"] / 2:
        return text  # scales that show an eighth of an ounce say nothing about so little
    return say("workshop.amount.by_weight", spoons=text, weight=measured(need, "weight", system).text)


def together_words(amounts_ml: Iterable[float]) -> Message:
    """What measured volumes come to once they are poured together, ml or l; it isn't rounded, so that they add up."""
    total = sum(amounts_ml)
    return _counted(round(total, 2), "ml") if total < 1000 else _counted(round(total / 1000, 3), "l")


def systems(word: str) -> tuple[System, ...]:
    """The systems that an option names: metric always comes first; "all" gives every one."""
    if word == "all":
        return SYSTEMS
    for system in SYSTEMS:
        if word == system:
            return tuple(dict.fromkeys((SYSTEMS[0], system)))
    raise BatikError("workshop.error.measures", field="measures", got=word, fix=nearest(word, [*SYSTEMS, "all"]))


def _text(count: float, unit: str) -> Message:
    if unit not in _SMALLER:
        return _counted(count, unit)
    # No one owns a quarter of a tablespoon or an eighth of a cup: the rest goes by the smaller spoon.
    finest, holds, smaller = _SMALLER[unit]
    whole = math.floor(count / finest + 1e-9) * finest
    rest = round((count - whole) * holds * 8) / 8
    if whole and rest:
        return say("workshop.amount.sum", first=_counted(whole, unit), then=_counted(rest, smaller))
    return _counted(whole, unit) if whole else _counted(rest, smaller)


def _counted(count: float, unit: str) -> Message:
    key = f"workshop.amount.{_WORDS.get(unit, unit)}"
    if unit in _DECIMAL:
        return say(key, amount=round(count, 9))
    return say(key, count=1 if 0 < count <= 1 else 2, amount=_mixed(count))


def _mixed(count: float) -> str:
    """A number with its fraction of eighths: "1¼"."""
    whole, eighths = divmod(round(count * 8), 8)
    part = _FRACTIONS.get(eighths, "")
    return f"{whole or ''}{part}" or "0"
