"""Homographies: points and pictures brought from one picture's pixels to another's by a projective matrix."""

import numpy as np

from batiksim.colour import spaces
from batiksim.errors import BatikError
from batiksim.texts.catalogue import say
from batiksim.types import Bytes, Floats, Singles

BLOCK_ROWS = 256  # of a small picture, worked out together


def warp(photo: Singles | Floats, matrix: Floats, shape: tuple[int, int]) -> Floats:
    """The photo (rows, cols, channels) as seen from the prediction's pixels: (*shape, channels); outside is nan.

    matrix : (3, 3), pixels of the prediction to pixels of the photo
    """
    from skimage import transform

    projective = transform.ProjectiveTransform(matrix)
    seen = transform.warp(photo, projective, output_shape=shape, order=1, cval=np.nan, preserve_range=True)
    return np.asarray(seen, dtype=np.float64)


def reduced(rgb: Bytes, longest: int) -> tuple[Bytes, Floats]:
    """A smaller picture, and the matrix from large pixels to small ones."""
    from PIL import Image

    scale = min(1.0, longest / max(rgb.shape[:2]))
    cols, rows = max(8, round(rgb.shape[1] * scale)), max(8, round(rgb.shape[0] * scale))
    small = np.asarray(Image.fromarray(rgb).resize((cols, rows), Image.Resampling.BOX))
    sx, sy = cols / rgb.shape[1], rows / rgb.shape[0]
    return small, np.array([[sx, 0.0, (sx - 1) / 2], [0.0, sy, (sy - 1) / 2], [0.0, 0.0, 1.0]])


def shrunk(rgb: Bytes, longest: int) -> tuple[Bytes, Floats]:
    """A picture averaged in linear light over whole blocks of pixels, and the matrix from large pixels to small ones.

    rgb : sRGB uint8 (rows, cols, 3); it comes back as it is where neither side is longer than `longest`
    A block is the smallest that brings the longer side to `longest`; what is left over at the far edges is cut off.
    """
    block = -(-max(rgb.shape[:2]) // longest)
    if block == 1:
        return rgb, np.eye(3)
    rows, cols = rgb.shape[0] // block, rgb.shape[1] // block
    linear = spaces.decode_srgb(np.arange(256) / 255.0).astype(np.float32)
    small: Bytes = np.empty((rows, cols, 3), np.uint8)
    for top in range(0, rows, BLOCK_ROWS):
        foot = min(rows, top + BLOCK_ROWS)
        mean = np.zeros((foot - top, cols, 3), np.float32)
        for down in range(block):
            for across in range(block):
                mean += linear[rgb[top * block + down : foot * block : block, across : cols * block : block]]
        small[top:foot] = np.rint(255 * spaces.encode_srgb(mean / block**2))
    shift = (1 / block - 1) / 2
    return small, np.array([[1 / block, 0.0, shift], [0.0, 1 / block, shift], [0.0, 0.0, 1.0]])


def transform_points(points: Floats, matrix: Floats) -> Floats:
    """Points (..., 2; x, y) brought to their new places (..., 2) by a projective matrix (3, 3)."""
    from skimage.transform import matrix_transform

    return np.asarray(matrix_transform(points.reshape(-1, 2), matrix)).reshape(points.shape)


def frame_corners(size: Floats) -> Floats:
    """Middles of the corner pixels (4, 2) of a picture of a size (width, height), top left first, clockwise."""
    wide, high = size - 1
    return np.array([[0.0, 0.0], [wide, 0.0], [wide, high], [0.0, high]])


def polygon_area(corners: Floats) -> float:
    """The area of a figure by its corners (n, 2), whichever way round they run (shoelace formula)."""
    first, second = corners.T
    return 0.5 * abs(float(first @ np.roll(second, -1) - second @ np.roll(first, -1)))


def signed_turns(corners: Floats) -> Floats:
    """How a figure turns at each of its corners (n, 2), in square pixels: all above 0 for a clockwise one."""
    sides = np.roll(corners, -1, axis=0) - corners
    return np.asarray(sides[:, 0] * np.roll(sides[:, 1], -1) - sides[:, 1] * np.roll(sides[:, 0], -1))


def homography_from_corners(
    size: Floats,
    corners: Floats,
    *,
    what: str = "cloth",
    field: str = "corners",
    got: str | None = None,
    least_turn: float = 0.0,
) -> Floats:
    """The matrix that brings a picture of that size to four corners.

    what : "cloth" or "strip"; field, got : where its corners are given, and as what
    errors : BatikError when they make no such figure: at each it has to turn by more than `least_turn`
    """
    from skimage.transform import ProjectiveTransform

    with np.errstate(over="ignore", invalid="ignore"):
        turns = signed_turns(corners)
    makes_figure = bool(np.all(np.isfinite(turns) & (turns > least_turn)))
    problem = "photo.error.corners_reversed" if np.all(turns < 0) else f"photo.error.not_four_sided_{what}"
    estimate = makes_figure and ProjectiveTransform.from_estimate(frame_corners(size), corners)
    if not estimate:
        raise BatikError(problem, field=field, got=got, fix=say("photo.error.corner_order"))
    return np.asarray(estimate.params)
