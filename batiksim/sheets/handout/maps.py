"""Where each step works, and where each colour lies after it, as arrays: the ground of a handout's small maps.

A pixel is in or out, and has one history, so that every spot has one colour that can be named.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from batiksim.cloth.outcome import Outcome
from batiksim.cloth.program import DYE, LEAST_REACH, REMOVE, WAX_COVER
from batiksim.cloth.rules import Moment, walk
from batiksim.cloth.stages import Stage
from batiksim.colour.spaces import hex_to_lab, xyz_to_lab
from batiksim.colour.spectra import reflectance_to_xyz
from batiksim.types import Bools, Bytes

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


@dataclass(frozen=True, eq=False, kw_only=True)
class StepMap:
    """One plate's areas, all (rows, cols).

    worked : where each paint, the wax or the bleach of the step comes to lie on open cloth; empty for bare cloth
    closed : where wax keeps dye out before the step; thin wax that dye goes through doesn't
    labels : place of each spot's colour among the stage's colours after the step
    turns : (colour before, colour after, share of what the step works on), the largest first
    """

    worked: tuple[Bools, ...]
    closed: Bools
    labels: Bytes
    turns: tuple[tuple[int, int, float], ...]


def step_maps(outcome: Outcome, stages: Sequence[Stage], planes: Bytes) -> tuple[StepMap, ...]:
    """The maps of every plate: the bare cloth, then one for each step, the finished cloth last.

    stages : of `all_plates`; planes : uint8 (planes, rows, cols), small, in the order of `design_planes`
    """
    histories = outcome.labels(planes)
    labels = [_colour_places(outcome, stage)[histories] for stage in stages]
    works = _works(outcome, planes)
    made = []
    for place, stage in enumerate(stages):
        work = works[-1] if stage.emit.finished else works[stage.emit.step]
        turns = _turns(labels[max(0, place - 1)], labels[place], work.worked)
        made.append(StepMap(worked=tuple(work.worked), closed=work.closed, labels=labels[place], turns=turns))
    return tuple(made)


def _colour_places(outcome: Outcome, stage: Stage) -> Bytes:
    """The place of each history's colour among a stage's, by the history's number; the largest for what is mixed."""
    until = outcome.ops_until(stage.emit.step)
    shown = np.array([hex_to_lab(hexed) for _, hexed, _ in stage.colours])
    ks = np.stack([outcome.ks(history, before=until) for history in outcome.histories])
    lab = xyz_to_lab(reflectance_to_xyz(outcome.dyes.reflectance(ks)))
    nearest = ((lab[:, None] - shown) ** 2).sum(axis=2).argmin(axis=1)
    clear = [not history.mixed for history in outcome.histories]
    return np.append(np.where(clear, nearest, 0), 0).astype(np.uint8)  # the last for spots without a history: -1


@dataclass(eq=False, kw_only=True)
class _Work:
    """What a step works on, one area for each paint, and where wax keeps dye out before it."""

    closed: Bools
    worked: list[Bools]


def _works(outcome: Outcome, planes: Bytes) -> list[_Work]:
    """For the bare cloth, each step, and the finished cloth."""
    program, bare = outcome.program, np.zeros(planes.shape[1:], np.bool_)
    works = [_Work(closed=bare, worked=[]) for _ in range(len(outcome.design.steps) + 2)]
    begun = 0
    for moment in walk(program, planes.astype(np.float32) / 255):
        if moment.code < 0:
            works[-1].closed = moment.cover.keeps_out
            break
        step = program.step_of_op[moment.op]
        work, where = works[step], _worked(moment)
        if step != begun:
            work.closed, work.worked, begun = moment.cover.keeps_out, [where], step
        elif moment.code == DYE:
            work.worked.append(where)
        else:  # cracks of a waxing
            work.worked[0] = work.worked[0] | where
    return works


def _worked(moment: Moment) -> Bools:
    """Where an operation works, as a map shows it: soft edges from half on, thin wax and pale brushing from a tenth."""
    cover = moment.cover
    if moment.code == REMOVE:
        return cover.sealed | (cover.take <= 1 - LEAST_REACH)
    least = 0.5 if moment.code == WAX_COVER else LEAST_REACH
    return ~cover.keeps_out & (moment.amount >= least)


def _turns(before: Bytes, after: Bytes, worked: Sequence[Bools]) -> tuple[tuple[int, int, float], ...]:
    if not worked:
        return ()
    where = np.logical_or.reduce(worked)
    whole = np.count_nonzero(where)
    if not whole:
        return ()
    pairs, counts = np.unique(before[where].astype(np.int32) * 256 + after[where], return_counts=True)
    ranked = sorted(zip(counts.tolist(), pairs.tolist(), strict=True), key=lambda turn: (-turn[0], turn[1]))
    shares = [(pair // 256, pair % 256, count / whole) for count, pair in ranked]
    return tuple(turn for turn in shares if turn[2] >= LEAST_TURN)[:MOST_TURNS]


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
