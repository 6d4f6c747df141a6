"""Where wax really lies and seals: the mask as drawn, shaped by the tool, by cool wax, and by cracks.

All lengths are in mm of cloth and every chance comes from a seed, so that a smaller picture of the same cloth shows the
same wax, and the same design gives the same bytes every time.
"""

import hashlib

import numpy as np

from batiksim.cloth.effects import crackle_drawing, tool_edges
from batiksim.cloth.effects.crackle import Cracks, crack_network
from batiksim.cloth.masks import less
from batiksim.types import Bytes, Singles
from batiksim.values import Wax

# How far apart the finest cracks stand, in mm, gently and hard crumpled. Common practice, no source: some cm to 2-3 mm.
WIDEST_MM, CLOSEST_MM = 40.0, 2.5
BLEED_MM = 0.22  # dye creeps this far under the wax beside a crack: assumption
NEEDS_MM = (3.0, 7.0)  # wax narrower than this doesn't crack: for the longest cracks, for the finest. Assumption
WIDTHS_MM = (2.0, 3.0, 4.5, 6.5, 9.0)  # the widths of wax that are told apart
OPEN_AT_LEAST = 0.4  # of a crack's full width where wax is barely bent: assumption
GRID_MM = 0.5  # on a grid of this size
MOST_CELLS = 1_500_000


def wax_seed(title: str, step: int, wax: Wax) -> int:
    """The seed of a waxing: its own where it has one, else from the design's title and the step."""
    text = f"{title}\n{step}" if wax.seed is None else f"seed {wax.seed}"
    return int.from_bytes(hashlib.sha256(text.encode()).digest()[:7], "big")


def brittleness(paraffin: float) -> float:
    """How much a blend cracks against one of equal parts, by its share of paraffin 0..1. Assumption.

    Beeswax bends, paraffin breaks; usual blends have 1/3 to 7/10 paraffin, more for more crackle (a published range).
    """
    return 0.1 + 1.8 * paraffin


def crack_spacing_mm(crackle: float, paraffin: float) -> float:
    """How far apart the finest cracks stand, in mm, by how hard the cloth is crumpled (0..1) and its blend."""
    hard = min(1.0, crackle * brittleness(paraffin))
    return float(WIDEST_MM * (CLOSEST_MM / WIDEST_MM) ** hard)


def wax_width_mm(mask: Bytes, px_per_mm: float) -> tuple[Singles, float]:
    """How wide the wax is around each spot, on a coarse grid.

    mask : uint8 (rows, cols), 255 = waxed
    returns : float32 (grid rows, grid cols), the largest of `WIDTHS_MM` that fits into the wax there, 0 = none; and the
        size of a grid cell in mm
    """
    from scipy.ndimage import distance_transform_edt  # slow to import

    most = np.sqrt(mask.size / MOST_CELLS)
    block = max(1, round(GRID_MM * px_per_mm), int(np.ceil(most)))
    waxed = _averaged(mask, block) > 127
    cell = block / px_per_mm
    width = np.zeros(waxed.shape, np.float32)
    padded = np.pad(waxed, 1, mode="edge")  # wax may go on beyond the border
    inside = (distance_transform_edt(padded) - 0.5) * cell
    if padded.all():
        inside = np.full(padded.shape, np.inf)
    for wide in WIDTHS_MM:
        core = inside >= wide / 2
        if not core.any():
            break
        around = distance_transform_edt(~core)[1:-1, 1:-1] * cell <= wide / 2
        width[around & waxed] = wide
    return width, cell


def _averaged(mask: Bytes, block: int) -> Singles:
    """The mask in blocks of pixels, each the mean; what is over at the right and below joins the last."""
    rows = np.arange(0, max(1, mask.shape[0] - block // 2), block)
    cols = np.arange(0, max(1, mask.shape[1] - block // 2), block)
    sums = np.add.reduceat(np.add.reduceat(mask, cols, axis=1, dtype=np.uint32), rows, axis=0)
    tall, wide = np.diff(rows, append=mask.shape[0]), np.diff(cols, append=mask.shape[1])
    means: Singles = (sums / (tall[:, None] * wide)).astype(np.float32)
    return means


def _allowed(cracks: Cracks, width: Singles, cell: float) -> Singles:
    """How much of each point of the cracks the wax around it allows, float32 (points,) 0..1; finer ones need more."""
    row = np.clip((cracks.y / cell).astype(np.int64), 0, width.shape[0] - 1)
    col = np.clip((cracks.x / cell).astype(np.int64), 0, width.shape[1] - 1)
    fine = np.maximum(0.0, 1.0 - cracks.room / 25.0)
    needs = NEEDS_MM[0] + (NEEDS_MM[1] - NEEDS_MM[0]) * np.repeat(fine, np.diff(cracks.starts))
    share = np.clip((width[row, col] / needs - 0.65) / 0.35, 0.0, 1.0)
    # along each crack the change is soft, as wax doesn't end its strength within a grid cell
    sums = np.concatenate([[0.0], np.cumsum(share)])
    point, size = np.arange(len(share)), np.diff(cracks.starts)
    low = np.maximum(point - 2, np.repeat(cracks.starts[:-1], size))
    high = np.minimum(point + 3, np.repeat(cracks.starts[1:], size))
    return np.where(share > 0, (sums[high] - sums[low]) / (high - low), 0.0).astype(np.float32)


def crack_openings(
    mask: Bytes, *, px_per_mm: float, crackle: float, paraffin: float = 0.5, seed: int = 0, high_mm: float | None = None
) -> Bytes:
    """The share of each pixel that cracks open to dye, uint8 (rows, cols), 255 = wholly.

    mask : uint8 (rows, cols), the wax; thin lines don't crack, wide wax cracks finer
    high_mm : the height of the cloth where it is known better than by the pixels
    """
    plane = np.zeros(mask.shape, np.uint8)
    hard = min(1.0, crackle * brittleness(paraffin))
    if hard <= 0:
        return plane
    width, cell = wax_width_mm(mask, px_per_mm)
    if not width.any():
        return plane
    spacing_mm = crack_spacing_mm(crackle, paraffin)
    cracks = crack_network(
        mask.shape[1] / px_per_mm, high_mm or mask.shape[0] / px_per_mm, spacing_mm=spacing_mm, seed=seed
    )
    shown = np.full(len(cracks), min(1.0, OPEN_AT_LEAST + 0.75 * hard))
    crackle_drawing.draw_cracks(
        cracks.x,
        cracks.y,
        cracks.width,
        cracks.starts,
        shown,
        _allowed(cracks, width, cell),
        px_per_mm,
        BLEED_MM,
        seed % 1_000_003,
        plane,
    )
    return plane


def shaped_wax(
    mask: Bytes, wax: Wax, *, px_per_mm: float, seed: int, high_mm: float | None = None
) -> tuple[Bytes, Bytes | None]:
    """Where the wax of one waxing seals: `mask`, uint8 (rows, cols), with the tool's edges, cool wax and cracks.

    returns : what it holds back, 255 = everything; how far cracks open it, None = no cracks
    """
    shaped, opened = mask, None
    if wax.edges > 0 and wax.tool is not None:
        shaped = tool_edges.tool_edges(shaped, wax.tool, wax.edges, px_per_mm=px_per_mm, seed=seed)
    if wax.crackle > 0:
        opened = crack_openings(
            shaped, px_per_mm=px_per_mm, crackle=wax.crackle, paraffin=wax.paraffin, seed=seed, high_mm=high_mm
        )
        shaped = less(shaped, opened)
    if wax.cool > 0:
        shaped = tool_edges.cool_wax(shaped, wax.cool, px_per_mm=px_per_mm, seed=seed)
    return shaped, opened


def split_at_cracks(wax: Bytes, opened: Bytes, sound: Bytes, cracked: Bytes) -> None:
    """Part the wax, into two planes uint8 (rows, cols), into what is sound and what a crack runs through."""
    np.multiply(wax, opened == 0, out=sound)
    np.multiply(wax, opened > 0, out=cracked)
