"""The sheet of paper in a photo of a drawing, and what lies round it: the table, read as marks by mistake."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from batiksim.cloth.masks import marked_sides

__all__ = ["lies_on_table", "without_table"]

Pixels = NDArray[np.uint8]
_LOOK_PX = 500  # the paper is looked for on a mask about so wide
_LEAST_PIECE = 0.005  # of the picture: smaller bare pieces may be glints on the table
_LEAST_TABLE = 0.01  # of the picture, marked beside the paper
_RIM = 0.006  # of the paper's shorter side, left out along its edge: it is blurred there


def lies_on_table(mask: Pixels) -> bool:
    """Whether marks fill a whole side of the picture and what lies beyond the paper's straight edges.

    mask : uint8 (rows, cols), 0 = not marked .. 255 = fully marked. A border drawn on purpose looks the same.
    """
    if not marked_sides(mask):
        return False
    beside = (mask > 127) & ~_paper(mask)
    return bool(beside.mean() >= _LEAST_TABLE)


def without_table(mask: Pixels) -> Pixels:
    """The mask with nothing marked beyond the edges of the paper; marks that run up to them stay."""
    return np.where(_paper(mask), mask, np.uint8(0))


def _paper(mask: Pixels) -> NDArray[np.bool_]:
    """Where paper is, bool (rows, cols): whatever lies between bare places, a little less along the edge."""
    from scipy import ndimage
    from scipy.spatial import ConvexHull, QhullError
    from skimage.draw import polygon2mask

    every = max(1, mask.shape[1] // _LOOK_PX)
    labels, count = ndimage.label(mask[::every, ::every] <= 127)
    sizes = np.bincount(labels.ravel(), minlength=count + 1)
    large = sizes >= _LEAST_PIECE * labels.size
    large[0] = False
    bare = np.argwhere(large[labels])
    try:
        corners = bare[ConvexHull(bare).vertices] * every + (every - 1) / 2
    except (QhullError, ValueError):  # nothing bare, or all of it in one line
        return np.ones(mask.shape, np.bool_)
    middle, reach = corners.mean(axis=0), np.ptp(corners, axis=0).min()
    shrunk = middle + (corners - middle) * (1 - 2 * (_RIM + every / max(reach, 1)))
    # where the paper runs off the picture there is no edge to keep away from
    ends = np.array(mask.shape) - 1.0
    near = every + 1.0
    shrunk = np.where(corners <= near, -1.0, np.where(corners >= ends - near, ends + 1, shrunk))
    return np.asarray(polygon2mask(mask.shape, shrunk))
