"""What a sheet or an animation shows of a cloth's stages: each plate with its words, and all of them together."""

import re
from dataclasses import dataclass
from typing import get_args

import numpy as np

from batiksim.cloth.stages import Stage
from batiksim.errors import BatikError
from batiksim.texts.catalogue import Message
from batiksim.types import Bytes
from batiksim.values.step_words import Kind as Kind

KINDS: tuple[Kind, ...] = get_args(Kind)
_HEX = re.compile(r"#[0-9a-fA-F]{6}")


@dataclass(frozen=True, kw_only=True)
class StagePicture(Stage):
    """One plate and its story. picture : uint8 (rows, cols, 3), any size; reduced to the sheet's."""

    picture: Bytes

    def __post_init__(self) -> None:
        shape = self.picture.shape
        if self.picture.dtype != np.uint8 or len(shape) != 3 or shape[2] != 3 or 0 in shape:
            raise BatikError("sheets.error.not_rgb", field="picture", got=f"{self.picture.dtype} {shape}")
        for colour in [pot[1] for pot in self.pots] + [piece[1] for piece in self.colours]:
            if not _HEX.fullmatch(colour):
                raise BatikError("sheets.error.not_a_colour", field="pots, colours", got=colour)

    @property
    def aspect(self) -> float:
        """Width over height."""
        rows, cols = self.picture.shape[:2]
        return float(cols) / float(rows)


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

    def __post_init__(self) -> None:
        if not self.stages:
            raise BatikError("sheets.error.no_stages", field="stages")
