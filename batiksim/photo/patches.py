"""One patch of a strip in a photo: its middle, in linear light, and whether it can be trusted."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from batiksim.colour import spaces
from batiksim.errors import BatikError
from batiksim.photo.homography import homography_from_corners, transform_points
from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import percent
from batiksim.types import Bools, Bytes, Floats
from batiksim.values import Patch

# What is sampled of a patch: its middle, so that corners given a little off do no harm. Assumptions, as are the limits
# below, set on made photos: clipping from 1 % shifts a mean by more than noise does; cloth weave stays under 4 %.
MIDDLE = 0.56
GRID = 72  # samples each way
BLOCKS = 8  # pieces each way that show creases and unevenness
CLIPPED_LEVEL, CLIPPED_SHARE = 254, 0.01
DARK_LEVEL = 4
UNEVEN = 0.12  # relative spread of the blocks' lightness: about 2 of L*
CREASED = 0.12  # a piece this far from its patch's plane is a crease
CREASED_SHARE = 0.09
LEAST_PIXELS = 9.0
_LUMA = np.array([0.2126, 0.7152, 0.0722])  # IEC 61966-2-1
_UNIT_SQUARE = np.array([2.0, 2.0])  # pixels: the middles of its corner pixels lie one apart
DECODE = spaces.decode_srgb(np.arange(256) / 255.0)


@dataclass(eq=False, kw_only=True)
class SampledPatch:
    """A patch's middle in the photo, in linear light."""

    patch: Patch
    place: Floats
    linear: Floats
    cut: Bools
    problems: list[Message] = field(default_factory=list)

    @property
    def bare(self) -> bool:
        """Whether it is undyed cloth."""
        return self.patch.card is None and not self.patch.layers


def strip_homography(corners: Sequence[tuple[float, float]]) -> Floats:
    """The matrix (3, 3) from shares of the strip (0..1, 0..1) to pixels of the photo.

    corners : of the strip in the photo: top left, top right, bottom right, bottom left
    """
    points = np.asarray(corners, dtype=np.float64)
    given = " ".join(f"{x:g},{y:g}" for x, y in points.tolist())
    return homography_from_corners(_UNIT_SQUARE, points, what="strip", field="corners", got=given, least_turn=1.0)


def _grid(patch: Patch, share: float, count: int) -> Floats:
    """Places (count, count, 2) over a patch's middle, as shares of the strip."""
    left, top, width, height = patch.at
    along = 0.5 + share * ((np.arange(count) + 0.5) / count - 0.5)
    across, down = np.meshgrid(left + width * along, top + height * along)
    return np.stack([across, down], axis=-1)


def pixels(rgb: Bytes, places: Floats, what: str) -> Bytes:
    """The photo's pixels at places (..., 2; x, y). Raises BatikError naming `what` where one lies outside."""
    col, row = np.rint(places[..., 0]).astype(np.int64), np.rint(places[..., 1]).astype(np.int64)
    if col.min() < 0 or row.min() < 0 or col.max() >= rgb.shape[1] or row.max() >= rgb.shape[0]:
        raise BatikError("photo.error.outside", field=what, width=rgb.shape[1], height=rgb.shape[0])
    return rgb[row, col]


def sample_patch(rgb: Bytes, homography: Floats, patch: Patch) -> SampledPatch:
    """A patch's middle in the photo, rgb uint8 (rows, cols, 3), with what speaks against it."""
    places = transform_points(_grid(patch, MIDDLE, GRID), homography)
    bytes_ = pixels(rgb, places, f"patch {patch.name!r}")
    side = GRID // BLOCKS
    blocks = np.asarray(DECODE[bytes_].reshape(BLOCKS, side, BLOCKS, side, 3).mean(axis=(1, 3)))
    bright = float(np.mean(np.any(bytes_ >= CLIPPED_LEVEL, axis=-1)))
    cut = np.median(bytes_.reshape(-1, 3), axis=0) <= DARK_LEVEL
    spread, creased = _unevenness(blocks)
    place = places.reshape(-1, 2).mean(axis=0)
    seen = SampledPatch(patch=patch, place=place, linear=_trimmed(blocks), cut=cut)
    across = np.linalg.norm(places[0, -1] - places[0, 0]), np.linalg.norm(places[-1, 0] - places[0, 0])
    if min(across) < LEAST_PIXELS:
        seen.problems.append(say("photo.patch.too_small", count=round(min(across) / MIDDLE)))
    if bright > CLIPPED_SHARE:
        seen.problems.append(say("photo.patch.washed_out", share=percent(bright, whole=True)))
    if creased:
        seen.problems.append(say("photo.patch.creased"))
    elif spread > UNEVEN:
        seen.problems.append(say("photo.patch.uneven", spread=percent(spread, whole=True)))
    if not seen.problems and _blurred(rgb, homography, patch):
        seen.problems.append(say("photo.patch.blurred"))
    return seen


def _trimmed(blocks: Floats) -> Floats:
    """Mean of the middle half of the pieces, in order of lightness: (3,)."""
    flat = blocks.reshape(-1, 3)
    order = np.argsort(flat @ _LUMA)
    quarter = len(order) // 4
    return np.asarray(flat[order[quarter : len(order) - quarter]].mean(axis=0))


def _unevenness(blocks: Floats) -> tuple[float, bool]:
    """Spread of a patch's lightness as an eye would weigh it (shade on dark counts less), and whether it is creased."""
    light = np.cbrt(blocks @ _LUMA + 0.01)
    x, y = np.meshgrid(np.linspace(-1, 1, BLOCKS), np.linspace(-1, 1, BLOCKS))
    plane = np.stack([np.ones(light.size), x.ravel(), y.ravel()], axis=1)
    residual = (light.ravel() - plane @ np.linalg.lstsq(plane, light.ravel(), rcond=None)[0]) / light.mean()
    typical = float(np.median(np.abs(residual))) * 1.4826
    far = np.abs(residual) > max(CREASED / 3, 4 * typical)
    middle = np.abs(light.ravel() / np.median(light) - 1)
    return 3 * float(np.percentile(middle, 84)), bool(np.mean(far) > CREASED_SHARE)


def _blurred(rgb: Bytes, homography: Floats, patch: Patch) -> bool:
    """Whether the patch's edges are so soft that they reach what is sampled.

    Profiles run across each side from well outside to the middle; an edge counts when it is strong enough to judge.
    A side is soft when the step is not over by the time the sampled middle begins.
    """
    wide, count = 1.5, 96
    places = transform_points(_grid(patch, wide, count), homography)
    size = np.array([rgb.shape[1] - 1, rgb.shape[0] - 1])
    inside = np.all((places >= 0) & (places <= size), axis=-1)
    places = np.clip(places, 0, size)
    light = np.cbrt(DECODE[pixels(rgb, places, patch.name)] @ _LUMA + 0.01)
    band = slice(int(count * 0.42), int(count * 0.58))
    start = round(count * (0.5 - MIDDLE / wide / 2))  # where the sampled middle begins
    soft = []
    for side in range(4):
        turned, seen = np.rot90(light, side), np.rot90(inside, side)
        if not seen[band].all():
            continue
        profile = np.median(turned[band], axis=0)
        middle, out = float(np.median(profile[count // 2 - 8 : count // 2 + 8])), profile[: count // 8].mean()
        if abs(out - middle) > 0.06 * middle:
            soft.append(abs(profile[start - 1 : start + 2].mean() - middle) > 0.12 * abs(out - middle))
    return len(soft) > 0 and all(soft)
