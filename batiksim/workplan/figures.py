"""Every trade figure that amounts and times are worked out from, with its unit, grade and source.

Grades: P = published, C = common practice without a source, A = assumption of this project, M = from memory. None of
them replaces a dye's own label.
"""

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from batiksim.texts.catalogue import Message, say

Grade = Literal["P", "C", "A", "M"]
GRADES: dict[Grade, Message] = {
    "P": say("workshop.grade.published"),
    "C": say("workshop.grade.practice"),
    "A": say("workshop.grade.assumption"),
    "M": say("workshop.grade.memory"),
}


@dataclass(frozen=True, kw_only=True)
class Figure:
    """One trade figure. low, high : the range it is said to lie in; the same as `value` where none is known.

    unit : "ml/m²"; what : it is the figure of; source : where it comes from, in more words than its grade
    """

    name: str
    value: float
    low: float
    high: float
    unit: Message
    grade: Message
    what: Message
    source: Message | None


def _figure(name: str, *, value: float, unit: str, grade: Grade, sourced: bool = False, **span: float) -> Figure:
    """A figure as the file has it."""
    return Figure(
        name=name,
        value=value,
        low=span.get("low", value),
        high=span.get("high", value),
        unit=say(f"workshop.figure_unit.{unit}"),
        grade=GRADES[grade],
        what=say(f"workshop.figure.{name}"),
        source=say(f"workshop.figure.{name}.source") if sourced else None,
    )


with (Path(__file__).parents[1] / "data" / "trade_figures.toml").open("rb") as file:
    FIGURES: dict[str, Figure] = {name: _figure(name, **entry) for name, entry in tomllib.load(file).items()}

# Hours to batch at a room temperature in °C, kept damp: shortest and longest. Published, pburch.net FAQ.
BATCHING_H: tuple[tuple[float, float, float], ...] = ((21, 24, 48), (27, 6, 8), (32, 2, 2))

# Widest stroke in mm and its speed in mm/s, dipping included. Stroke widths published (canting 1-3 mm for filling), the
# rest assumptions; a stamp goes by prints of 50 mm.
TOOL_STROKES: dict[str, tuple[float, float]] = {"canting": (3.0, 8.0), "brush": (10.0, 12.0), "stamp": (50.0, 3.5)}


def figure(name: str) -> float:
    """A figure's value, in its unit."""
    return FIGURES[name].value
