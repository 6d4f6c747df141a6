"""What a handout is made from: one design with its plates, maps, amounts and times, and what a maker chooses of it."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from batiksim.cloth.stages import Stage
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.spaces import hex_to_lab
from batiksim.dyes.overdye import Overdye
from batiksim.errors import BatikError, nearest
from batiksim.sheets.handout.maps import StepMap
from batiksim.texts.catalogue import Message
from batiksim.types import Bytes, Floats
from batiksim.values import Design
from batiksim.values.papers import PAPER
from batiksim.values.rules import Rule, flag, setting
from batiksim.values.settings import Value
from batiksim.workplan.shopping import Shopping
from batiksim.workplan.values import Workshop

_ALIKE = 1.0  # CIEDE2000 under which two means of a colour are the same; 1 is just seen
SECTIONS = ("cover", "steps", "chart", "amounts", "timetable", "glossary")


@dataclass(frozen=True, eq=False, kw_only=True)
class Lesson:
    """Everything that goes into a handout.

    stages, maps : of every plate, the bare cloth first, the finished cloth last
    plates : uint8 (rows, cols, 3) each, small; the finished one may be larger
    chart : of the dyes used; None where no dye is
    """

    design: Design
    workshop: Workshop
    shopping: Shopping
    stages: tuple[Stage, ...]
    maps: tuple[StepMap, ...]
    plates: tuple[Bytes, ...]
    chart: Overdye | None

    @cached_property
    def letters(self) -> dict[tuple[Message, str], str]:
        """A letter for every colour (name, hex) of the stages, in order of first sight."""
        return letters_of((name, hexed) for stage in self.stages for name, hexed, _ in stage.colours)


def letters_of(colours: Iterable[tuple[Message, str]]) -> dict[tuple[Message, str], str]:
    """A letter for every colour (name, hex), in order of first sight: a, b ... z, aa, ab ...

    What no eye parts is one colour: a stage's colours are means, which move a little from step to step.
    """
    seen: list[tuple[Message, Floats]] = []
    letters: dict[tuple[Message, str], str] = {}
    for name, hexed in dict.fromkeys(colours):
        lab = hex_to_lab(hexed)
        like = (place for place, (old, was) in enumerate(seen) if old == name and delta_e_2000(was, lab) < _ALIKE)
        place = next(like, len(seen))
        if place == len(seen):
            seen.append((name, lab))
        first, last = divmod(place, 26)
        letters[name, hexed] = (chr(96 + first) if first else "") + chr(97 + last)
    return letters


@dataclass(frozen=True, kw_only=True)
class Sections(Rule):
    """Parts of the handout by name."""

    def check(self, value: Any, key: str) -> Any:
        """The names. Raises BatikError naming the nearest for a part that there is not."""
        for name in value:
            if name not in SECTIONS:
                raise BatikError("handout.error.section", field=key, got=name, fix=nearest(name, SECTIONS))
        return tuple(value)

    def schema(self) -> dict[str, Any]:
        """A list of names."""
        return {"type": "array", "items": {"enum": list(SECTIONS)}}


@dataclass(frozen=True, kw_only=True)
class HandoutOptions(Value):
    """What a maker chooses of a handout. sections : of `SECTIONS`, always in that order."""

    KIND = "handout"

    paper: str = field(default="a4", metadata=setting(PAPER))
    sections: tuple[str, ...] = field(default=(), metadata=setting(Sections(help="Which parts; all if left out.")))
    one_page: bool = field(default=False, metadata=flag("Everything in short on a single page."))
    learner: bool = field(default=False, metadata=flag("Plates as outlines to colour in."))


USUAL_HANDOUT = HandoutOptions()
