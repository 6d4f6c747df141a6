"""How much cloth each step really reaches, at its real size: the open share of every pixel, as the engine keeps it.

A pixel's open share starts at 1; a waxing seals its cover's share of what is open, thin wax scales what is taken after,
removal opens all again. A dyeing reaches open share x mask level x what thin wax lets through.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Literal

import numpy as np

from batiksim.cloth.program import DISCHARGE, DYE, REMOVE, WAX_COVER, WAX_THIN, Program, check_masks
from batiksim.cloth.render import default_threads
from batiksim.types import Bytes, Floats, Singles

__all__ = ["Areas", "Reach", "Work", "survey_areas"]

Work = Literal["wax", "dye", "discharge", "remove_wax"]
BAND_PIXELS = 1 << 17  # rows are worked through in bands that stay near the processor
_WORK: dict[int, Work] = {
    WAX_COVER: "wax",
    WAX_THIN: "wax",
    DYE: "dye",
    DISCHARGE: "discharge",
    REMOVE: "remove_wax",
}


@dataclass(frozen=True, kw_only=True)
class Reach:
    """What one operation of a step reaches.

    step : its number, from 1
    pot : of a dyeing, else ""
    mm2 : cloth newly waxed; cloth that takes dye or bleach; cloth that wax comes off
    marked_mm2 : what the mask marks in all, over wax too; the whole cloth where there is no mask
    edge_mm : of a waxing, length of the outline around what is newly waxed, good to about a twentieth
    """

    step: int
    work: Work
    pot: str = ""
    mm2: float
    marked_mm2: float
    edge_mm: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Areas:
    """The cloth's size, and what each operation reaches, in order. waxed_mm2 : under wax after the last step."""

    width_mm: float
    height_mm: float
    reaches: tuple[Reach, ...]
    waxed_mm2: float

    @property
    def mm2(self) -> float:
        """Area of the whole cloth."""
        return self.width_mm * self.height_mm

    def of_step(self, step: int) -> tuple[Reach, ...]:
        """The operations of one step."""
        return tuple(reach for reach in self.reaches if reach.step == step)


def survey_areas(program: Program, masks: Bytes, *, width_mm: float, threads: int | None = None) -> Areas:
    """Measure what every step of a program reaches.

    masks : uint8 (masks, rows, cols), 255 = fully marked, in the program's order
    width_mm : real width of the cloth
    """
    check_masks(program, masks)
    _, rows, cols = masks.shape
    band = max(1, BAND_PIXELS // cols)
    with ThreadPoolExecutor(threads or default_threads()) as pool:
        found = list(
            pool.map(lambda first: _band(program, masks, first, min(rows, first + band)), range(0, rows, band))
        )
    sums = np.sum([one for one, _ in found], axis=0)
    pixel_mm = width_mm / cols
    steps = [o for o in range(len(program.ops)) if not program.is_cracks(o)]
    return Areas(
        width_mm=width_mm,
        height_mm=rows * pixel_mm,
        reaches=tuple(_reach(program, o, sums[o].tolist(), pixel_mm) for o in steps),
        waxed_mm2=sum(left for _, left in found) * pixel_mm**2,
    )


def _reach(program: Program, o: int, sums: list[float], pixel_mm: float) -> Reach:
    code, _, index = program.ops[o].tolist()
    return Reach(
        step=program.step_of_op[o],
        work=_WORK[code],
        pot=program.pots[index] if code == DYE else "",
        mm2=sums[0] * pixel_mm**2,
        marked_mm2=sums[1] * pixel_mm**2,
        edge_mm=sums[2] * pixel_mm,
    )


class _Band:
    """The open share of some rows. One row above is kept too, for the outlines between bands; it counts for nothing."""

    def __init__(self, shape: tuple[int, int], skip: int) -> None:
        self.opened = np.ones(shape, np.float32)
        self.take: Singles | None = None  # what thin wax lets through; None = everything
        self.skip = skip
        self.ones = np.ones(shape[1], np.float32)

    def total(self, values: Singles) -> float:
        """Sum in float64 of row sums that BLAS takes, without the row above."""
        return float(np.sum(values[self.skip :] @ self.ones, dtype=np.float64))

    def wax(self, level: Singles, *, seals: bool) -> tuple[float, float]:
        """Lay wax on; what is newly covered, and its outline in pixels."""
        fresh = self.opened * level
        if seals:
            self.opened -= fresh
        else:
            take = np.ones_like(level) if self.take is None else self.take
            fresh *= take
            self.take = take * (1.0 - level)
        return self.total(fresh), _outline(fresh, self.skip)

    def taken(self, level: Singles | None) -> float:
        """How much takes the dye or bleach that is brushed on."""
        here = self.opened if level is None else self.opened * level
        return self.total(here if self.take is None else here * self.take)

    def waxed(self) -> float:
        """How much is under wax, thin or not."""
        here = self.opened if self.take is None else self.opened * self.take
        return float((here.shape[0] - self.skip) * here.shape[1]) - self.total(here)


def _band(program: Program, masks: Bytes, first: int, last: int) -> tuple[Floats, float]:
    """Sums (ops, 3) over rows first..last: newly reached, marked, outline, in pixels; and what is waxed at the end."""
    top = max(0, first - 1)
    cols = masks.shape[2]
    here = _Band((last - top, cols), first - top)
    sums = np.zeros((len(program.ops), 3))
    for o, (code, mask, _) in enumerate(program.ops.tolist()):
        if program.is_cracks(o):
            continue
        level = None if mask < 0 else np.multiply(masks[mask, top:last], np.float32(1 / 255), dtype=np.float32)
        cracks = program.cracks_of(o)
        if level is not None and cracks >= 0:  # a crack takes no less wax
            np.maximum(level, masks[cracks, top:last] * np.float32(1 / 255), out=level)
        whole = float((last - first) * cols)
        sums[o, 1] = whole if level is None else here.total(level)
        if code in (WAX_COVER, WAX_THIN) and level is not None:
            sums[o, 0], sums[o, 2] = here.wax(level, seals=code == WAX_COVER)
        elif code in (DYE, DISCHARGE):
            sums[o, 0] = here.taken(level)
        elif code == REMOVE:
            sums[o, 0] = sums[o, 1] = here.waxed()
            here = _Band(here.opened.shape, here.skip)
    return sums, here.waxed()


def _outline(cover: Singles, skip: int) -> float:
    """Length in pixels of the outlines in a cover of 0..1, by Crofton's formula over four directions.

    Within 6 % for a straight edge of any direction (the formula's own bound), soft or hard.
    """
    below = cover[skip:]
    across = _steps(below[:, 1:], below[:, :-1])
    down = _steps(cover[1:], cover[:-1])
    slanting = _steps(cover[1:, 1:], cover[:-1, :-1]) + _steps(cover[1:, :-1], cover[:-1, 1:])
    return float(np.pi / 8) * (across + down + slanting / float(np.sqrt(2)))


def _steps(one: Singles, other: Singles) -> float:
    """Sum of absolute differences."""
    if one.size == 0:
        return 0.0
    apart = one - other
    np.abs(apart, out=apart)
    return float(np.sum(apart @ np.ones(apart.shape[1], np.float32), dtype=np.float64))
