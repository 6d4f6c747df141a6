"""Every trade figure that amounts and times are worked out from, with its unit, grade and source.

Grades: P = published, C = common practice without a source, A = assumption of this project, M = from memory. None of
them replaces a dye's own label.
"""

from dataclasses import dataclass, field
from typing import Literal

from batiksim.texts.catalogue import Message, say
from batiksim.values.plain_data import LEFT_OUT, as_data

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

    unit : as keys of the catalogue name it; sourced : the catalogue tells where it comes from
    """

    name: str
    value: float
    low: float
    high: float
    unit: str = field(metadata=as_data(make=lambda unit: say(f"workshop.figure_unit.{unit}")))
    grade: Grade = field(metadata=as_data(make=lambda grade: GRADES[grade]))
    sourced: bool = field(default=False, metadata=LEFT_OUT)

    DATA = ("what", "source")

    @property
    def what(self) -> Message:
        """What it is the figure of."""
        return say(f"workshop.figure.{self.name}")

    @property
    def unit_words(self) -> Message:
        """Its unit: "ml/m²"."""
        return say(f"workshop.figure_unit.{self.unit}")

    @property
    def source(self) -> Message | None:
        """Where it comes from, in more words than its grade."""
        return say(f"workshop.figure.{self.name}.source") if self.sourced else None


def _is(
    name: str, value: float, unit: str, grade: Grade, *, low: float = 0, high: float = 0, sourced: bool = False
) -> Figure:
    return Figure(name=name, value=value, unit=unit, grade=grade, sourced=sourced, low=low or value, high=high or value)


FIGURES: dict[str, Figure] = {
    one.name: one
    for one in (
        # dye
        _is("ml_per_m2", 150, "ml_per_m2", "A", low=100, high=200),
        _is("powder_g_per_l", 25, "g_per_l", "C", low=20, high=40, sourced=True),
        _is("powder_g_per_tsp", 2.5, "g", "C", low=2, high=3),
        _is("least_chemical_share", 0.5, "of_the_pot", "C"),
        _is("strong_g_per_l", 80, "g_per_l", "A"),
        _is("waste", 0.15, "of_the_amount", "A"),
        # chemical water and fixative
        _is("urea_tsp_per_l", 10, "teaspoons_per_l", "C", high=37, sourced=True),
        _is("soda_tsp_per_l", 4, "teaspoons_per_l", "C", low=3, high=5, sourced=True),
        _is("softener_tsp_per_l", 2, "teaspoons_per_l", "C", low=0.4, sourced=True),
        _is("urea_g_per_tsp", 4, "g", "C"),
        _is("soda_g_per_tsp", 5, "g", "C", low=4, high=6),
        _is("softener_g_per_tsp", 5, "g", "A"),
        _is("presoak_g_per_l", 30, "g_per_l", "P", low=10, high=60, sourced=True),
        _is("presoak_ml_per_g", 10, "ml_per_g", "A"),
        # wax
        _is("wax_g_per_m2", 140, "g_per_m2", "A", low=80, high=200),
        _is("wax_pot_g", 250, "g", "A"),
        _is("makers_per_wax_pot", 4, "makers", "A"),
        # pot life and batching
        _is("pot_strong_min", 30, "min_at_21_c", "P", sourced=True),
        _is("pot_useful_min", 120, "min_at_21_c", "C", low=60, high=120, sourced=True),
        _is("faster_per_10_c", 3, "times_per_10_c", "P", sourced=True),
        _is("cool_c", 18, "celsius", "A"),
        # hands
        _is("learners_pace", 1.5, "times", "A"),
        _is("wash_cloth_min", 60, "min", "A"),
        _is("set_up_min", 20, "min", "A"),
        _is("clear_up_min", 10, "min", "A"),
        _is("trace_min", 15, "min", "A"),
        _is("mix_min", 3, "min", "A"),
        _is("brush_mm2_s", 150, "mm2_per_s", "A", sourced=True),
        _is("wide_mm2_s", 400, "mm2_per_s", "A", sourced=True),
        _is("dryer_min", 30, "min", "A"),
        _is("overnight_h", 12, "h", "C"),
        _is("soak_min", 20, "min", "C", low=5, high=60, sourced=True),
        _is("bleach_min", 20, "min", "A"),
        _is("wax_out_min", 15, "min", "A"),
        _is("wax_out_mm2_s", 100, "mm2_per_s", "A", sourced=True),
        _is("least_wax_min", 10, "min", "A"),
        _is("wash_off_min", 45, "min", "A", sourced=True),
        # cloth
        _is("margin_mm", 50, "mm", "A"),
        _is("bolt_mm", 1400, "mm", "A"),
        _is("shrinks", 0.05, "of_its_length", "C"),
        _is("makers_per_dryer", 4, "makers", "A"),
        _is("line_gap_mm", 100, "mm", "A"),
    )
}

# Hours to batch at a room temperature in °C, kept damp: shortest and longest. Published, pburch.net FAQ.
BATCHING_H: tuple[tuple[float, float, float], ...] = ((21, 24, 48), (27, 6, 8), (32, 2, 2))

# Widest stroke in mm and its speed in mm/s, dipping included. Stroke widths published (canting 1-3 mm for filling), the
# rest assumptions; a stamp goes by prints of 50 mm.
TOOL_STROKES: dict[str, tuple[float, float]] = {"canting": (3.0, 8.0), "brush": (10.0, 12.0), "stamp": (50.0, 3.5)}


def figure(name: str) -> float:
    """A figure's value, in its unit."""
    return FIGURES[name].value
