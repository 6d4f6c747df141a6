"""Where regions touch, with nothing between: counted along rows and columns of the full masks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from batiksim.checks.scene.scene import Scene
from batiksim.cloth.outcome import History
from batiksim.types import Bytes, Ints
from batiksim.values import Place

__all__ = ["Border", "borders"]

LINES = 120  # rows, and as many columns, that are looked along
STEP_PX = 3  # a soft edge of up to two pixels may lie between two regions
CELL_MM = 25.0


@dataclass(frozen=True, kw_only=True)
class Border:
    """Two histories that meet along a length of edge; place : where they meet most."""

    pair: tuple[History, History]
    mm: float
    place: Place


def borders(scene: Scene, wanted: Sequence[History], *, least_mm: float) -> list[Border]:
    """All borders of at least a length between the wanted histories, the longest first.

    A line of bare cloth two or more pixels wide between two regions keeps them apart. With lines a distance d apart in
    both directions, a straight edge is crossed by rows and columns so often that its length is d times the root of the
    sum of the squares of both counts; a curved one comes out up to a tenth too short.
    """
    _, rows, cols = scene.masks.shape
    gap = max(1, min(rows, cols) // LINES)
    order = {history: place for place, history in enumerate(wanted)}
    places = np.array([order.get(history, -1) for history in scene.outcome.histories])
    met = []
    for across in (False, True):
        masks = scene.masks[:, gap // 2 :: gap] if not across else scene.masks[:, :, gap // 2 :: gap].transpose(0, 2, 1)
        pair, line, along = _crossings(_labels(scene, np.ascontiguousarray(masks), places), len(wanted))
        line = line * gap + gap // 2
        met.append(np.stack([pair, *((along, line) if across else (line, along))], axis=1))
    counts = np.hypot(*(np.bincount(one[:, 0], minlength=len(wanted) ** 2) for one in met))
    lengths = counts * gap / scene.px_per_mm
    found = np.concatenate(met)
    return [
        Border(
            pair=(wanted[pair // len(wanted)], wanted[pair % len(wanted)]),
            mm=float(lengths[pair]),
            place=_thickest(scene, found[found[:, 0] == pair, 1:]),
        )
        for pair in np.argsort(-lengths, kind="stable").tolist()
        if lengths[pair] >= least_mm
    ]


def _labels(scene: Scene, masks: Bytes, places: Ints) -> NDArray[np.int16]:
    """The wanted history of each pixel, -1 for any other. places : of each history of the cloth among the wanted."""
    labels: NDArray[np.int16] = np.append(places, -1)[scene.outcome.labels(masks)].astype(np.int16)
    return labels


def _crossings(labels: NDArray[np.int16], count: int) -> tuple[Ints, ...]:
    """Every change from one wanted history to another along the rows: lower * count + higher, row, column."""
    before, first, second, after = (labels[:, k : labels.shape[1] - STEP_PX + k] for k in range(STEP_PX + 1))
    edge = (first == after) | (second == after) | ((first < 0) & (second < 0))
    turned = edge & (before != after) & (before >= 0) & (after >= 0) & (first != before)
    lines, alongs = np.nonzero(turned)
    one, other = before[lines, alongs].astype(np.int64), after[lines, alongs].astype(np.int64)
    return np.minimum(one, other) * count + np.maximum(one, other), lines, alongs + 1


def _thickest(scene: Scene, at: Ints) -> Place:
    """The square of cloth with most crossings, at their middle."""
    spots = at / scene.px_per_mm
    down, across = (spots // CELL_MM).astype(int).T
    cell = down * (int(across.max()) + 1) + across
    row, col = spots[cell == int(np.bincount(cell).argmax())].mean(axis=0)
    return scene.at(float(col), float(row), CELL_MM / 2)
