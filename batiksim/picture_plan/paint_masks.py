"""Where each pot of a dyeing is brushed on: all that is still open has one pot or another; wax may be brushed over."""

from math import ceil

import numpy as np
from numpy.typing import NDArray

from batiksim.picture_plan.drawable import SOFT_PX, sized
from batiksim.types import Bools, Bytes, Singles

NONE = 255
BRUSH = 0.6  # of the line: how much the borders between pots are rounded
LEAST_BRUSHED = 3.0  # lines: a spot smaller than this squared is no work for a brush, and has its neighbour's pot
FEW = 4  # of so many pixels one is enough to find what lies nearest to spots far under the wax
LEAST_WEIGHT = 0.02  # of the rounding's window: with less in sight, the nearest spot decides


def pots_to_brush(target: Bytes, pots: int, *, line_px: float) -> Singles:
    """Shares of each pot, float32 (pots, rows, cols), 1 in all, over 0.5 where it is brushed on.

    target : uint8 (rows, cols), which pot a spot is to take, or `NONE` where it is all one
    """
    shares = _shares(target, pots, max(0.6, BRUSH * line_px))
    pot = np.where(target == NONE, NONE, shares.argmax(axis=0)).astype(np.uint8)
    crumbs = _crumbs(shares.argmax(axis=0), pots, (LEAST_BRUSHED * line_px) ** 2)
    if not crumbs.any() or crumbs.all():
        return shares
    return _shares(np.where(crumbs, np.uint8(NONE), pot), pots, max(0.6, BRUSH * line_px))


def _crumbs(pot: NDArray[np.intp], pots: int, least: float) -> Bools:
    """Where a pot's patches are smaller than so many pixels."""
    from skimage import morphology

    crumbs = np.zeros(pot.shape, np.bool_)
    for number in range(pots):
        patches = pot == number
        crumbs |= patches & ~morphology.remove_small_objects(patches, max_size=ceil(least) - 1)
    return crumbs


def _shares(target: Bytes, pots: int, sigma: float) -> Singles:
    from scipy import ndimage

    weights = np.stack([
        ndimage.gaussian_filter((target == pot).astype(np.float32), sigma, mode="nearest") for pot in range(pots)
    ])  # fmt: skip
    whole = weights.sum(axis=0)
    far = whole < LEAST_WEIGHT
    if far.any() and not far.all():
        by = 1 if far[::FEW, ::FEW].all() else FEW
        rows, cols = ndimage.distance_transform_edt(far[::by, ::by], return_distances=False, return_indices=True) * by
        away, at = np.nonzero(far)
        weights[:, away, at] = weights[:, rows[away // by, at // by], cols[away // by, at // by]]
        whole = weights.sum(axis=0)
    return np.asarray(weights / np.maximum(whole, 1e-9), np.float32)


def parting_lines(shares: Singles, closed: Bools, *, line_px: float) -> Bools | None:
    """Lines of wax (rows, cols) to lay where two pots would meet and run together; None where there is one pot.

    shares : as from `pots_to_brush`; closed : (rows, cols) what wax covers then

    A line lies on the side of the pot that covers more: small shapes keep their size.
    """
    from scipy import ndimage
    from skimage import morphology

    if len(shares) < 2:
        return None
    sure = ndimage.binary_erosion(closed, border_value=1)  # wax one or two pixels wide is no line yet
    pot = np.where(~sure, shares.argmax(axis=0), NONE).astype(np.uint8)
    covers = np.bincount(pot.ravel(), minlength=256) * 256 + np.arange(256)  # no two alike
    covers[NONE] = 0
    much = covers[pot]
    met = np.zeros(pot.shape, np.bool_)
    for axis in (0, 1):
        along, marked = np.moveaxis(much, axis, 0), np.moveaxis(met, axis, 0)
        both = (along[1:] > 0) & (along[:-1] > 0)
        marked[1:] |= both & (along[1:] > along[:-1])
        marked[:-1] |= both & (along[:-1] > along[1:])
    disc = morphology.disk(max(0, round(line_px - 2)))
    lines = np.zeros(pot.shape, np.bool_)
    for number in range(len(shares)):
        lines |= morphology.dilation(met & (pot == number), disc) & (pot == number)
    return np.asarray(morphology.dilation(lines, morphology.disk(1)), np.bool_)


def brushed_over(shares: Singles, lines: Bools | None, *, line_px: float) -> Singles:
    """Shares of each pot as from `pots_to_brush`, with their borders in the middle of the lines that part them."""
    if lines is None or not lines.any() or lines.all():
        return shares
    pot = np.where(lines, NONE, shares.argmax(axis=0)).astype(np.uint8)
    return _shares(pot, len(shares), max(0.6, BRUSH * line_px))


def masks_to_paint(shares: Singles, shape: tuple[int, int], *, scale: int, line_px: float) -> tuple[Bytes, ...]:
    """A paint mask uint8 (rows, cols) for each pot, 255 = brushed on in full; together they cover the cloth once.

    shares : as from `pots_to_brush`; scale, shape : how much larger the masks are, and where they are cut
    """
    slope = np.float32(max(0.6, BRUSH * line_px) * np.sqrt(2 * np.pi) * scale / SOFT_PX)
    large = np.stack([np.clip((sized(share, shape, scale) - 0.5) * slope + 0.5, 0, 1) for share in shares])
    whole = large.sum(axis=0)
    lost = whole < 0.02  # where three pots meet none may have the half
    if lost.any():
        large[:, lost] = np.stack([sized(share, shape, scale)[lost] for share in shares])
        whole = large.sum(axis=0)
    return tuple(np.asarray(np.rint(share / whole * 255), np.uint8) for share in large)
