"""From a photo or scan of a brush drawing to a clean mask: even ground, no specks, whole strokes, soft edges.

Light on paper multiplies what is drawn there. So the ground's level is worked out everywhere from the spots without
marks, and each pixel is divided by it. What is left is 1 on the ground and one smaller (dark marks) or larger (light
marks) value in full strokes; the share between the two is the mark's depth, and a steep ramp about half the depth
nearby gives the mask, its edge as soft as the picture drew it. The limits below were set by eye on photos made up for
the tests.
"""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from skimage import filters, morphology, transform

from batiksim.types import Bools, Bytes, Singles

_SMALL_SIDE = 400  # the ground is worked out on a picture this wide or high
_DARKEST = 4.0  # encoded levels added before dividing, so that black gives no wild ratios
_FEWEST_MARKED = 2e-4  # share of the small picture; fewer deep pixels are specks, not a drawing
_SPECK = 8  # pixels of the small picture; what has no more is no drawing
_LEAST_CONTRAST = 0.12  # of the ground's level; paler than this is paper texture, not a drawing
_SHARP = 0.45  # of a mark's depth: how much of it lies within 7 pixels of the small picture, across its edge
_GROUND_REACH = 0.03  # share of the longer side over which uneven light is followed
_DEPTH_REACH = 0.04  # share of the longer side over which the strength of strokes is followed
_HALF_RAMP = 0.17  # depth either side of the threshold over which the mask runs from 0 to 255
_SPECKS_A_SIDE = 250  # specks and pinholes are narrower than this part of the longer side
_FAINT = 100  # of 255: a spot that is nowhere further than this from its surroundings is a smudge or a streak
_STIFFNESS = (1e-9, 1e-4, 1e-3, 1e-2)  # by power: keeps the surface tame where no ground shows
_BAND_ROWS = 256


def clean_mask(mask: Bytes, *, light_marks: bool = False) -> Bytes:
    """Clean a mask read straight from a photo or scan.

    mask : uint8 (rows, cols), 255 = the marks' end of the grey scale
    light_marks : the marks were light on a dark ground (255 = white), else dark on a light one (255 = black)
    returns : uint8 (rows, cols), 0 = ground, 255 = marks, between them only at edges; all 0 where no drawing is found
    """
    levels = mask if light_marks else np.invert(mask)
    sign = -1.0 if light_marks else 1.0
    small = _block_means(levels)
    ground, marked = _estimate_background(np.log(small + np.float32(_DARKEST)) * sign)
    ground = np.exp(ground * sign)
    full = _full_mark_ratio(small, ground, marked)
    if full is None:
        return np.zeros_like(mask)
    depth = _denoise(_depth(levels, ground, full))
    return _despeckle(_ramp(depth, _half_depth(_block_means(depth) / np.float32(255))))


def _block_means(pixels: Bytes) -> Singles:
    """The picture as means of whole blocks, its longer side about _SMALL_SIDE."""
    block = _block(max(pixels.shape))
    rows, cols = (side // block * block or side for side in pixels.shape)
    if block == 1:
        return pixels.astype(np.float32)
    means = transform.downscale_local_mean(pixels[:rows, :cols], (block, block))
    return np.asarray(means, dtype=np.float32)


def _estimate_background(levels: Singles) -> tuple[Singles, Bools]:
    """The ground's level everywhere, and which pixels are marks, both of the small picture.

    levels : float32 (rows, cols), logarithm of brightness, turned so that the ground is the upper side
    """
    starts = (levels > filters.threshold_otsu(levels), _initial_background(levels))
    refined = [_refine_background(levels, clear) for clear in starts]
    return max(refined, key=lambda background: _otsu_separability(levels - background[0]))


def _initial_background(levels: Singles) -> Bools:
    """Pixels near the highest level around them: a first guess of the ground where the light is very uneven."""
    size = max(3, max(levels.shape) // 48)
    top = ndimage.percentile_filter(levels[::4, ::4], 90, size=size)
    return np.asarray(levels > transform.resize(top, levels.shape, order=1, preserve_range=True) - 0.12)


def _refine_background(levels: Singles, clear: Bools) -> tuple[Singles, Bools]:
    """From a first guess of the clear ground to its level everywhere, and the marks on it."""
    for order in (1, 2, 3, 3):
        smooth = _fit_background(levels, clear, order)
        clear = ~_marks_on(levels - smooth)
    clear_of_edges = (~morphology.dilation(~clear, morphology.disk(2))).astype(np.float32)
    reach = _GROUND_REACH * max(levels.shape)
    held = ndimage.gaussian_filter((levels - smooth) * clear_of_edges, reach)
    share = ndimage.gaussian_filter(clear_of_edges, reach)
    held *= share**2 / (share**3 + np.float32(0.02))  # their mean, but hardly moved by what little shows in a crowd
    return smooth + held, _marks_on(levels - smooth - held)


def _fit_background(levels: Singles, clear: Bools, order: int) -> Singles:
    """The polynomial surface that fits the clear ground best: light falls off smoothly across a sheet."""
    y, x = np.meshgrid(*(np.linspace(-1, 1, side) for side in levels.shape), indexing="ij")
    powers = [(i, j) for i in range(order + 1) for j in range(order + 1 - i)]
    terms = np.stack([x**i * y**j for i, j in powers], axis=-1)
    clear = clear if clear.any() else np.ones_like(clear)
    step = max(1, len(levels) // 150)  # a part of the pixels settles ten numbers well enough
    sample = np.zeros_like(clear)
    sample[::step, ::step] = clear[::step, ::step]
    sample = sample if sample.any() else clear
    sampled_terms = terms[sample]
    normal = sampled_terms.T @ sampled_terms + len(sampled_terms) * np.diag([_STIFFNESS[i + j] for i, j in powers])
    best = np.linalg.solve(normal, sampled_terms.T @ levels[sample].astype(np.float64))
    return (terms @ best).astype(np.float32)


def _marks_on(flat: Singles) -> Bools:
    """Marks on a ground that lies about 0: the lower heap of levels, where its edges are too sharp to be a shadow."""
    calm = ndimage.gaussian_filter(flat, 1)
    low = calm < min(float(filters.threshold_otsu(calm)), -_LEAST_CONTRAST / 2)
    labels, count = ndimage.label(low)
    if not count:
        return low
    outline = low & ~morphology.erosion(low, morphology.disk(1))
    rise = ndimage.maximum_filter(calm, 7) - ndimage.minimum_filter(calm, 7)
    rise -= np.percentile(rise[::4, ::4], 30)  # what grain alone gives
    which = np.arange(1, count + 1)
    steep = ndimage.mean(rise, np.where(outline, labels, 0), which)
    return np.append(False, steep > -_SHARP * ndimage.mean(calm, labels, which))[labels]


def _otsu_separability(flat: Singles) -> float:
    """Otsu's separability of levels, 0..1: between-class variance over total variance at the best threshold.

    Source: N. Otsu, "A Threshold Selection Method from Gray-Level Histograms", IEEE Trans. SMC 9 (1979), eta.
    """
    upper = flat > filters.threshold_otsu(flat)
    omega = float(upper.mean())
    if not 0 < omega < 1:
        return 0.0
    gap = float(flat[upper].mean() - flat[~upper].mean())
    return omega * (1 - omega) * gap * gap / max(float(flat.var()), 1e-12)


def _full_mark_ratio(small: Singles, ground: Singles, marked: Bools) -> float | None:
    """How bright a full mark is beside its ground, as a ratio; None where there is no drawing."""
    drawn = morphology.remove_small_objects(marked, max_size=_SPECK)
    if drawn.mean() < _FEWEST_MARKED:
        return None
    ratio = (small + np.float32(_DARKEST)) / ground
    bare = ratio[~marked]
    grain = 1.4826 * float(np.median(np.abs(bare - np.median(bare)))) if bare.size else 0.0
    if abs(1 - float(np.median(ratio[drawn]))) < max(_LEAST_CONTRAST, 3 * grain):
        return None
    inner = morphology.erosion(drawn, morphology.disk(1))
    return float(np.median(ratio[inner if inner.mean() >= _FEWEST_MARKED else drawn]))


def _depth(levels: Bytes, ground: Singles, full: float) -> Bytes:
    """How far each pixel lies from the ground (0) to a full mark (255), a band of rows at a time."""
    depth = np.empty_like(levels)
    for rows, under in _bands(ground, levels.shape):
        ratio = (levels[rows] + np.float32(_DARKEST)) / under
        ratio -= 1
        ratio *= 255 / (full - 1)
        depth[rows] = np.clip(ratio, 0, 255, out=ratio)
    return depth


def _denoise(depth: Bytes) -> Bytes:
    """Camera noise smoothed away, as much as there is of it: never by more than about a pixel."""
    sample = depth[::3].astype(np.float32)
    ground = sample[:, 1:] < 100
    grain = np.abs(np.diff(sample, axis=1))[ground]
    noise = 1.05 * float(grain.mean()) / 255 if grain.size else 0.0
    return ndimage.gaussian_filter(depth, min(1.2, 0.5 + 10 * noise)) if noise > 0.004 else depth


def _half_depth(small: Singles) -> Singles:
    """Half of the depth that strokes have nearby, float32 0..1: faint strokes are cut lower than strong ones."""
    strokes = (small > 0.35).astype(np.float32)
    reach = _DEPTH_REACH * max(small.shape)
    near = ndimage.gaussian_filter(small * strokes, reach) + np.float32(0.02 * 0.9)
    near /= ndimage.gaussian_filter(strokes, reach) + np.float32(0.02)
    half: Singles = np.clip(near / 2, 0.3, 0.5)
    return half


def _ramp(depth: Bytes, half: Singles) -> Bytes:
    soft = np.empty_like(depth)
    for rows, middle in _bands(half, depth.shape):
        steep = depth[rows] * np.float32(1 / (255 * 2 * _HALF_RAMP))
        steep -= middle * np.float32(1 / (2 * _HALF_RAMP)) - np.float32(0.5)
        steep *= 255
        soft[rows] = np.clip(steep, 0, 255, out=steep) + np.float32(0.5)
    return soft


def _bands(small: Singles, shape: tuple[int, ...]) -> Iterator[tuple[slice, Singles]]:
    """Bands of rows of the full picture, each with the small picture brought to its size (linear between centres)."""
    rows, cols = shape
    left, right, share = _between(cols, small.shape[1], max(shape))
    wide = small[:, left] * (1 - share) + small[:, right] * share
    above, below, down = _between(rows, small.shape[0], max(shape))
    for first in range(0, rows, _BAND_ROWS):
        band = slice(first, min(first + _BAND_ROWS, rows))
        part = down[band, None]
        yield band, (wide[above[band]] * (1 - part) + wide[below[band]] * part).astype(np.float32, copy=False)


def _between(many: int, few: int, longest: int) -> tuple[NDArray[np.intp], NDArray[np.intp], Singles]:
    """For each of many pixels along a side, the two of few to go between, and the second one's share."""
    place = np.clip((np.arange(many) + 0.5) / _block(longest) - 0.5, 0, few - 1)
    before = place.astype(np.intp)
    return before, np.minimum(before + 1, few - 1), (place - before).astype(np.float32)


def _block(longest: int) -> int:
    """Pixels to a side of the blocks that the small picture is made of."""
    return max(1, longest // _SMALL_SIDE)


def _despeckle(soft: Bytes) -> Bytes:
    """The mask without specks, and without streaks and pinholes in its strokes; edges stay as they are."""
    narrow = max(2, max(soft.shape) // _SPECKS_A_SIDE)
    strokes = filters.apply_hysteresis_threshold(soft, 0, 255 - _FAINT)
    soft[~morphology.remove_small_objects(strokes, max_size=narrow * narrow)] = 0
    gaps = filters.apply_hysteresis_threshold(np.invert(soft), 0, 255 - _FAINT)
    soft[~morphology.remove_small_objects(gaps, max_size=narrow * narrow)] = 255
    return soft
