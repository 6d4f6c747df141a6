"""A picture's colours, gathered: which there are, how much of each, and which of them every pixel has."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from batiksim.colour.spaces import decode_srgb, lab_to_xyz, linear_srgb_to_xyz, xyz_to_lab, xyz_to_oklab
from batiksim.types import Bools, Bytes, Floats, Ints, Singles

CLUSTERS = 64
FLAT = 10  # of 255: a pixel further than this from its neighbours may be part of an edge, and counts little
EDGE_WEIGHT = 0.3
LOOKED = 2  # one pixel of so many, across and down, is looked at for what lies beside what
MOST_BESIDE = 200  # pairs of colours
RIM_CALM = 0.5  # of what is common in the picture: colours less often among their like may be edges
RIM_APART = 8.0  # CIELAB distance from a mixture
RIM_WEIGHT = 1e-3
BITS = 6  # of each of red, green and blue, by which pixels are looked up


@dataclass(frozen=True, kw_only=True, eq=False)
class TargetColours:
    """A picture's colours.

    lab : (n, 3), D65; share : (n,) of the cloth, in all 1
    beside : (m, 2), numbers of colours that lie side by side; parting : (m,) share of the cloth that a line of wax
        between them would cover
    """

    lab: Floats
    share: Floats
    beside: Ints = field(default_factory=lambda: np.zeros((0, 2), np.int64))
    parting: Floats = field(default_factory=lambda: np.zeros(0))


@dataclass(frozen=True, kw_only=True, eq=False)
class Colours:
    """A picture's colours, and which of them each pixel has.

    number : int32 (rows, cols), places into `lab` and `group`
    lab : (n, 3), D65; count : (n,) pixels; group : (n,) places into the clusters
    clusters : the colours gathered, with their weight; rim : which of them are only edges of others
    """

    number: NDArray[np.int32]
    lab: Floats
    count: Ints
    group: Ints
    clusters: TargetColours
    rim: Bools


def picture_colours(rgb: Bytes, *, line_px: float = 1.0) -> Colours:
    """The colours of a picture, edges counted for little. rgb : uint8 (rows, cols, 3) sRGB; line_px : of a wax line."""
    place = np.zeros(rgb.shape[:2], np.int32)
    for band in range(3):
        place = place << BITS | rgb[..., band] >> (8 - BITS)
    flat = place.ravel()
    count = np.bincount(flat, minlength=1 << (3 * BITS))
    used = np.flatnonzero(count)
    means = np.stack([np.bincount(flat, rgb[..., band].ravel(), len(count))[used] for band in range(3)], axis=1)
    xyz = linear_srgb_to_xyz(decode_srgb(means / count[used, None] / 255.0))
    level = _flat(rgb)
    levels = np.bincount(flat[level.ravel()], minlength=len(count))[used]
    weight = EDGE_WEIGHT * count[used] + (1 - EDGE_WEIGHT) * levels
    group = _clustered(xyz_to_oklab(xyz) * (100.0, 200.0, 200.0), weight)
    lab = xyz_to_lab(xyz)
    share: Floats = np.bincount(group, weight).astype(np.float64)
    gathered = np.stack([np.bincount(group, weight * lab[:, axis]) for axis in range(3)], axis=1) / share[:, None]
    calm = np.bincount(group, levels, len(share)) / np.bincount(group, count[used], len(share))
    rim = _rims(gathered, share, calm)
    share = np.where(rim, share * RIM_WEIGHT, share)
    numbers = np.zeros(len(count), np.int32)
    numbers[used] = np.arange(len(used))
    numbers = numbers[place]
    beside, parting = _beside(group[numbers], level, len(share), line_px)
    clusters = TargetColours(lab=gathered, share=share / share.sum(), beside=beside, parting=parting)
    return Colours(number=numbers, lab=lab, count=count[used], group=group, clusters=clusters, rim=rim)


def _rims(lab: Floats, share: Floats, calm: Floats) -> Bools:
    """Which colours (n,) are only edges: hardly ever among their like (calm, 0..1), and mixtures of two larger ones.

    Programs blend edges by light or, more often, by encoded values, which is much as the eye sees them.
    """
    rims = np.zeros(len(lab), np.bool_)
    xyz = lab_to_xyz(lab)
    ways = np.linspace(0.05, 0.95, 10)[:, None]
    for group in np.flatnonzero(calm < RIM_CALM * np.average(calm, weights=share)):
        larger = np.flatnonzero((share > share[group]) & (calm > 2 * calm[group]) & ~rims)[:40]
        first, second = np.triu_indices(len(larger), 1)
        if not len(first):
            continue
        by_light, by_eye = (
            space[larger[first], None] + ways * (space[larger[second], None] - space[larger[first], None])
            for space in (xyz, lab)
        )
        mixtures = np.concatenate([xyz_to_lab(by_light), by_eye])
        rims[group] = bool(((mixtures - lab[group]) ** 2).sum(axis=-1).min() < RIM_APART**2)
    return rims


def _flat(rgb: Bytes) -> Bools:
    """Pixels (rows, cols) much like their neighbours."""
    steep = np.zeros(rgb.shape[:2], np.bool_)
    for axis in (0, 1):
        along = np.moveaxis(rgb, axis, 0)
        jump = (np.maximum(along[1:], along[:-1]) - np.minimum(along[1:], along[:-1])).max(axis=-1) > FLAT
        turned = np.moveaxis(steep, axis, 0)
        turned[1:] |= jump
        turned[:-1] |= jump
    return ~steep


def _beside(group: Ints, level: Bools, groups: int, line_px: float) -> tuple[Ints, Floats]:
    """Colours that lie side by side (m, 2), and the share of the cloth (m,) that a line between them would cover.

    group : (rows, cols); level : (rows, cols), where no edge is: edges belong to what lies nearest
    """
    from scipy import ndimage

    few, flat = group[::LOOKED, ::LOOKED], level[::LOOKED, ::LOOKED]
    if flat.any():
        rows, cols = ndimage.distance_transform_edt(~flat, return_distances=False, return_indices=True)
        few = few[rows, cols]
    count = np.zeros(groups * groups, np.int64)
    for axis in (0, 1):
        along = np.moveaxis(few, axis, 0)
        differ = along[:-1] != along[1:]
        first, second = along[:-1][differ], along[1:][differ]
        count += np.bincount(np.minimum(first, second) * groups + np.maximum(first, second), minlength=len(count))
    pairs = np.argsort(-count, kind="stable")[:MOST_BESIDE]
    pairs = pairs[count[pairs] > 0]
    length = count[pairs] * np.pi / 4 * LOOKED  # a slanting border is met more often than it is long
    return np.stack(np.divmod(pairs, groups), axis=1), length * line_px / group.size


def _clustered(colours: Floats, weights: Floats) -> Ints:
    """Which of at most `CLUSTERS` heaps each colour (n, 3) belongs to: the heaviest far ones first, then settled."""
    if len(colours) <= CLUSTERS:
        return np.arange(len(colours))
    colour, weight = colours.astype(np.float32), weights.astype(np.float32)
    middle = np.empty((CLUSTERS, 3), np.float32)
    apart = np.full(len(colour), np.inf, np.float32)
    best = int(weight.argmax())
    for place in range(CLUSTERS):
        middle[place] = colour[best]
        np.minimum(apart, ((colour - middle[place]) ** 2).sum(axis=1), out=apart)
        best = int((apart * weight).argmax())
    for _ in range(8):
        group = _nearest(colour, middle)
        whole = np.maximum(np.bincount(group, weight, CLUSTERS), 1e-9)
        for axis in range(3):
            middle[:, axis] = np.bincount(group, weight * colour[:, axis], CLUSTERS) / whole
    _, group = np.unique(_nearest(colour, middle), return_inverse=True)
    return group.astype(np.int64)


def _nearest(colours: Singles, middle: Singles) -> Ints:
    nearest = np.empty(len(colours), np.int64)
    size = (middle**2).sum(axis=1)
    for first in range(0, len(colours), 8192):
        some = colours[first : first + 8192]
        nearest[first : first + 8192] = (size - 2 * (some @ middle.T)).argmin(axis=1)
    return nearest
