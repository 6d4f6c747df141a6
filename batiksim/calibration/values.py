"""What a calibration finds: each piece of cloth, each dye."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from batiksim.types import Floats
from batiksim.values import BuildUp, Layers

__all__ = ["Calibration", "Piece", "Taught"]

HOPELESS = 6.0  # CIEDE2000 by which the fit itself misses half of the pieces; made photos in bad light stay under 2


@dataclass(frozen=True, kw_only=True)
class Piece:
    """One piece of cloth, measured and predicted.

    measured, before, after : "#rrggbb"; miss_before, miss_after : CIEDE2000 from measured
    held_out : CIEDE2000 when it is foretold by all the others; None where no other tells of its dyes
    problems : why it was left out; empty = used
    """

    name: str
    layers: Layers
    measured: str
    before: str
    after: str
    miss_before: float
    miss_after: float
    held_out: float | None
    problems: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Taught:
    """One dye as calibrated.

    expected_error : mean CIEDE2000 of its held-out pieces; None where nothing could be held out
    pieces : how many of the used ones have it in them
    before : what the first prediction was made with: "book" or "colour" (its strongest piece's colour alone)
    """

    name: str
    full: Floats
    hex: str
    build_up: BuildUp
    expected_error: float | None
    pieces: int
    before: str


@dataclass(frozen=True, kw_only=True)
class Calibration:
    """What a calibration found.

    cloth : "#rrggbb" of the undyed cloth; surface : the floor
    surface_between : where the floor lies, two times in three; None = nothing tells, and it is a common cotton's
    """

    dyes: tuple[Taught, ...]
    pieces: tuple[Piece, ...]
    cloth: str
    surface: float
    surface_between: tuple[float, float] | None
    notes: tuple[str, ...]

    @property
    def hopeless(self) -> bool:
        """Whether most of the pieces contradict each other: no set of dyes shows them."""
        return (self.median("miss_after") or 0.0) > HOPELESS

    def median(self, what: str) -> float | None:
        """Median CIEDE2000 over used dyed pieces of "miss_before", "miss_after" or "held_out"; None without any."""
        values = [getattr(one, what) for one in self.pieces if one.layers and not one.problems]
        known = [value for value in values if value is not None]
        return float(np.median(known)) if known else None
