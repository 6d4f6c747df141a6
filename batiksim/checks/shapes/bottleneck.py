"""The narrowest spot on the widest way between two parts of open cloth."""

from dataclasses import dataclass

import numpy as np

from batiksim.checks.shapes.components import pieces
from batiksim.types import Bools, Floats


@dataclass(frozen=True, kw_only=True)
class Narrows:
    """A narrow spot, in pixels of the window it was looked for in.

    row, col : where it is; width : of the open cloth there
    room_source, room_target : width of the widest disc within reach on either side
    source, target : the middles of those discs
    """

    row: float
    col: float
    width: float
    room_source: float
    room_target: float
    source: tuple[int, int]
    target: tuple[int, int]


def bottleneck(opened: Bools, source: Bools, target: Bools, near: tuple[float, float]) -> Narrows | None:
    """Where the widest way from source to target is narrowest; None when there is no way, or the window is one room.

    opened, source, target : (rows, cols), the latter two within the first
    near : row and column; of several narrow spots the one nearest to it is meant
    """
    from scipy import ndimage

    if opened.all() or not source.any() or not target.any():
        return None
    far = ndimage.distance_transform_edt(opened)
    level = _maximin_width(far, source, target)
    if level is None:
        return None
    rows, cols = np.nonzero(_joining(far >= level, source, target) & (far <= level + 0.3))
    nearest = int(np.argmin((rows - near[0]) ** 2 + (cols - near[1]) ** 2))
    spot = int(rows[nearest]), int(cols[nearest])
    first, last = _beside(far, source, target, level, spot)
    if first is None or last is None:
        return None
    return Narrows(
        row=spot[0],
        col=spot[1],
        width=max(1.0, 2 * level - 1),
        room_source=2 * float(far[first]) - 1,
        room_target=2 * float(far[last]) - 1,
        source=first,
        target=last,
    )


def _maximin_width(far: Floats, source: Bools, target: Bools) -> float | None:
    """The largest distance from wax that some way from source to target keeps all along."""
    levels = np.unique(far[far > 0])
    low, high = -1, len(levels)  # joined at levels[low], parted at levels[high]
    while high - low > 1:
        middle = (low + high) // 2
        if _joining(far >= levels[middle], source, target).any():
            low = middle
        else:
            high = middle
    return None if low < 0 else float(levels[low])


def _joining(where: Bools, source: Bools, target: Bools) -> Bools:
    """The pieces of a shape that have parts of both source and target."""
    labels, _ = pieces(where, corners=True)
    return np.isin(labels, np.intersect1d(labels[source & where], labels[target & where]))


def _beside(
    far: Floats, source: Bools, target: Bools, level: float, spot: tuple[int, int]
) -> tuple[tuple[int, int] | None, tuple[int, int] | None]:
    """The roomiest spots on both sides, once the narrow spot is shut with a disc as wide as it is."""
    rows, cols = np.ogrid[: far.shape[0], : far.shape[1]]
    shut = np.hypot(rows - spot[0], cols - spot[1]) <= level + 0.7
    labels, _ = pieces((far > 0) & ~shut, corners=False)
    around = np.hypot(rows - spot[0], cols - spot[1]) <= level + 2.2
    sides = [label for label in np.unique(labels[around]) if label > 0]
    weights = {side: (int((source & (labels == side)).sum()), int((target & (labels == side)).sum())) for side in sides}
    first = max(sides, key=lambda side: weights[side][0] - weights[side][1], default=None)
    last = max(sides, key=lambda side: weights[side][1] - weights[side][0], default=None)
    if first is None or first == last:
        return None, None
    return _roomiest(far, labels == first), _roomiest(far, labels == last)


def _roomiest(far: Floats, where: Bools) -> tuple[int, int]:
    row, col = np.unravel_index(int(np.argmax(far * where)), far.shape)
    return int(row), int(col)
