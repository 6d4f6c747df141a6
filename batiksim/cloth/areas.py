"""How much cloth each step really reaches, at its real size: sums over what the rules say of every pixel."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Literal

import numpy as np

from batiksim.cloth.program import DISCHARGE, DYE, REMOVE, WAX_COVER, WAX_THIN, Program, check_masks
from batiksim.cloth.render import default_threads
from batiksim.cloth.rules import walk
from batiksim.types import Bytes, Floats

Work = Literal["wax", "dye", "discharge", "remove_wax"]
BAND_PIXELS = 1 << 16  # rows are worked through in bands that stay near the processor
_WORK: dict[int, Work] = {WAX_COVER: "wax", WAX_THIN: "wax", DYE: "dye", DISCHARGE: "discharge", REMOVE: "remove_wax"}


@dataclass(frozen=True, kw_only=True)
class StepArea:
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
class StepAreas:
    """The cloth's size, and what each operation reaches, in order. waxed_mm2 : under wax after the last step."""

    width_mm: float
    height_mm: float
    reaches: tuple[StepArea, ...]
    waxed_mm2: float

    @property
    def mm2(self) -> float:
        """Area of the whole cloth."""
        return self.width_mm * self.height_mm

    def of_step(self, step: int) -> tuple[StepArea, ...]:
        """The operations of one step."""
        return tuple(reach for reach in self.reaches if reach.step == step)


def survey_areas(program: Program, masks: Bytes, *, width_mm: float, threads: int | None = None) -> StepAreas:
    """Measure what every step of a program reaches.

    masks : uint8 (masks, rows, cols), 255 = fully marked, in the program's order
    width_mm : real width of the cloth
    """
    check_masks(program, masks)
    _, rows, cols = masks.shape
    band = max(1, BAND_PIXELS // cols)
    with ThreadPoolExecutor(threads or default_threads()) as pool:
        bands = pool.map(lambda first: _band(program, masks, first, min(rows, first + band)), range(0, rows, band))
        sums = np.sum(list(bands), axis=0)
    pixel_mm = width_mm / cols
    reaches = tuple(
        _reach(program, op, sums[op].tolist(), pixel_mm) for op in range(len(program.ops)) if not program.is_cracks(op)
    )
    return StepAreas(
        width_mm=width_mm, height_mm=rows * pixel_mm, reaches=reaches, waxed_mm2=float(sums[-1, 0]) * pixel_mm**2
    )


def _reach(program: Program, op: int, sums: list[float], pixel_mm: float) -> StepArea:
    code, _, paint = program.ops[op].tolist()
    return StepArea(
        step=program.step_of_op[op],
        work=_WORK[code],
        pot=program.pots[paint] if code == DYE else "",
        mm2=sums[0] * pixel_mm**2,
        marked_mm2=sums[1] * pixel_mm**2,
        edge_mm=sums[2] * pixel_mm,
    )


def _band(program: Program, masks: Bytes, first: int, last: int) -> Floats:
    """Sums (ops + 1, 3) over rows first..last, in pixels: newly reached, marked, outline; at the end what is waxed.

    One row above is looked at too, for the outlines between bands; it counts for nothing else.
    """
    skip = min(1, first)
    levels: Floats = np.multiply(masks[:, first - skip : last], 1 / 255, dtype=np.float32)
    sums = np.zeros((len(program.ops) + 1, 3))
    wax: Floats | None = None  # what is newly waxed, when a waxing's cracks are still to come
    for moment in walk(program, levels):
        worked = moment.cover.under_wax if moment.code == -1 else moment.worked
        sums[moment.op, 0] = _total(worked, skip)
        sums[moment.op, 1] = sums[moment.op, 0] if moment.code == REMOVE else _total(moment.level, skip)
        if moment.code in (WAX_COVER, WAX_THIN):
            sums[moment.op, 2] = _outline(worked, skip)
            if program.is_cracks(moment.op) and wax is not None:  # a crack takes no less wax
                sums[moment.op - 1, :2] += sums[moment.op, :2]
                sums[moment.op - 1, 2] = _outline(wax + worked, skip)
            wax = worked
    return sums


def _total(values: Floats, skip: int) -> float:
    """Sum in float64 of row sums that BLAS takes, without the first rows, so many."""
    return float(np.sum(values[skip:] @ np.ones(values.shape[1], values.dtype), dtype=np.float64))


def _outline(cover: Floats, skip: int) -> float:
    """Length in pixels of the outlines in a cover of 0..1, by Crofton's formula over four directions.

    Within 6 % for a straight edge of any direction (the formula's own bound), soft or hard.
    """
    below = cover[skip:]
    across = _steps(below[:, 1:], below[:, :-1])
    down = _steps(cover[1:], cover[:-1])
    slanting = _steps(cover[1:, 1:], cover[:-1, :-1]) + _steps(cover[1:, :-1], cover[:-1, 1:])
    return float(np.pi / 8) * (across + down + slanting / float(np.sqrt(2)))


def _steps(values: Floats, beside: Floats) -> float:
    """Sum of absolute differences."""
    return _total(np.abs(values - beside), 0) if values.size else 0.0
