"""Wax masks made anew: every area sealed before the dyeing that an order wants it kept from, edges as soft as drawn."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from batiksim.cloth.rules import Cover
from batiksim.ordering.areas import Partition, bit_codes, reach_of, rest_bits
from batiksim.ordering.course import Course
from batiksim.types import Bytes, Floats, Ints, Singles, Words
from batiksim.values import MaskUse, RemoveWax, Wax

BAND_PIXELS = 1 << 20
HALO = 2
LEAST_MARKED = 0.0002  # of the cloth, below which a new mask is nothing but specks


def waxed_before(
    course: Course, areas: Partition, picks: Sequence[int], uses: Sequence[MaskUse], masks: Bytes, wanted: Bytes
) -> Bytes:
    """The new masks, one before each dyeing: uint8 (dyeings, rows, cols), 255 = waxed then.

    areas : cut from the same pictures, perhaps reduced; picks : for each, the place before which it is closed, from 0
    uses, masks, wanted : as for `partition_of`, at any size
    Wax adds up: where a soft edge is partly waxed already, the new wax covers its share of what is still open.
    """
    _, rows, cols = masks.shape if len(masks) else wanted.shape
    out = np.zeros((course.places, rows, cols), np.uint8)
    groups, table = _places(course, areas, picks)
    band = max(1, BAND_PIXELS // cols)
    for first in range(0, rows, band):
        last = min(rows, first + band)
        top, foot = max(0, first - HALO), min(rows, last + HALO)
        reach = reach_of(course, uses, masks[:, top:foot])
        rest = bit_codes(rest_bits(course, reach, areas.thresholds, wanted[:, top:foot]))
        shares = _closed_shares(course, groups, table, reach.covers, rest)
        for place, level in enumerate(_of_what_is_open(shares)):
            out[place, first:last] = level[first - top : first - top + last - first]
    return out


def _places(course: Course, areas: Partition, picks: Sequence[int]) -> tuple[Words, Ints]:
    """Groups of areas that differ only in when the planned wax closes them: their codes, sorted, and a table (groups,
    stages) of the place before which each is closed now. Stages that a group doesn't have keep their place.
    """
    codes = bit_codes(list(areas.rest.T))
    groups = np.unique(codes)
    table = np.tile(np.arange(course.places + 1), (len(groups), 1))
    stages = areas.opened[:, course.dyeings].sum(axis=1)
    for area in reversed(range(areas.count)):  # the largest has the last word
        table[np.searchsorted(groups, codes[area]), stages[area]] = picks[area]
    return groups, table


def _closed_shares(course: Course, groups: Words, table: Ints, covers: Sequence[Cover], code: Words) -> Singles:
    """How much of each pixel is to be closed before each dyeing, the last part never: (dyeings + 1, rows, cols).

    covers : the planned wax at each event; code : (rows, cols) of each pixel's group
    """
    whole = np.ones(code.shape, np.float32)
    opened: list[Floats | Singles] = [whole, *(covers[at].opened for at in course.dyeings), 0 * whole]
    found = np.minimum(np.searchsorted(groups, code), len(groups) - 1)
    known = groups[found] == code
    result: Singles = np.zeros((course.places + 1, *code.shape), np.float32)
    for stage in range(course.places + 1):
        part = opened[stage] - opened[stage + 1]
        place = np.where(known, table[found, stage], stage)
        for goal in np.unique(place).tolist():
            result[goal] += np.where(place == goal, part, np.float32(0))
    return _softened(result, np.where(known, found, -1))


def _softened(shares: Singles, group: NDArray[np.intp]) -> Singles:
    """The same with edges between groups, which are hard so far, spread over three pixels."""
    edge = np.zeros(group.shape, np.bool_)
    for marked, along in ((edge, group), (edge.T, group.T)):
        differ = along[1:] != along[:-1]
        marked[1:] |= differ
        marked[:-1] |= differ
    if edge.any():
        padded = np.pad(shares, ((0, 0), (1, 1), (1, 1)), mode="edge")
        rows, cols = group.shape
        mean = sum(padded[:, y : y + rows, x : x + cols] for y in range(3) for x in range(3)) / np.float32(9)
        shares = np.where(edge, mean, shares)
    return shares


def _of_what_is_open(shares: Singles) -> Iterator[Bytes]:
    left = np.ones(shares.shape[1:], np.float32)
    for share in shares[:-1]:
        cover = np.divide(share, left, out=np.zeros_like(left), where=left > 1 / 512)
        yield np.rint(255 * np.clip(cover, 0, 1)).astype(np.uint8)
        left = left - share


def new_waxings(
    planned: Sequence[Wax], uses: Sequence[MaskUse], masks: Bytes, waxed: Bytes, names: Sequence[str]
) -> list[Wax | None]:
    """A waxing for each new mask: as the planned one that covers most of it (tool, crackle ...), with the new picture.

    planned : the design's own that seal; waxed : what `waxed_before` gave at the size of `masks`
    None stands for a mask that marks nothing.
    """
    found: list[Wax | None] = []
    for mask, name in zip(waxed, names, strict=True):
        if mask.mean() / 255 < LEAST_MARKED:
            found.append(None)
            continue
        use = MaskUse(picture=name, marks="dark")
        shared = [float(np.minimum(mask, masks[uses.index(step.mask)]).sum()) for step in planned]
        found.append(replace(planned[int(np.argmax(shared))], mask=use) if planned else Wax(mask=use))
    return found


def can_derive(course: Course) -> bool:
    """Whether wax stays until the last dyeing, as new masks need it to."""
    last = max(event.step for event in course.events)
    return not any(isinstance(step, RemoveWax) for step in course.design.steps[:last])
