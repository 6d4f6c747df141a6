"""From a picture cut into steps, pixel by pixel, to wax that a hand can lay: lines, no crumbs, smooth edges.

A picture's pixels carry the number of dyeings they take before they are waxed: their stage. All that is closed before
dyeing j is what has a stage below j; those shapes lie within each other, and every rule here keeps it so.
"""

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from batiksim.cloth.render import default_threads
from batiksim.types import Bools, Bytes, Singles

WORK_PX = 3.3  # pixels to the least line at which shapes are worked on, about, where the picture has as many
LEAST_PIECE = 0.5  # of the line's square: a thin piece smaller than this is a crumb, a larger one is drawn thicker
EDGE = 0.3  # of the line: how much edges are rounded
SLIVER = 0.3  # of the line: new wax of less than this radius beside old wax is left out
# Of a straight edge blurred by sigma, at so many sigma beyond it: what share is left, and how steep it falls by sigma
# (the normal distribution's tail and density, from memory).
EDGE_DEVIATIONS, EDGE_SHARE, EDGE_SLOPE = 1.5, 0.0668, 0.1295
SOFT_PX = 1.6  # width of the edges of finished masks where the picture's own are sharp


@dataclass(frozen=True, kw_only=True, eq=False)
class DrawableStages:
    """What a hand can wax.

    closed : float32 (dyeings, rows, cols), over 0.5 where the cloth is closed before that dyeing; each within the next
    thickened : share of the cloth where lines finer than the hand's were drawn thicker
    dropped_wax, dropped_gaps : share of the cloth where crumbs of wax, or of open cloth within wax, were left out
    crumbs : where those lay, bool (rows, cols)
    parted : share of the cloth under lines that keep two pots apart
    """

    closed: Singles
    thickened: float
    dropped_wax: float
    dropped_gaps: float
    crumbs: Bools
    parted: float = 0.0


def drawable_stages(stages: Bytes, *, dyeings: int, line_px: float) -> DrawableStages:
    """What a hand with lines of `line_px` can wax of stages (uint8 (rows, cols), 0..dyeings)."""
    import skimage.morphology  # noqa: F401  # its parts load when first asked for, which threads must not do at once

    with ThreadPoolExecutor(default_threads()) as pool:
        parts = list(pool.map(lambda dyeing: _drawable(stages < dyeing, line_px), range(1, dyeings + 1)))
    closed = np.empty((dyeings, *stages.shape), np.float32)
    before = np.zeros(stages.shape, np.bool_)
    for place, part in enumerate(parts):
        before = before | _without_slivers(part[0] & ~before, line_px)
        closed[place] = _rounded(before, line_px)
    thick, wax, gaps = (np.logical_or.reduce([part[kind] for part in parts]) for kind in (1, 2, 3))
    return DrawableStages(
        closed=closed,
        thickened=float(thick.mean()),
        dropped_wax=float(wax.mean()),
        dropped_gaps=float(gaps.mean()),
        crumbs=wax | gaps,
    )


def with_lines(stages: DrawableStages, lines: Sequence[Bools | None], *, line_px: float) -> DrawableStages:
    """The same with lines (rows, cols) waxed besides before each dyeing, that keep its pots apart; None = no line."""
    if all(line is None for line in lines):
        return stages
    closed = stages.closed.copy()
    added = np.zeros(closed.shape[1:], np.bool_)
    for at, line in enumerate(lines):
        if line is not None:
            added |= line
            closed[at:] = np.maximum(closed[at:], _rounded(line, line_px))
    return replace(stages, closed=closed, parted=stages.parted + float((added & (stages.closed[-1] <= 0.5)).mean()))


def _without_slivers(new: Bools, line_px: float) -> Bools:
    """New wax less the slivers that come of two edges nearly alike."""
    from skimage import morphology

    radius = round(SLIVER * line_px)
    if radius < 1 or not new.any():
        return new
    padded = np.pad(new, radius, mode="edge")
    core = morphology.opening(padded, morphology.disk(radius))
    grown: Bools = morphology.dilation(core, morphology.disk(radius + 1))
    return np.asarray(grown[radius:-radius, radius:-radius] & new, np.bool_)


def _drawable(shape: Bools, line_px: float) -> tuple[Bools, Bools, Bools, Bools]:
    """A shape with its thin parts, and the thin gaps in it, drawn thicker or left out; then where each was done."""
    if shape.all() or not shape.any():
        nothing = np.zeros_like(shape)
        return shape, nothing, nothing, nothing
    drawn, thick, crumbs = _thickened(shape, line_px)
    gaps, thick_gaps, filled = _thickened(~drawn, line_px)
    return ~gaps, thick | thick_gaps, crumbs & gaps, filled & ~shape


def _thickened(shape: Bools, line_px: float) -> tuple[Bools, Bools, Bools]:
    """A shape as a tool of some width draws it, what that added, and the crumbs it left out."""
    from scipy import ndimage
    from skimage import morphology

    radius = max(1, round((line_px - 1) / 2))
    if line_px < 2:  # a pixel is as wide as the tool: there is nothing too fine
        nothing = np.zeros_like(shape)
        return shape, nothing, nothing
    disc = morphology.disk(radius)
    padded = np.pad(shape, radius, mode="edge")
    core = morphology.opening(padded, disc)[radius:-radius, radius:-radius]
    thin = shape & ~core
    labels, count = ndimage.label(thin, np.ones((3, 3), np.bool_))
    large = np.bincount(labels.ravel(), minlength=count + 1) >= LEAST_PIECE * line_px**2
    large[0] = False
    beside = np.zeros(count + 1, np.bool_)  # corners rounded off are no crumbs
    beside[labels[ndimage.binary_dilation(core, np.ones((3, 3), np.bool_))]] = True
    crumbs = thin & ~beside[labels]
    lines = large[labels]
    if not lines.any():
        return core, np.zeros_like(shape), crumbs
    spine = morphology.skeletonize(lines)
    drawn = core | morphology.dilation(spine, disc)
    return drawn, drawn & ~shape, crumbs & ~drawn


def _rounded(shape: Bools, line_px: float) -> Singles:
    """A shape's edge as a slope about 0.5, without its smallest wiggles."""
    from scipy import ndimage

    soft: Singles = ndimage.gaussian_filter(shape.astype(np.float32), max(0.6, EDGE * line_px), mode="nearest")
    return soft


def sized(field: Singles, shape: tuple[int, int], scale: int) -> Singles:
    """A field `scale` times as large, cut to a shape."""
    from skimage import transform

    if scale > 1:
        whole = (field.shape[0] * scale, field.shape[1] * scale)
        field = np.asarray(transform.resize(field, whole, order=1, preserve_range=True), np.float32)
    cut: Singles = field[: shape[0], : shape[1]]
    return cut


def wax_to_lay(
    stages: DrawableStages,
    shape: tuple[int, int],
    *,
    scale: int,
    line_px: float,
    overlap_px: float,
    soft_px: float = SOFT_PX,
) -> Bytes:
    """The masks to wax, uint8 (dyeings, rows, cols), `scale` times as large as what was worked on, cut to a shape.

    line_px : the line in pixels worked on; overlap_px : how far new wax runs onto wax laid before, same
    soft_px : over how many pixels of the masks their edges go from bare to waxed

    Each holds what is to be closed and isn't yet, and enough of the old wax beside it that no seam stays open.
    """
    from scipy import ndimage

    # across a straight edge the rounding's slope is 1 / (sigma sqrt(2 pi)) for each pixel worked on
    steep = max(0.6, EDGE * line_px) * np.sqrt(2 * np.pi) * scale / SOFT_PX
    # an edge blurred by sigma goes from bare to waxed about as a ramp sqrt(12) sigma wide does: their variances agree
    blur = np.sqrt(max(soft_px**2 - SOFT_PX**2, 0) / 12)
    reach = overlap_px / EDGE_DEVIATIONS

    def ramp(field: Singles, middle: float, slope: float) -> Singles:
        level = (sized(field, shape, scale) - np.float32(middle)) * np.float32(slope) + np.float32(0.5)
        return np.asarray(np.clip(level, 0, 1), np.float32)

    def wax_mask(dyeing: int) -> Bytes:
        mask = ramp(stages.closed[dyeing], 0.5, steep)
        mask = ndimage.gaussian_filter(mask, blur, mode="nearest") if blur > 0.3 else mask
        if dyeing:
            new = (stages.closed[dyeing] > 0.5) & (stages.closed[dyeing - 1] <= 0.5)
            near: Singles = ndimage.gaussian_filter(new.astype(np.float32), reach)
            mask = mask * ramp(near, EDGE_SHARE, reach * scale / (EDGE_SLOPE * SOFT_PX))
        return np.asarray(np.rint(mask * 255), np.uint8)

    with ThreadPoolExecutor(default_threads()) as pool:
        return np.stack(list(pool.map(wax_mask, range(len(stages.closed)))))
