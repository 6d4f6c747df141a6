"""Where each step works, and where each colour lies after it, as arrays: the ground of a handout's small maps.

Edges are taken as sharp here (a pixel is in or out), so that every spot has one colour that can be named.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from PIL import ImageColor

from batiksim.cloth import render
from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.cloth.program import all_plates, compile_design, crack_plane, design_planes, paint_plane, wax_plane
from batiksim.cloth.stages import Stage
from batiksim.types import Bools, Bytes
from batiksim.values import Design, Discharge, DyeBath, RemoveWax, Wax

__all__ = ["Spot", "StepMap", "label_spots", "step_maps"]

LEAST_TURN = 0.04  # of what a step works on: smaller changes are left untold
MOST_TURNS = 4
_SPOTS_PX = 400  # letters are placed on labels thinned to about this width


@dataclass(frozen=True, kw_only=True)
class Spot:
    """A place for a letter: which colour, where (shares of width and height), and how much room (share of width)."""

    colour: int
    x: float
    y: float
    room: float


@dataclass(frozen=True, kw_only=True)
class StepMap:
    """One plate's areas, all (rows, cols).

    worked : where each paint, the wax or the bleach of the step comes to lie on open cloth; empty for bare cloth
    closed : under wax before the step
    labels : place of each spot's colour among the stage's colours after the step
    turns : (colour before, colour after, share of what the step works on), the largest first
    """

    worked: tuple[Bools, ...]
    closed: Bools
    labels: Bytes
    turns: tuple[tuple[int, int, float], ...]


def step_maps(design: Design, dyes: ClothDyes, stages: Sequence[Stage], planes: Bytes) -> tuple[StepMap, ...]:
    """The maps of every plate: the bare cloth, then one for each step, the finished cloth last.

    stages : of `all_plates`
    planes : uint8 (planes, rows, cols), small, in the order of `design_planes`
    """
    sharp = np.where(planes >= 128, 255, 0).astype(np.uint8)
    seen = render.render(compile_design(design, dyes, plates=all_plates(design), wax_shown=False), sharp)
    labels = [_nearest(plate, stage) for plate, stage in zip(seen, stages, strict=True)]
    reach = _reaches(design, sharp > 0, planes.shape[1:])
    made = []
    for place, stage in enumerate(stages):
        worked, closed = ((), reach[-1][1]) if stage.emit.finished else reach[stage.emit.step]
        before = labels[max(0, place - 1)]
        made.append(
            StepMap(worked=worked, closed=closed, labels=labels[place], turns=_turns(before, labels[place], worked))
        )
    return tuple(made)


def _nearest(plate: Bytes, stage: Stage) -> Bytes:
    """The place of the nearest of a stage's colours, for each pixel."""
    colours = np.array([ImageColor.getrgb(hexed)[:3] for _, hexed, _ in stage.colours], np.int32).reshape(-1, 3)
    packed = plate.astype(np.int32) @ np.array([65536, 256, 1])
    found, where = np.unique(packed, return_inverse=True)
    rgb = np.stack([found >> 16, found >> 8 & 255, found & 255], axis=1)
    nearest = np.argmin(((rgb[:, None] - colours[None]) ** 2).sum(axis=2), axis=1)
    places: Bytes = nearest.astype(np.uint8)[where].reshape(packed.shape)
    return places


def _reaches(design: Design, masks: Bools, shape: tuple[int, ...]) -> list[tuple[tuple[Bools, ...], Bools]]:
    """For the bare cloth and each step: what it works on, and what lies under wax before it."""
    order = design_planes(design)
    closed = np.zeros(shape, np.bool_)
    made: list[tuple[tuple[Bools, ...], Bools]] = [((), closed)]
    for number, step in enumerate(design.steps, start=1):
        before = closed
        if isinstance(step, Wax):
            mask = masks[order.index(wax_plane(number, step))]
            cracks = crack_plane(number, step)
            if cracks is not None:
                mask = mask | masks[order.index(cracks)]
            made.append(((mask & ~before,), before))
            closed = before | mask
        elif isinstance(step, DyeBath):
            brushed = [paint_plane(number, place, paint) for place, paint in enumerate(step.paints, start=1)]
            made.append(
                (tuple(~before if one is None else masks[order.index(one)] & ~before for one in brushed), before)
            )
        elif isinstance(step, Discharge):
            use = [plane for plane in order if step.where is not None and plane.use == step.where and not plane.step]
            made.append(((masks[order.index(use[0])] & ~before if use else ~before,), before))
        elif isinstance(step, RemoveWax):
            made.append(((before,), before))
            closed = np.zeros(shape, np.bool_)
    return [*made, ((), closed)]


def _turns(before: Bytes, after: Bytes, worked: Sequence[Bools]) -> tuple[tuple[int, int, float], ...]:
    if not worked:
        return ()
    where = np.logical_or.reduce(worked)
    whole = np.count_nonzero(where)
    if not whole:
        return ()
    pairs, counts = np.unique(before[where].astype(np.int32) * 256 + after[where], return_counts=True)
    ranked = sorted(zip(counts.tolist(), pairs.tolist(), strict=True), key=lambda one: (-one[0], one[1]))
    shares = [(pair // 256, pair % 256, count / whole) for count, pair in ranked]
    return tuple(one for one in shares if one[2] >= LEAST_TURN)[:MOST_TURNS]


def label_spots(labels: Bytes, *, each: int = 1, least: float = 0.0, nowhere: int = -1) -> tuple[Spot, ...]:
    """Where letters can stand: in the roomiest places of each colour, the roomiest first.

    labels : uint8 (rows, cols)
    each : most places of one colour; further ones only where there's at least `least` of the width around
    nowhere : a label that gets no letter
    """
    from scipy import ndimage  # only sheets with letters need it, and it is slow to import

    thin = max(1, labels.shape[1] // _SPOTS_PX)
    small = labels[thin // 2 :: thin, thin // 2 :: thin]
    rows, cols = small.shape
    spots: list[Spot] = []
    for colour in set(np.unique(small).tolist()) - {nowhere}:
        where = np.pad(small == colour, 1)
        depth = ndimage.distance_transform_edt(where)
        areas = ndimage.label(where)[0] if each > 1 else where
        for rank in range(each):
            row, col = np.unravel_index(int(np.argmax(depth)), depth.shape)
            room = float(depth[row, col]) / cols
            if room <= 0 or (rank and room < least):
                break
            spots.append(Spot(colour=colour, x=(col - 0.5) / cols, y=(row - 0.5) / rows, room=room))
            depth[areas == areas[row, col]] = 0.0
    return tuple(sorted(spots, key=lambda spot: (-spot.room, spot.colour)))
