"""The cloth cut into areas: all spots that wax, paint and wants treat alike, whatever order the pots come in."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from batiksim.cloth.program import LEAST_REACH
from batiksim.orders.course import Course, want_pictures
from batiksim.types import Bools, Bytes, Floats, Singles, Words
from batiksim.values import MaskUse, RemoveWax, Wax

Labels = NDArray[np.int16]

LEAST_SHARE = 0.001  # smaller areas are edges, as in `cloth.regions`
MOST_AREAS = 64
STEP_PX = 2  # over a soft edge of a pixel, areas still touch


@dataclass(frozen=True, kw_only=True)
class Partition:
    """The areas of one cloth, the largest first.

    labels : int16 (rows, cols), which area each pixel belongs to; -1 where too small to count
    shares : (areas,) of the cloth, summing to 1
    opened : (areas, events), whether the planned wax leaves it open there
    reached : (areas, takes, 1 + masks), whether a dye brushed on reaches it; the last column is the whole cloth
    levels : the same shape, how much of the dye it takes, 0..1
    wanted : (areas, pictures), whether each want's picture covers it
    edges : (areas, areas) symmetric, their part of all touching edges, summing to 1 over pairs
    rest : (areas, bits), all that tells areas apart but `opened`, for finding them again on larger masks
    """

    labels: Labels
    shares: Floats
    opened: Bools
    reached: Bools
    levels: Floats
    wanted: Bools
    edges: Floats
    rest: Bools

    @cached_property
    def count(self) -> int:
        """How many areas there are."""
        return len(self.shares)


def partition_of(
    course: Course, uses: Sequence[MaskUse], masks: Bytes, *, wanted: Bytes, most: int = MOST_AREAS
) -> Partition:
    """Cut the cloth into areas.

    uses, masks : the design's masks as drawn and their pictures, uint8 (masks, rows, cols)
    wanted : uint8 (pictures, rows, cols), the areas that wants name
    """
    opened = [share > 0.5 for share in open_shares(course, uses, masks)]
    takes, paints = _takes(course, uses, masks), _paints(course, uses, masks)
    hits = len(takes) * len(paints)
    bits = [*opened, *rest_bits(course, uses, masks, wanted)]
    labels, first = _labelled(bits, most)
    counts = np.bincount(labels[labels >= 0], minlength=len(first)).astype(np.float64)
    means = [_means(labels, image, counts) for image in takes], [_means(labels, image, counts) for image in paints]
    table = np.array([[bit.ravel()[at] for bit in bits] for at in first])
    split = len(opened), len(opened) + hits
    shape = (len(first), len(takes), len(paints))
    return Partition(
        labels=labels,
        shares=counts / counts.sum(),
        opened=table[:, : split[0]],
        reached=table[:, split[0] : split[1]].reshape(shape),
        levels=np.stack(means[0], axis=1)[:, :, None] * np.stack(means[1], axis=1)[:, None, :],
        wanted=table[:, split[1] :],
        rest=table[:, split[0] :],
        edges=_edges(labels, len(first)),
    )


def rest_bits(course: Course, uses: Sequence[MaskUse], masks: Bytes, wanted: Bytes) -> list[Bools]:
    """The bits of `Areas.rest` for every pixel, (rows, cols) each."""
    paints = _paints(course, uses, masks)
    hits = [take * paint >= LEAST_REACH for take in _takes(course, uses, masks) for paint in paints]
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


def open_shares(course: Course, uses: Sequence[MaskUse], masks: Bytes) -> list[Singles]:
    """How much of each pixel is open at each event, (rows, cols) 0..1, by the planned wax."""
    shape = masks.shape[1:]
    share: Singles = np.ones(shape, np.float32)
    found, events = [], {event.step: event for event in course.events}
    for at, step in enumerate(course.design.steps):
        if at in course.sealing and isinstance(step, Wax):
            share = share * (1 - masks[uses.index(step.mask)] / np.float32(255))
        elif isinstance(step, RemoveWax):
            share = np.ones(shape, np.float32)
        if at in events:
            found.append(share)
    return found


def _takes(course: Course, uses: Sequence[MaskUse], masks: Bytes) -> list[Singles]:
    """How well each pixel takes dye, (rows, cols) 0..1: at first, and after each thin waxing."""
    found: list[Singles] = [np.ones(masks.shape[1:], np.float32)]
    for at in course.thin:
        step = course.design.steps[at]
        if isinstance(step, Wax):
            found.append(found[-1] * (1 - masks[uses.index(step.mask)] / np.float32(255)))
        else:
            found.append(np.ones_like(found[0]))
    return found


def _paints(course: Course, uses: Sequence[MaskUse], masks: Bytes) -> list[Singles]:
    """The level of each paint or bleach mask, (rows, cols) 0..1, then the whole cloth."""
    painted = [masks[uses.index(use)] / np.float32(255) for use in course.masks]
    return [*painted, np.ones(masks.shape[1:], np.float32)]


def _labelled(bits: Sequence[Bools], most: int) -> tuple[Labels, NDArray[np.intp]]:
    """Label pixels by their bits, the most frequent first; also one pixel of each label."""
    code = bit_codes([bit.ravel() for bit in bits])
    _, first, place, counts = np.unique(code, return_index=True, return_inverse=True, return_counts=True)
    order = np.argsort(-counts, kind="stable")
    kept = [at for at in order.tolist() if counts[at] >= LEAST_SHARE * code.size][:most] or order[:1].tolist()
    number_of = np.full(len(counts), -1, np.int16)
    number_of[kept] = np.arange(len(kept))
    labels = number_of[place.ravel()].reshape(bits[0].shape)
    return labels, first[kept]


def _means(labels: Labels, image: Singles, counts: Floats) -> Floats:
    inside = labels >= 0
    sums = np.bincount(labels[inside], weights=image[inside], minlength=len(counts))
    return np.asarray(sums / counts)


def _edges(labels: Labels, count: int) -> Floats:
    """How much of all touching edges lies between each two areas."""
    found = np.zeros((count, count))
    for one, other in ((labels[:, :-STEP_PX], labels[:, STEP_PX:]), (labels[:-STEP_PX], labels[STEP_PX:])):
        meet = (one != other) & (one >= 0) & (other >= 0)
        found += np.bincount(one[meet] * np.int64(count) + other[meet], minlength=count * count).reshape(count, count)
    found = found + found.T
    whole = found.sum() / 2
    return found / whole if whole > 0 else found
