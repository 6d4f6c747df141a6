"""The sheet of paper in a photo of a drawing, and what lies round it: the table, read as marks by mistake."""

from __future__ import annotations

import numpy as np

from batiksim.cloth.masks import marked_sides
from batiksim.photo.homography import polygon_area
from batiksim.types import Bools, Bytes, Floats

__all__ = ["rectify_paper", "has_surround", "paper_corners", "mask_outside_paper"]

_LOOK_PX = 500  # the paper is looked for on a mask about so wide
_LEAST_PIECE = 0.005  # of the picture: smaller bare pieces may be glints on the table
_LEAST_TABLE = 0.01  # of the picture, marked beside the paper
_WHOLE = 0.96  # of the sheet that four straight edges make is bare paper, else its corners aren't known
_RIM = 0.006  # of the paper's shorter side, left out along its edge: it is blurred there


def has_surround(mask: Bytes) -> bool:
    """Whether marks fill a whole side of the picture and what lies beyond the paper's straight edges.

    mask : uint8 (rows, cols), 0 = not marked .. 255 = fully marked. A border drawn on purpose looks the same.
    """
    if not marked_sides(mask):
        return False
    beside = (mask > 127) & ~_paper_mask(mask)
    return bool(beside.mean() >= _LEAST_TABLE)


def mask_outside_paper(mask: Bytes) -> Bytes:
    """The mask with nothing marked beyond the edges of the paper; marks that run up to them stay."""
    return np.where(_paper_mask(mask), mask, np.uint8(0))


def paper_corners(mask: Bytes) -> Floats | None:
    """The corners of a whole sheet of paper in the picture, float64 (4, 2) of row and column; None for no whole one.

    In the order left top, right top, right bottom, left bottom, as it lies in the picture.
    """
    outline = _convex_outline(mask)
    ends = np.array(mask.shape) - 1.0
    near = 2.0 * max(1, mask.shape[1] // _LOOK_PX)
    if outline is None or outline.min() <= near or (outline >= ends - near).any():
        return None  # it runs off the picture
    four = _four_sided(outline)
    if four is None or polygon_area(outline) < _WHOLE * polygon_area(four) or four.min() < 0 or (four > ends).any():
        return None
    if not _is_plausible_quad(four):
        return None
    first = int(np.argmin(four.sum(axis=1)))  # the corner nearest to the picture's left top
    return np.roll(four, -first, axis=0)


def rectify_paper(mask: Bytes) -> Bytes | None:
    """The sheet of paper alone, as if seen from straight above, about as large as in the picture; None as above.

    mask : uint8 (rows, cols); returns uint8 (rows, cols) of the paper, nothing marked along its very edge
    """
    from PIL import Image
    from skimage.transform import ProjectiveTransform

    corners = paper_corners(mask)
    if corners is None:
        return None
    sides = np.hypot(*(np.roll(corners, -1, axis=0) - corners).T)
    cols, rows = (round(float(sides[at] + sides[at + 2]) / 2) for at in (0, 1))
    straight = np.array([[0, 0], [cols, 0], [cols, rows], [0, rows]], np.float64)
    seen = ProjectiveTransform.from_estimate(straight, corners[:, ::-1] + 0.5)
    if not seen:
        return None
    where = tuple((seen.params / seen.params[2, 2]).ravel()[:8])
    sheet = Image.fromarray(mask_outside_paper(mask))
    return np.asarray(
        sheet.transform((cols, rows), Image.Transform.PERSPECTIVE, where, Image.Resampling.BILINEAR), np.uint8
    )


def _four_sided(outline: Floats) -> Floats | None:
    """The four-sided figure round a convex one, its least needed sides left out one after another."""
    corners = outline
    while len(corners) > 4:
        extended = [_extend_over_side(corners, at) for at in range(len(corners))]
        figures = [figure for figure in extended if figure is not None]
        if not figures:
            return None
        corners = min(figures, key=polygon_area)
    return corners if len(corners) == 4 else None


def _extend_over_side(corners: Floats, at: int) -> Floats | None:
    """A convex figure whose two sides beside one side are drawn on until they meet."""
    before, here, there, after = (corners[(at + step) % len(corners)] for step in (-1, 0, 1, 2))
    incoming, outgoing = here - before, after - there
    cross = incoming[0] * outgoing[1] - incoming[1] * outgoing[0]
    if abs(cross) < 1e-9:
        return None
    gap = there - here
    along = (gap[0] * outgoing[1] - gap[1] * outgoing[0]) / cross
    if along < 0:  # they part
        return None
    kept = np.delete(np.roll(corners, -at, axis=0), [0, 1], axis=0)
    return np.vstack([here + along * incoming, kept])


def _is_plausible_quad(corners: Floats) -> bool:
    """Whether all corners are nearer to square than to straight or to a spike, as those of a sheet seen askew are."""
    sides = np.roll(corners, -1, axis=0) - corners
    sides /= np.hypot(*sides.T)[:, None]
    return bool(np.all(np.abs((sides * np.roll(sides, 1, axis=0)).sum(axis=1)) < np.cos(np.pi / 4)))


def _convex_outline(mask: Bytes) -> Floats | None:
    """The convex outline of what is bare in the picture, float64 (corners, 2); clockwise as seen. None: nothing is."""
    from scipy import ndimage
    from scipy.spatial import ConvexHull, QhullError

    every = max(1, mask.shape[1] // _LOOK_PX)
    labels, count = ndimage.label(mask[::every, ::every] <= 127)
    sizes = np.bincount(labels.ravel(), minlength=count + 1)
    large = sizes >= _LEAST_PIECE * labels.size
    large[0] = False
    bare = np.argwhere(large[labels])
    try:
        around = bare[ConvexHull(bare[:, ::-1]).vertices]  # of column and row: clockwise, as rows run down
    except (QhullError, ValueError):  # nothing bare, or all of it in one line
        return None
    return np.asarray(around * every + (every - 1) / 2, np.float64)


def _paper_mask(mask: Bytes) -> Bools:
    """Where paper is, bool (rows, cols): whatever lies between bare places, a little less along the edge."""
    from skimage.draw import polygon

    every = max(1, mask.shape[1] // _LOOK_PX)
    corners = _convex_outline(mask)
    if corners is None:
        return np.ones(mask.shape, np.bool_)
    middle, reach = corners.mean(axis=0), np.ptp(corners, axis=0).min()
    shrunk = middle + (corners - middle) * (1 - 2 * (_RIM + every / max(reach, 1)))
    # where the paper runs off the picture there is no edge to keep away from
    ends = np.array(mask.shape) - 1.0
    near = every + 1.0
    shrunk = np.where(corners <= near, -1.0, np.where(corners >= ends - near, ends + 1, shrunk))
    paper = np.zeros(mask.shape, np.bool_)
    paper[polygon(shrunk[:, 0], shrunk[:, 1], shape=mask.shape)] = True
    return paper
