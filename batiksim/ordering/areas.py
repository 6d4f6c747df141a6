"""The cloth cut into areas: all spots that wax, paint and wants treat alike, whatever order the pots come in."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from batiksim.cloth.outcome import LEAST_SHARE, strength_parts
from batiksim.cloth.program import LEAST_REACH
from batiksim.cloth.rules import AMOUNT_CLASSES, Cover
from batiksim.ordering.course import Course, want_pictures
from batiksim.types import Bools, Bytes, Floats, Ints, Singles, Words
from batiksim.values import MaskUse, RemoveWax, Wax

Labels = NDArray[np.int16]

Thresholds = tuple[tuple[float, ...], ...]

MOST_AREAS = 64
VALLEY = 1 / 3  # of the spots of the rarer of two amounts: with fewer between, these are two, not one wash; assumption
STEP_PX = 2  # over a soft edge of a pixel, areas still touch


@dataclass(frozen=True, eq=False, kw_only=True)
class Partition:
    """The areas of one cloth, the largest first.

    labels : int16 (rows, cols), which area each pixel belongs to; -1 where too small to count
    shares : (areas,) of the cloth, summing to 1
    opened : (areas, events), whether the planned wax leaves it open there
    reached : (areas, events, 1 + masks), whether a dye brushed on reaches it; the last column is the whole cloth
    levels : the same shape, how much of the dye it takes, 0..1
    wanted : (areas, pictures), whether each want's picture covers it
    edges : (areas, areas) symmetric, their part of all touching edges, summing to 1 over pairs
    rest : (areas, bits), all that tells areas apart but `opened`, for finding them again on larger masks
    thresholds : of each of `Reach.amounts`, from where on spots are told apart
    """

    labels: Labels
    shares: Floats
    opened: Bools
    reached: Bools
    levels: Floats
    wanted: Bools
    edges: Floats
    rest: Bools
    thresholds: Thresholds

    @cached_property
    def count(self) -> int:
        """How many areas there are."""
        return len(self.shares)


@dataclass(frozen=True, eq=False, kw_only=True)
class Reach:
    """What reaches each pixel, whichever pots it is.

    covers : the planned wax at each event
    amounts : (rows, cols) 0..1 each, what open cloth takes of a pot: under each thin wax, for each paint or bleach mask
        and the whole cloth
    number : (events, 1 + masks), which of them it is
    """

    covers: tuple[Cover, ...]
    amounts: tuple[Singles, ...]
    number: Ints


def reach_of(course: Course, uses: Sequence[MaskUse], masks: Bytes) -> Reach:
    """What reaches each pixel. uses, masks : as for `partition_of`."""
    level = {use: mask / np.float32(255) for use, mask in zip(uses, masks, strict=True)}
    cover = Cover.bare(masks.shape[1:], np.float32)
    covers, events = [], {event.step for event in course.events}
    for number, step in enumerate(course.design.steps):
        if isinstance(step, Wax):
            cover = cover.waxed(level[step.mask], seals=step.seals)
        elif isinstance(step, RemoveWax):
            cover = Cover.bare(masks.shape[1:], np.float32)
        if number in events:
            covers.append(cover)
    takes = {id(cover.take): cover.take for cover in covers}  # wax that seals leaves the array of takes as it is
    paints = [*(level[use] for use in course.masks), np.ones(masks.shape[1:], np.float32)]
    first = np.array([list(takes).index(id(cover.take)) for cover in covers]) * len(paints)
    amounts = tuple(take * paint for take in takes.values() for paint in paints)
    return Reach(covers=tuple(covers), amounts=amounts, number=first[:, None] + np.arange(len(paints)))


def partition_of(course: Course, uses: Sequence[MaskUse], masks: Bytes, *, wanted: Bytes) -> Partition:
    """Cut the cloth into areas.

    uses, masks : the design's masks as drawn and their pictures, uint8 (masks, rows, cols)
    wanted : uint8 (pictures, rows, cols), the areas that wants name
    """
    reach = reach_of(course, uses, masks)
    opened = [~cover.sealed for cover in reach.covers]
    thresholds: Thresholds = ((LEAST_REACH,),) * len(reach.amounts)
    labels, first = _labelled([*opened, *rest_bits(course, reach, thresholds, wanted)])
    thresholds = tuple(_thresholds(labels, amount) for amount in reach.amounts)
    rest = rest_bits(course, reach, thresholds, wanted)
    labels, first = _labelled([*opened, *rest])
    inside = labels >= 0
    inner = labels[inside]
    counts = np.bincount(inner, minlength=len(first)).astype(np.float64)
    means = [np.bincount(inner, amount[inside], len(first)) / counts for amount in reach.amounts]
    table = np.stack([bit.ravel()[first] for bit in rest], axis=1)
    return Partition(
        labels=labels,
        shares=counts / counts.sum(),
        opened=np.stack([bit.ravel()[first] for bit in opened], axis=1),
        reached=np.stack([amount.ravel()[first] >= LEAST_REACH for amount in reach.amounts], axis=1)[:, reach.number],
        levels=np.stack(means, axis=1)[:, reach.number],
        wanted=table[:, table.shape[1] - len(wanted) :],
        rest=table,
        thresholds=thresholds,
        edges=_edges(labels, len(first)),
    )


def _thresholds(labels: Labels, amount: Singles) -> tuple[float, ...]:
    """From which amounts on spots are told apart: what counts at all, and what lies between plainly different ones.

    Different are those of which some area has a good part each, as the histories of an `Outcome` are, and few spots
    between: the mean of two greys lies nowhere on the cloth, that of a wash does.
    """
    inside = (labels >= 0) & (amount >= LEAST_REACH)
    classes = len(AMOUNT_CLASSES)
    cell = labels[inside] * classes + np.searchsorted(AMOUNT_CLASSES, amount[inside], side="right") - 1
    shape, size = (int(labels.max()) + 1, classes), (int(labels.max()) + 1) * classes
    counts = np.bincount(cell, minlength=size).reshape(shape)
    means = np.bincount(cell, amount[inside], minlength=size).reshape(shape) / np.maximum(counts, 1)
    found = {LEAST_REACH}
    for count, mean in zip(counts, means, strict=True):
        rows = [row for row in np.argsort(-count, kind="stable").tolist() if count[row]]
        parts = strength_parts(rows, count, mean[:, None], least=LEAST_SHARE * labels.size) if rows else []
        for low, high in pairwise(sorted(part.core[0] for part in parts)):
            middle = np.abs(np.log(AMOUNT_CLASSES**2 / (mean[low] * mean[high])))
            valley = min(range(low + 1, high), key=lambda at: (count[at], middle[at]), default=low)
            if count[valley] < VALLEY * min(count[low], count[high]):
                found.add(float(AMOUNT_CLASSES[valley]))
    return tuple(sorted(found))


def rest_bits(course: Course, reach: Reach, thresholds: Thresholds, wanted: Bytes) -> list[Bools]:
    """The bits of `Partition.rest` for every pixel, (rows, cols) each."""
    hits = [amount >= least for amount, some in zip(reach.amounts, thresholds, strict=True) for least in some]
    # a want that names a paint mask means all that the paint reaches, soft rim and all
    pictures = zip(want_pictures(course.design.wants), wanted, strict=True)
    inside = [picture >= (round(255 * LEAST_REACH) if use in course.masks else 128) for use, picture in pictures]
    return [*hits, *inside]


def bit_codes(bits: Sequence[Bools]) -> Words:
    """One number for each combination of bits, each of one shape: made of fixed random ones, so any number will do."""
    keys = np.random.default_rng(20261125).integers(1, 1 << 63, len(bits), dtype=np.uint64)
    code = np.zeros(bits[0].shape, np.uint64)
    for key, bit in zip(keys, bits, strict=True):
        code ^= bit * key
    return code


def _labelled(bits: Sequence[Bools]) -> tuple[Labels, NDArray[np.intp]]:
    """Label pixels by their bits, the most frequent first; also one pixel of each label."""
    code = bit_codes([bit.ravel() for bit in bits])
    _, first, place, counts = np.unique(code, return_index=True, return_inverse=True, return_counts=True)
    order = np.argsort(-counts, kind="stable")
    kept = [at for at in order.tolist() if counts[at] >= LEAST_SHARE * code.size][:MOST_AREAS] or order[:1].tolist()
    number_of = np.full(len(counts), -1, np.int16)
    number_of[kept] = np.arange(len(kept))
    labels = number_of[place.ravel()].reshape(bits[0].shape)
    return labels, first[kept]


def _edges(labels: Labels, count: int) -> Floats:
    """How much of all touching edges lies between each two areas."""
    found = np.zeros((count, count))
    for one, other in ((labels[:, :-STEP_PX], labels[:, STEP_PX:]), (labels[:-STEP_PX], labels[STEP_PX:])):
        meet = (one != other) & (one >= 0) & (other >= 0)
        found += np.bincount(one[meet] * np.int64(count) + other[meet], minlength=count * count).reshape(count, count)
    found = found + found.T
    whole = found.sum() / 2
    return found / whole if whole > 0 else found
