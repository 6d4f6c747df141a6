"""Every trade figure that amounts and times are worked out from, with its unit, grade and source.

Grades: P = published, C = common practice without a source, A = assumption of this project, M = from memory. None of
them replaces a dye's own label.
"""

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from typing import Literal

Grade = Literal["P", "C", "A", "M"]
GRADES: dict[Grade, str] = {"P": "published", "C": "common practice, no source", "A": "assumption", "M": "from memory"}


@dataclass(frozen=True, kw_only=True)
class Figure:
    """One trade figure. low, high : the range it is said to lie in; the same as `value` where none is known."""

    what: str
    value: float
    low: float
    high: float
    unit: str
    grade: Grade
    source: str = ""


def _is(
    what: str, value: float, unit: str, grade: Grade, source: str = "", *, low: float = 0, high: float = 0
) -> Figure:
    return Figure(what=what, value=value, unit=unit, grade=grade, source=source, low=low or value, high=high or value)


FIGURES: dict[str, Figure] = {
    # dye
    "ml_per_m2": _is("solution that painted cotton drinks", 150, "ml/m²", "A", low=100, high=200),
    "powder_g_per_l": _is(
        "dye powder in full-strength solution",
        25,
        "g/l",
        "C",
        "half a level teaspoon to 50 ml of water",
        low=20,
        high=40,
    ),
    "powder_g_per_tsp": _is("a level teaspoon of dye powder", 2.5, "g", "C", low=2, high=3),
    "least_chemical_share": _is("chemical water in a pot, at least as much as dye", 0.5, "of the pot", "C"),
    "strong_g_per_l": _is("powder that still dissolves with ease", 80, "g/l", "A"),
    "waste": _is("to spare for spills, brushes and pots", 0.15, "of the amount", "A"),
    # chemical water and fixative
    "urea_tsp_per_l": _is(
        "urea in chemical water", 10, "teaspoons/l", "C", "5 teaspoons to half a litre; 40-150 g/l published", high=37
    ),
    "soda_tsp_per_l": _is(
        "soda ash in chemical water",
        4,
        "teaspoons/l",
        "C",
        "2 teaspoons to half a litre; 15-25 g/l published",
        low=3,
        high=5,
    ),
    "softener_tsp_per_l": _is(
        "water softener, where water is hard",
        2,
        "teaspoons/l",
        "C",
        "1 teaspoon to half a litre; others 2-5 g/l",
        low=0.4,
    ),
    "urea_g_per_tsp": _is("a level teaspoon of urea", 4, "g", "C"),
    "soda_g_per_tsp": _is("a level teaspoon of soda ash", 5, "g", "C", low=4, high=6),
    "softener_g_per_tsp": _is("a level teaspoon of water softener", 5, "g", "A"),
    "presoak_g_per_l": _is(
        "soda ash in a soak before painting",
        30,
        "g/l",
        "P",
        "dye sellers' sheets: half a cup to a cup in a US gallon; others 10-13 g/l",
        low=10,
        high=60,
    ),
    "presoak_ml_per_g": _is("soaking water for a gram of cloth", 10, "ml/g", "A"),
    # wax
    "wax_g_per_m2": _is("wax on fully covered cloth", 140, "g/m²", "A", low=80, high=200),
    "wax_pot_g": _is("wax that a pot needs for dipping; it stays for the next cloth", 250, "g", "A"),
    "makers_per_wax_pot": _is("makers who can share a wax pot", 4, "makers", "A"),
    # pot life and batching
    "pot_strong_min": _is("a mixed pot is at full strength", 30, "min at 21 °C", "P", "pburch.net"),
    "pot_useful_min": _is(
        "a mixed pot is of use", 120, "min at 21 °C", "C", "the fixative lasts a couple of hours", low=60, high=120
    ),
    "faster_per_10_c": _is("dye and fixative react faster", 3, "times per 10 °C", "P", "Ivanov, quoted at pburch.net"),
    "cool_c": _is("below this the dye takes slowly and unevenly", 18, "°C", "A"),
    # hands
    "learners_pace": _is("learners take longer than a practised hand", 1.5, "times", "A"),
    "wash_cloth_min": _is("washing and cutting new cloth", 60, "min", "A"),
    "set_up_min": _is("covering tables, melting wax", 20, "min", "A"),
    "clear_up_min": _is("clearing up", 10, "min", "A"),
    "trace_min": _is("tracing the lines and framing", 15, "min", "A"),
    "mix_min": _is("measuring and mixing one pot", 3, "min", "A"),
    "brush_mm2_s": _is("dye brushed on up to a line", 150, "mm²/s", "A", "90 cm² a minute"),
    "wide_mm2_s": _is("dye brushed over the whole cloth", 400, "mm²/s", "A", "240 cm² a minute"),
    "dryer_min": _is("blotted, then a cold air dryer kept moving", 30, "min", "A"),
    "overnight_h": _is("drying by itself, overnight", 12, "h", "C"),
    "soak_min": _is(
        "soaking in fixative, before waxing", 20, "min", "C", "dye sellers' sheets: 5 to 60 minutes", low=5, high=60
    ),
    "bleach_min": _is("bleach watched, then stopped and rinsed", 20, "min", "A"),
    "wax_out_min": _is("melting wax out, to start with", 15, "min", "A"),
    "wax_out_mm2_s": _is("wax ironed out", 100, "mm²/s", "A", "60 cm² a minute"),
    "least_wax_min": _is("shortest stretch of waxing worth beginning", 10, "min", "A"),
    "wash_off_min": _is(
        "cool rinse, then hot soaks at 60 °C or more", 45, "min", "A", "fixation is 50-80%; the rest must out"
    ),
    # cloth
    "margin_mm": _is("cloth left around the picture for the frame", 50, "mm", "A"),
    "bolt_mm": _is("width of cotton as sold", 1400, "mm", "A"),
    "shrinks": _is("cotton shrinks in its first wash", 0.05, "of its length", "C"),
    "makers_per_dryer": _is("makers who can share a cold air dryer", 4, "makers", "A"),
    "line_gap_mm": _is("drying line between two cloths", 100, "mm", "A"),
}

# Hours to batch at a room temperature in °C, kept damp: shortest and longest. Published, pburch.net FAQ.
BATCHING_H: tuple[tuple[float, float, float], ...] = ((21, 24, 48), (27, 6, 8), (32, 2, 2))

# Widest stroke in mm and its speed in mm/s, dipping included. Stroke widths published (canting 1-3 mm for filling), the
# rest assumptions; a stamp goes by prints of 50 mm.
TOOL_STROKES: dict[str, tuple[float, float]] = {"canting": (3.0, 8.0), "brush": (10.0, 12.0), "stamp": (50.0, 3.5)}


def figure(name: str) -> float:
    """A figure's value, in its unit."""
    return FIGURES[name].value


def figures_data(names: Iterable[str]) -> list[dict[str, object]]:
    """Some figures as data, with grade and source."""
    return [asdict(FIGURES[name]) | {"grade": GRADES[FIGURES[name].grade]} for name in names]
