"""Amounts as a kitchen measures them: spoons, cups, pints, ounces and yards beside millilitres, grams and metres.

Every amount is rounded up to what the next measure can hold, never down, and by less than one measure.
"""

import math
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from batiksim.errors import BatikError, nearest
from batiksim.texts.catalogue import Message, say
from batiksim.values import DROP_ML

System = Literal["metric", "us", "imperial"]
Quantity = Literal["volume", "weight", "length", "powder"]
SYSTEMS: tuple[System, ...] = ("metric", "us", "imperial")

_TABLES = tomllib.loads((Path(__file__).parents[1] / "data" / "measures.toml").read_text("utf-8"))
UNITS: dict[str, float] = {"drop": DROP_ML, **_TABLES["units"]}  # in ml, g or mm
_DECIMAL = {"ml", "l", "g", "kg", "cm", "m"}  # the others are counted in eighths
_FRACTIONS = {1: "⅛", 2: "¼", 3: "⅜", 4: "½", 5: "⅝", 6: "¾", 7: "⅞"}
_LADDERS: dict[str, dict[str, list[list[Any]]]] = _TABLES["ladders"]  # rungs by quantity and system: limit, unit, step


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
    """
    for limit, unit, step in _LADDERS[quantity][system]:
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
    if word not in SYSTEMS:
        raise BatikError("workshop.error.measures", field="measures", got=word, fix=nearest(word, [*SYSTEMS, "all"]))
    return tuple(system for system in SYSTEMS if system in ("metric", word))


def _text(count: float, unit: str) -> Message:
    if unit not in _TABLES["smaller"]:
        return _counted(count, unit)
    # No one owns a quarter of a tablespoon or an eighth of a cup: the rest goes by the smaller spoon.
    finest, holds, smaller = _TABLES["smaller"][unit]
    whole = math.floor(count / finest + 1e-9) * finest
    rest = round((count - whole) * holds * 8) / 8
    if whole and rest:
        return say("workshop.amount.sum", first=_counted(whole, unit), then=_counted(rest, smaller))
    return _counted(whole, unit) if whole else _counted(rest, smaller)


def _counted(count: float, unit: str) -> Message:
    key = f"workshop.amount.{_TABLES['words'].get(unit, unit)}"
    if unit in _DECIMAL:
        return say(key, amount=round(count, 9))
    return say(key, count=1 if 0 < count <= 1 else 2, amount=_mixed(count))


def _mixed(count: float) -> str:
    """A number with its fraction of eighths: "1¼"."""
    whole, eighths = divmod(round(count * 8), 8)
    part = _FRACTIONS.get(eighths, "")
    return f"{whole or ''}{part}" or "0"
