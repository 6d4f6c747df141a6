"""The colours of a dyed strip from a photo: perspective, uneven light, exposure and colour cast undone.

What can't be trusted is left out and told: patches that are washed out, blurred, creased or uneven.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from batiksim.colour import spaces
from batiksim.errors import BatikError
from batiksim.plan.light import LightField, light_field
from batiksim.values import Patch, Strip

__all__ = ["PatchReading", "StripReading", "measure_strip", "strip_outline"]

Array = NDArray[np.float64]
Bytes = NDArray[np.uint8]

# What is sampled of a patch: its middle, so that corners given a little off do no harm. Assumptions, as are the limits
# below, set on made photos: clipping from 1 % shifts a mean by more than noise does; cloth weave stays under 4 %.
MIDDLE = 0.56
GRID = 72  # samples each way
BLOCKS = 8  # pieces each way that show creases and unevenness
CLIPPED_LEVEL, CLIPPED_SHARE = 254, 0.01
DARK_LEVEL = 4
UNEVEN = 0.06  # relative spread of the blocks' lightness
CREASED = 0.12  # a piece this far from its patch's plane is a crease
CREASED_SHARE = 0.09
LEAST_PIXELS = 9.0
GROUND_SPOTS = 90  # tried each way, where all between the patches is undyed cloth
MOST_GROUND = 400
GROUND_COUNTS = 20  # however many, they share the errors of the lens and of JPEG: they count as so many
_LUMA = np.array([0.2126, 0.7152, 0.0722])  # IEC 61966-2-1
_DECODE = spaces.decode_srgb(np.arange(256) / 255.0)


@dataclass(frozen=True, kw_only=True)
class PatchReading:
    """One patch as the photo shows it.

    xyz : (3,), D65, Y of perfect white 1; light, exposure and cast undone
    cut : channels (red, green, blue) in which the photo can't show how strong the colour is
    spread : relative unevenness of its middle
    problems : why it is left out; empty = used
    """

    patch: Patch
    xyz: Array
    cut: NDArray[np.bool_]
    spread: float
    problems: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class StripReading:
    """All patches of a strip, and what was done to the photo.

    cloth : XYZ of the undyed cloth; assumed : what was taken for granted; light : the unevenness undone
    """

    patches: tuple[PatchReading, ...]
    cloth: Array
    light: LightField
    notes: tuple[str, ...]


@dataclass(kw_only=True)
class _Seen:
    """A patch's middle in the photo, in linear light."""

    place: Array
    linear: Array
    cut: NDArray[np.bool_]
    spread: float
    problems: list[str] = field(default_factory=list)


def measure_strip(rgb: Bytes, strip: Strip) -> StripReading:
    """The colours of all patches of a strip.

    rgb : uint8 (rows, cols, 3) sRGB, upright
    errors : BatikError when the corners make no rectangle, a patch lies outside the photo, or nothing tells the
        exposure (no card, no undyed cloth)
    """
    outline = strip_outline(strip.corners)
    seen = [_look(rgb, outline, patch) for patch in strip.patches]
    known = [(patch, one) for patch, one in zip(strip.patches, seen, strict=True) if not one.problems]
    light = _light(rgb, outline, strip, known)
    for one in seen:
        one.linear = one.linear / light.at(one.place)
    notes = [_light_note(light, strip)]
    gain, cloth = _balance(strip, known, _ground(rgb, outline, strip, light), notes)
    readings = [
        PatchReading(
            patch=patch,
            xyz=spaces.linear_srgb_to_xyz(one.linear * gain),
            cut=one.cut,
            spread=one.spread,
            problems=tuple(one.problems),
        )
        for patch, one in zip(strip.patches, seen, strict=True)
    ]
    return StripReading(patches=tuple(readings), cloth=cloth, light=light, notes=tuple(notes))


class Outline:
    """Shares of the strip (0..1, 0..1) to pixels of the photo."""

    def __init__(self, corners: Sequence[tuple[float, float]]) -> None:
        from skimage.transform import ProjectiveTransform

        square = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
        self._transform = ProjectiveTransform.from_estimate(square, np.asarray(corners, dtype=np.float64))

    def __call__(self, shares: Array) -> Array:
        """Places (..., 2) in pixels."""
        return np.asarray(self._transform(shares.reshape(-1, 2))).reshape(shares.shape)


def strip_outline(corners: Sequence[tuple[float, float]]) -> Outline:
    """The strip's place in the photo from its four corners: top left, top right, bottom right, bottom left."""
    points = np.asarray(corners, dtype=np.float64)
    sides = np.roll(points, -1, axis=0) - points
    turns = sides[:, 0] * np.roll(sides[:, 1], -1) - sides[:, 1] * np.roll(sides[:, 0], -1)
    if np.all(turns < 0):
        raise BatikError("the corners run the wrong way round", field="corners", got=_pairs(points), fix=_ORDER)
    if not np.all(turns > 1.0):
        raise BatikError("the corners make no four-sided strip", field="corners", got=_pairs(points), fix=_ORDER)
    return Outline([(float(x), float(y)) for x, y in points])


_ORDER = "give them in the order top left, top right, bottom right, bottom left"


def _pairs(points: Array) -> str:
    return " ".join(f"{x:g},{y:g}" for x, y in points.tolist())


def _grid(patch: Patch, share: float, count: int) -> Array:
    """Places (count, count, 2) over a patch's middle, as shares of the strip."""
    left, top, width, height = patch.at
    along = 0.5 + share * ((np.arange(count) + 0.5) / count - 0.5)
    across, down = np.meshgrid(left + width * along, top + height * along)
    return np.stack([across, down], axis=-1)


def _pixels(rgb: Bytes, places: Array, what: str) -> Bytes:
    col, row = np.rint(places[..., 0]).astype(np.int64), np.rint(places[..., 1]).astype(np.int64)
    if col.min() < 0 or row.min() < 0 or col.max() >= rgb.shape[1] or row.max() >= rgb.shape[0]:
        size = f"{rgb.shape[1]} x {rgb.shape[0]} pixels"
        fix = f"the photo is {size}, upright; check the corners and at"
        raise BatikError("lies outside the photo", field=what, fix=fix)
    return rgb[row, col]


def _look(rgb: Bytes, outline: Outline, patch: Patch) -> _Seen:
    places = outline(_grid(patch, MIDDLE, GRID))
    bytes_ = _pixels(rgb, places, f"patch {patch.name!r}")
    linear = _DECODE[bytes_]
    blocks = _blocks(linear)
    bright = float(np.mean(np.any(bytes_ >= CLIPPED_LEVEL, axis=-1)))
    cut = np.median(bytes_.reshape(-1, 3), axis=0) <= DARK_LEVEL
    spread, creased = _unevenness(blocks)
    seen = _Seen(place=places.reshape(-1, 2).mean(axis=0), linear=_trimmed(blocks), cut=cut, spread=spread)
    across = np.linalg.norm(places[0, -1] - places[0, 0]), np.linalg.norm(places[-1, 0] - places[0, 0])
    if min(across) < LEAST_PIXELS:
        seen.problems.append(f"too small in the photo ({min(across) / MIDDLE:.0f} pixels)")
    if bright > CLIPPED_SHARE:
        seen.problems.append(f"washed out: {bright:.0%} of it is brighter than the photo can show")
    if creased:
        seen.problems.append("creased: a line of shade or shine runs through it")
    elif spread > UNEVEN:
        seen.problems.append(f"uneven: its lightness varies by {spread:.0%}")
    if not seen.problems and _blurred(rgb, outline, patch):
        seen.problems.append("blurred: its neighbours' colours run into its middle")
    return seen


def _blocks(linear: Array) -> Array:
    """Means of pieces (BLOCKS, BLOCKS, 3) of a patch's middle."""
    side = linear.shape[0] // BLOCKS
    return np.asarray(linear.reshape(BLOCKS, side, BLOCKS, side, 3).mean(axis=(1, 3)))


def _trimmed(blocks: Array) -> Array:
    """Mean of the middle half of the pieces, in order of lightness: (3,)."""
    flat = blocks.reshape(-1, 3)
    order = np.argsort(flat @ _LUMA)
    rest = len(order) // 4
    return np.asarray(flat[order[rest : len(order) - rest]].mean(axis=0))


def _unevenness(blocks: Array) -> tuple[float, bool]:
    """Spread of a patch's lightness as an eye would weigh it (shade on dark counts less), and whether it is creased."""
    light = np.cbrt(blocks @ _LUMA + 0.01)
    x, y = np.meshgrid(np.linspace(-1, 1, BLOCKS), np.linspace(-1, 1, BLOCKS))
    plane = np.stack([np.ones(light.size), x.ravel(), y.ravel()], axis=1)
    rest = (light.ravel() - plane @ np.linalg.lstsq(plane, light.ravel(), rcond=None)[0]) / light.mean()
    typical = float(np.median(np.abs(rest))) * 1.4826
    far = np.abs(rest) > max(CREASED / 3, 4 * typical)
    middle = np.abs(light.ravel() / np.median(light) - 1)
    return 3 * float(np.percentile(middle, 84)), bool(np.mean(far) > CREASED_SHARE)


def _blurred(rgb: Bytes, outline: Outline, patch: Patch) -> bool:
    """Whether the patch's edges are so soft that they reach what is sampled.

    Profiles run across each side from well outside to the middle; an edge counts when it is strong enough to judge.
    A side is soft when the step is not over by the time the sampled middle begins.
    """
    wide = 1.5
    count = 96
    lines = _grid(patch, wide, count)
    places = outline(lines)
    size = np.array([rgb.shape[1] - 1, rgb.shape[0] - 1])
    inside = np.all((places >= 0) & (places <= size), axis=-1)
    places = np.clip(places, 0, size)
    light = np.cbrt(_DECODE[_pixels(rgb, places, patch.name)] @ _LUMA + 0.01)
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


def _light(rgb: Bytes, outline: Outline, strip: Strip, known: list[tuple[Patch, _Seen]]) -> LightField:
    """The light over the photo from cards, undyed cloth, the ground, and patches dyed alike."""
    keys: dict[object, int] = {}
    groups = [keys.setdefault(patch.card if patch.card is not None else patch.layers, len(keys)) for patch, _ in known]
    places, seen = [one.place for _, one in known], [one.linear for _, one in known]
    noise = [0.015 if patch.card is not None or not patch.layers else 0.06 for patch, _ in known]
    ground = _ground_spots(rgb, outline, strip)
    for place, linear in ground:
        places.append(place)
        seen.append(linear)
        groups.append(keys.setdefault((), len(keys)))
        noise.append(0.03 * max(1.0, len(ground) / GROUND_COUNTS) ** 0.5)
    return light_field(
        np.array(places).reshape(-1, 2),
        np.array(seen).reshape(-1, 3),
        np.array(groups, np.int64),
        noise=np.array(noise),
    )


def _ground_spots(rgb: Bytes, outline: Outline, strip: Strip) -> list[tuple[Array, Array]]:
    """Small spots of the strip that no patch touches: (place, linear light)."""
    if not strip.ground:
        return []
    along = (np.arange(GROUND_SPOTS) + 0.5) / GROUND_SPOTS
    shares = np.stack(np.meshgrid(along, along), axis=-1).reshape(-1, 2)
    free = np.all((shares > 0.01) & (shares < 0.99), axis=1)
    for patch in strip.patches:
        left, top, width, height = patch.at
        near = 0.07 * width, 0.07 * height
        free &= ~(
            (np.abs(shares[:, 0] - left - width / 2) < width / 2 + near[0])
            & (np.abs(shares[:, 1] - top - height / 2) < height / 2 + near[1])
        )
    nearby = 0.0015 * np.stack(np.meshgrid([-1.5, -0.5, 0.5, 1.5], [-1.5, -0.5, 0.5, 1.5]), axis=-1).reshape(-1, 2)
    chosen = shares[free]
    chosen = chosen[:: max(1, len(chosen) // MOST_GROUND)]
    around = outline(chosen[:, None] + nearby)
    bytes_ = _pixels(rgb, around, "ground")
    fine = bytes_.max(axis=(1, 2), initial=0) < CLIPPED_LEVEL
    linear = np.median(_DECODE[bytes_], axis=1)
    return [(place, value) for place, value in zip(around.mean(axis=1)[fine], linear[fine], strict=True)]


def _ground(rgb: Bytes, outline: Outline, strip: Strip, light: LightField) -> Array | None:
    """The undyed ground once the light is evened (3,), or None."""
    spots = _ground_spots(rgb, outline, strip)
    if len(spots) < 4:
        return None
    return np.asarray(np.median([linear / light.at(place) for place, linear in spots], axis=0))


def _light_note(light: LightField, strip: Strip) -> str:
    if not light.spots:
        return "Nothing in the photo is there twice, so its light is taken as even."
    what = "undyed ground, " if strip.ground else ""
    return (
        f"Light evened from {light.spots} spots ({what}undyed and repeated patches, cards): "
        f"it varied by {light.uneven:.0%}, {light.left:.1%} is left."
    )


def _balance(
    strip: Strip, known: list[tuple[Patch, _Seen]], ground: Array | None, notes: list[str]
) -> tuple[Array, Array]:
    """Gains (3,) that undo exposure and colour cast, and the undyed cloth's XYZ (3,)."""
    undyed = [one.linear for patch, one in known if patch.card is None and not patch.layers]
    bare = np.mean(undyed, axis=0) if undyed else ground
    cards = [(patch.card, one.linear) for patch, one in known if patch.card is not None]
    stated = None if strip.cloth_colour is None else spaces.hex_to_xyz(strip.cloth_colour)
    if cards:
        gain = np.exp(np.mean([np.log(card / linear) for card, linear in cards], axis=0))
        notes.append("Exposure and colour cast undone by the card.")
        return gain, _cloth(bare, gain, stated, notes)
    if bare is None:
        raise BatikError(
            "nothing tells how bright the photo is",
            field="patch",
            fix="add [[card]] with its reflectance, or a [[patch]] with undyed = true, that is not washed out",
        )
    if stated is None:
        raise BatikError(
            "the undyed cloth's colour isn't known",
            field="cloth: colour",
            fix='write [cloth] and under it colour = "#f1ede2", or put a white or grey card into the photo',
        )
    notes.append(f"Exposure and colour cast undone by the undyed cloth, taken as {strip.cloth_colour}.")
    return spaces.xyz_to_linear_srgb(stated) / bare, stated


def _cloth(bare: Array | None, gain: Array, stated: Array | None, notes: list[str]) -> Array:
    """The undyed cloth's XYZ: as the photo shows it, else as stated."""
    if bare is None:
        if stated is None:
            raise BatikError(
                "the undyed cloth's colour isn't known",
                field="cloth: colour",
                fix='write colour = "#f1ede2" under [cloth], or add a [[patch]] with undyed = true',
            )
        return stated
    cloth = spaces.linear_srgb_to_xyz(np.minimum(bare * gain, 1.0))
    text = f"By the card the undyed cloth is {spaces.xyz_to_hex(cloth)}"
    if stated is not None:
        off = float(spaces.delta_e_2000(spaces.xyz_to_lab(cloth), spaces.xyz_to_lab(stated)))
        text += f", {off:.1f} from what the strip file says"
    notes.append(text + ".")
    return cloth
