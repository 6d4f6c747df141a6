"""What tools leave of a drawn edge: the canting's creeping line and drops, the dry brush, the uneven stamp, cool wax.

All of it is assumption, made to look like work seen on cloth and kept small: `edges` 0..1 says how much of it shows.
"""

import numpy as np

from batiksim.cloth.effects import tool_textures
from batiksim.types import Bytes
from batiksim.values import Tool

SOFT_MM = 0.25  # hot wax rounds off corners of about this size
CREEP_MM = {"canting": 0.22, "brush": 0.12, "stamp": 0.15}  # past the drawn edge at edges = 1
DROP_MM = (0.15, 0.45)  # by which a drop is wider than its line, at edges = 1
DROP_EVERY_MM = 22.0  # along a line, on average, at edges = 1
DRY_MM = 1.3  # how deep a brush's edge may break up
GRID_MM = 0.4


def tool_edges(mask: Bytes, tool: Tool, edges: float, *, px_per_mm: float, seed: int) -> Bytes:
    """A wax mask as the tool leaves it.

    mask : uint8 (rows, cols), 255 = waxed; edges : 0..1, how much shows; px_per_mm : pixels in a millimetre of cloth
    returns : uint8 (rows, cols)
    """
    key = seed % 1_000_003
    result = _crept(mask, edges * CREEP_MM[tool], px_per_mm, key)
    if tool == "canting":
        for x, y, radius in _drops(mask, edges, px_per_mm, key):
            tool_textures.draw_drop(result, x, y, radius)
    elif tool == "brush":
        from scipy.ndimage import gaussian_filter  # slow to import

        soft = gaussian_filter(mask, DRY_MM * px_per_mm, output=np.uint8, truncate=2.0)
        tool_textures.dry_brush(soft, result, edges, px_per_mm, key)
    else:
        tool_textures.patchy_stamp(result, edges, px_per_mm, key)
    return result


def _crept(mask: Bytes, creep_mm: float, px_per_mm: float, key: int) -> Bytes:
    """Wax crept past its edge, more here and less there, and rounded where it was sharp; none is lost."""
    from scipy.ndimage import gaussian_filter  # slow to import

    sigma = SOFT_MM * px_per_mm
    if sigma < 0.3:
        return mask.copy()
    soft = gaussian_filter(mask, sigma, output=np.uint8, truncate=2.5)
    result = mask.copy()
    tool_textures.creep_edges(soft, result, sigma, creep_mm / SOFT_MM, px_per_mm, key)
    return result


def _drops(mask: Bytes, edges: float, px_per_mm: float, key: int) -> list[tuple[float, float, float]]:
    """Drops at the ends of lines and now and then along them, as x, y, radius in pixels."""
    from scipy.ndimage import convolve, distance_transform_edt  # slow to import
    from skimage.morphology import skeletonize

    block = max(1, round(GRID_MM * px_per_mm))
    small = mask[block // 2 :: block, block // 2 :: block] > 127
    middle = skeletonize(small)
    half = distance_transform_edt(small) * block
    ends = middle & (convolve(middle.astype(np.uint8), np.ones((3, 3), np.uint8), mode="constant") == 2)
    thin = middle & (half < 2.0 * px_per_mm)
    rows, cols = np.nonzero(thin)
    x, y = (cols + 0.5) * block, (rows + 0.5) * block
    chance = tool_textures.chances(x / px_per_mm, y / px_per_mm, 3.0, key)
    along = chance < edges * 3.0 / DROP_EVERY_MM
    chosen = (ends[rows, cols] & (chance < 0.7 * edges)) | along
    size = tool_textures.chances(x / px_per_mm, y / px_per_mm, 3.0, key + 1)
    more = edges * (DROP_MM[0] + (DROP_MM[1] - DROP_MM[0]) * size) * px_per_mm
    radius = half[rows, cols] + more
    # of all skeleton points in one patch of 3 mm only one lets a drop fall
    patch = np.stack([(x / px_per_mm) // 3.0, (y / px_per_mm) // 3.0])
    order = np.lexsort((np.arange(len(x)), ~ends[rows, cols]))
    order = order[chosen[order]]
    _, first = np.unique(patch[:, order], axis=1, return_index=True)
    kept = order[np.sort(first)]
    return list(zip(x[kept].tolist(), y[kept].tolist(), radius[kept].tolist(), strict=True))


def cool_wax(mask: Bytes, cool: float, *, px_per_mm: float, seed: int) -> Bytes:
    """What wax too cool to go through holds back of the dye, uint8 (rows, cols): patchy, to be read as thin."""
    result = mask.copy()
    tool_textures.cool_patches(result, cool, px_per_mm, seed % 1_000_003)
    return result
