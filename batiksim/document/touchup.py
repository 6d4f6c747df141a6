"""Touching up a mask: wax drawn on or scraped off along a stroke, at the width of a real tool."""

from collections.abc import Sequence

import numpy as np

from batiksim.errors import BatikError
from batiksim.types import Bytes, Floats

Points = Sequence[tuple[float, float]]
MOST_POINTS = 20_000
# Widths of a stroke in mm. Canting: 0.25-1 fine, 1-2 outline, 1-3 filling; a brush line is 1.6 or more (a published
# class sheet). The wider brushes are common practice, no source.
TOOL_WIDTHS_MM: tuple[tuple[str, str, float], ...] = (  # each is shown as "document.tool." and its name says
    ("fine_canting", "canting", 0.8),
    ("canting", "canting", 1.5),
    ("wide_canting", "canting", 2.5),
    ("small_brush", "brush", 5.0),
    ("brush", "brush", 12.0),
    ("wide_brush", "brush", 30.0),
)


def draw_stroke(mask: Bytes, points_mm: Points, *, width_mm: float, px_per_mm: float, erase: bool = False) -> Bytes:
    """A new mask with a stroke laid on, or taken off.

    mask : uint8 (rows, cols), 255 = fully marked; points_mm : x, y from the top left corner
    width_mm : of the stroke
    """
    points = np.array(points_mm, dtype=np.float64).reshape(-1, 2)
    if not 1 <= len(points) <= MOST_POINTS or not np.isfinite(points).all() or np.abs(points).max() > 1e6:
        raise BatikError("document.error.stroke_points", field="points", got=len(points), most=MOST_POINTS)
    result = mask.copy()
    points = points * px_per_mm - 0.5
    ends = np.roll(points, -1, axis=0)[:-1] if len(points) > 1 else points
    radius = max(width_mm * px_per_mm / 2, 0.5)
    for start, end in zip(points, ends, strict=False):
        _capsule(result, start, end, radius, erase)
    return result


def _capsule(mask: Bytes, start: Floats, end: Floats, radius: float, erase: bool) -> None:
    """Lay one straight piece with round ends on the mask, its edge one pixel soft."""
    reach = radius + 0.5
    first, last = np.ceil(np.minimum(start, end) - reach), np.floor(np.maximum(start, end) + reach)
    (x0, y0), (x1, y1) = np.clip([first, last + 1], 0, mask.shape[::-1]).astype(int)
    part = mask[y0:y1, x0:x1]
    y, x = np.mgrid[y0:y1, x0:x1]
    along = end - start
    length2 = float(along @ along)
    t = 0.0 if length2 == 0 else np.clip(((x - start[0]) * along[0] + (y - start[1]) * along[1]) / length2, 0, 1)
    away = np.hypot(x - start[0] - t * along[0], y - start[1] - t * along[1])
    level = np.rint(np.clip(radius - away + 0.5, 0, 1) * 255).astype(np.uint8)
    np.minimum(part, 255 - level, out=part) if erase else np.maximum(part, level, out=part)
