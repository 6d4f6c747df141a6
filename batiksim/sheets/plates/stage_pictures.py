"""What a sheet or an animation shows of a cloth's stages: each plate with its words, and all of them together."""

import re
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np

from batiksim.errors import BatikError, nearest
from batiksim.sheets.colours import QUIET
from batiksim.texts.catalogue import Message
from batiksim.types import Bytes

Kind = Literal["bare", "wax", "dye", "discharge", "remove_wax", "cloth"]
KINDS: tuple[Kind, ...] = get_args(Kind)
_HEX = re.compile(r"#[0-9a-fA-F]{6}")


@dataclass(frozen=True, kw_only=True)
class StagePicture:
    """One plate and what to say of it.

    picture : uint8 (rows, cols, 3), any size; reduced to the sheet's
    title : what was done ("Leaf green and moss, brushed"); steps are numbered by the sheet
    detail : a short line more
    kind : what made it; "bare" and "cloth" hang without a mark
    pots : (name, "#rrggbb") of each pot of a dyeing
    swatches : (colour name, "#rrggbb", share 0..1) of its main colours, largest first
    """

    picture: Bytes
    title: str | Message
    detail: str | Message = ""
    kind: Kind = "bare"
    pots: tuple[tuple[str, str], ...] = ()
    swatches: tuple[tuple[str | Message, str, float], ...] = ()

    def __post_init__(self) -> None:
        shape = self.picture.shape
        if self.picture.dtype != np.uint8 or len(shape) != 3 or shape[2] != 3 or 0 in shape:
            raise BatikError("sheets.error.not_rgb", field="picture", got=f"{self.picture.dtype} {shape}")
        if self.kind not in KINDS:
            raise BatikError("sheets.error.unknown_choice", field="kind", got=self.kind, fix=nearest(self.kind, KINDS))
        for colour in [pot[1] for pot in self.pots] + [piece[1] for piece in self.swatches]:
            if not _HEX.fullmatch(colour):
                raise BatikError("sheets.error.not_a_colour", field="pots, swatches", got=colour)

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

    def __post_init__(self) -> None:
        if not self.stages:
            raise BatikError("sheets.error.no_stages", field="stages")
