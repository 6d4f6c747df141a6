"""What a sheet or an animation shows of a cloth's stages: each plate with its words, and all of them together."""

from dataclasses import dataclass
from typing import get_args

from batiksim.cloth.stages import Stage
from batiksim.sheets.colours import QUIET
from batiksim.texts.catalogue import Message
from batiksim.types import Bytes
from batiksim.values.step_words import Kind as Kind
from batiksim.values.steps import StepKind

KINDS: tuple[Kind, ...] = ("bare", *get_args(StepKind), "cloth")


@dataclass(frozen=True, kw_only=True)
class StagePicture(Stage):
    """One plate and its story. picture : uint8 (rows, cols, 3), any size; reduced to the sheet's."""

    picture: Bytes

    @property
    def aspect(self) -> float:
        """Width over height."""
        rows, cols = self.picture.shape[:2]
        return float(cols) / float(rows)

    @property
    def mark_colours(self) -> list[str]:
        """Colours of the marks that hang before it, for up to three pots one each; none before bare cloth."""
        if self.kind in ("bare", "cloth"):
            return []
        return [colour for _, colour in self.pots[:3]] or [QUIET]


@dataclass(frozen=True, kw_only=True)
class StagesSheet:
    """All that the sheet shows.

    title : of the design
    size : real size of the cloth and the like, in words ("Cotton, 45 × 30 cm")
    stages : the plates in order, the bare cloth first
    finished : the cloth at the end, shown large; None leaves it out
    """

    title: str | Message
    size: str | Message = ""
    stages: tuple[StagePicture, ...]
    finished: StagePicture | None = None
