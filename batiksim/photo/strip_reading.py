"""The colours of a dyed strip from a photo: perspective, uneven light, exposure and colour cast undone.

What can't be trusted is left out, with a note: patches that are washed out, blurred, creased or uneven.
"""

from dataclasses import dataclass

import numpy as np

from batiksim.colour import spaces
from batiksim.colour.viewing import DAY
from batiksim.errors import BatikError
from batiksim.photo.homography import transform_points
from batiksim.photo.illumination import LightField, light_field
from batiksim.photo.patches import CLIPPED_LEVEL, DECODE, SampledPatch, pixels, sample_patch, strip_homography
from batiksim.photo.strip_plausibility import believable_cloth, mark_odd_undyed
from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import percent
from batiksim.types import Bools, Bytes, Floats
from batiksim.values import Patch, Strip
from batiksim.values.light_words import seen_as

_Spot = tuple[Floats, Floats]  # place (2,) in the photo, linear light (3,)

GROUND_SPOTS = 90  # tried each way, where all between the patches is undyed cloth
LEAST_GROUND, MOST_GROUND = 4, 400
GROUND_COUNTS = 20  # however many, they share the errors of the lens and of JPEG: they count as so many
CARDS_APART, MOST_TONE = 2.5, 2.0
DARKER = 0.95  # contrast by an assumed cloth below which the cloth is said to look darker
WARM = 2.5  # red over blue light of white from which on a lamp is likely; a filament lamp's is 8, warm daylight's 1.6
LEAST_LIGHT = 1e-4  # of a channel: half a step of a photo's bytes is more


@dataclass(frozen=True, eq=False, kw_only=True)
class PatchReading:
    """One patch as the photo shows it.

    xyz : (3,), D65, Y of perfect white 1; light, exposure and cast undone
    cut : channels (red, green, blue) in which the photo can't show how strong the colour is
    problems : why it is left out; empty = used
    """

    patch: Patch
    xyz: Floats
    cut: Bools
    problems: tuple[Message, ...]


@dataclass(frozen=True, eq=False, kw_only=True)
class StripReading:
    """All patches of a strip, and what was done to the photo.

    cloth : XYZ of the undyed cloth; notes : what was done and what was taken for granted
    lit_by : the light the photo was taken in, in which its colours are seen
    """

    patches: tuple[PatchReading, ...]
    cloth: Floats
    notes: tuple[Message, ...]
    lit_by: str = DAY


def measure_strip(rgb: Bytes, strip: Strip) -> StripReading:
    """The colours of all patches of a strip.

    rgb : uint8 (rows, cols, 3) sRGB, upright
    errors : BatikError when the corners make no rectangle, a patch is outside the photo, the exposure can't be known
        (no card, no undyed cloth), or the undyed cloth or the card can't be what it should be
    """
    homography = strip_homography(strip.corners)
    seen = [sample_patch(rgb, homography, patch) for patch in strip.patches]
    ground_spots = _ground_spots(rgb, homography, strip)
    mark_odd_undyed(seen, [linear for _, linear in ground_spots])
    known = [sampled for sampled in seen if not sampled.problems]
    light = _light(ground_spots, known)
    for sampled in seen:
        sampled.linear = sampled.linear / light.at(sampled.place)
    notes = [_light_note(light, strip)]
    notes += [
        say("photo.note.card_left_out", card=sampled.patch.name, problems=sampled.problems)
        for sampled in seen
        if sampled.patch.card is not None and sampled.problems
    ]
    evened = [linear / light.at(place) for place, linear in ground_spots]
    ground = np.median(evened, axis=0) if len(evened) >= LEAST_GROUND else None
    tone = _tone(strip, known, ground, notes)
    for sampled in seen:
        sampled.linear = sampled.linear**tone
    white, real, cloth = _balance(strip, known, None if ground is None else ground**tone, notes)
    notes += _lamp_notes(strip, spaces.xyz_to_linear_srgb(white) / spaces.xyz_to_linear_srgb(real))
    readings = [
        PatchReading(
            patch=sampled.patch,
            xyz=spaces.adapt(spaces.linear_srgb_to_xyz(sampled.linear), white, real),
            cut=sampled.cut,
            problems=tuple(sampled.problems),
        )
        for sampled in seen
    ]
    return StripReading(patches=tuple(readings), cloth=cloth, notes=tuple(notes), lit_by=strip.lit_by)


def _light(ground_spots: list[_Spot], known: list[SampledPatch]) -> LightField:
    """The light over the photo from cards, undyed cloth, the ground, and patches dyed alike."""
    keys: dict[object, int] = {}
    patches = [sampled.patch for sampled in known]
    groups = [keys.setdefault(one.layers if one.card is None else one.card, len(keys)) for one in patches]
    places, seen = [sampled.place for sampled in known], [sampled.linear for sampled in known]
    noise = [0.06 if one.layers and one.card is None else 0.015 for one in patches]
    for place, linear in ground_spots:
        places.append(place)
        seen.append(linear)
        groups.append(keys.setdefault((), len(keys)))
        noise.append(0.03 * max(1.0, len(ground_spots) / GROUND_COUNTS) ** 0.5)
    return light_field(
        np.array(places).reshape(-1, 2),
        np.array(seen).reshape(-1, 3),
        np.array(groups, np.int64),
        noise=np.array(noise),
    )


def _ground_spots(rgb: Bytes, homography: Floats, strip: Strip) -> list[_Spot]:
    """Small spots of the strip that no patch touches: (place, linear light)."""
    if not strip.ground:
        return []
    along = (np.arange(GROUND_SPOTS) + 0.5) / GROUND_SPOTS
    shares = np.stack(np.meshgrid(along, along), axis=-1).reshape(-1, 2)
    free = np.all((shares > 0.01) & (shares < 0.99), axis=1)
    for patch in strip.patches:
        corner, size = np.array(patch.at).reshape(2, 2)
        free &= ~np.all(np.abs(shares - corner - size / 2) < size / 2 + 0.07 * size, axis=1)
    nearby = 0.0015 * np.stack(np.meshgrid([-1.5, -0.5, 0.5, 1.5], [-1.5, -0.5, 0.5, 1.5]), axis=-1).reshape(-1, 2)
    chosen = shares[free]
    if not len(chosen):
        return []
    chosen = chosen[:: max(1, len(chosen) // MOST_GROUND)]
    around = transform_points(chosen[:, None] + nearby, homography)
    bytes_ = pixels(rgb, around, "ground")
    fine = bytes_.max(axis=(1, 2), initial=0) < CLIPPED_LEVEL
    linear = np.median(DECODE[bytes_], axis=1)
    return [(place, value) for place, value in zip(around.mean(axis=1)[fine], linear[fine], strict=True)]


def _light_note(light: LightField, strip: Strip) -> Message:
    if not light.spots:
        return say("photo.note.light_unknown")
    key = "photo.note.light_by_ground" if strip.ground else "photo.note.light_by_patches"
    return say(key, count=light.spots, uneven=percent(light.uneven), left=percent(light.left))


def _tone(strip: Strip, known: list[SampledPatch], ground: Floats | None, notes: list[Message]) -> float:
    """The power that undoes the contrast a camera adds, from clearly different greys that are known; 1 without them.

    Cards, and the undyed cloth where its colour is stated: a card alone would leave the contrast in. Where it is only
    assumed, contrast below 1 is put down to a darker cloth: cameras add contrast, they take none away (common practice,
    no source).
    """
    cards = [(float(np.log(card)), one.linear) for one in known if (card := one.patch.card) is not None]
    if strip.cloth_colour is not None:
        real = float(np.log(spaces.xyz_to_linear_srgb(spaces.hex_to_xyz(strip.cloth_colour))).mean())
        bare = [one.linear for one in known if one.bare] or ([] if ground is None else [ground])
        cards += [(real, np.mean(bare, axis=0))] if bare else []
    reals = [real for real, _ in cards]
    if not cards or np.ptp(reals) < np.log(CARDS_APART):
        notes.append(say("photo.note.contrast_unknown"))
        return 1.0
    shown = [float(np.log(np.maximum(sampled, LEAST_LIGHT)).mean()) for _, sampled in cards]
    contrast = float(np.polyfit(reals, shown, 1)[0])
    if not 1 / MOST_TONE < contrast < MOST_TONE:
        raise BatikError("photo.error.contrast", field="card")
    if strip.cloth_assumed and contrast < 1:
        if contrast < DARKER:
            notes.append(say("photo.note.darker_than_cotton"))
        return 1.0
    notes.append(say("photo.note.contrast_undone", contrast=percent(contrast, whole=True)))
    return 1.0 / contrast


def _balance(
    strip: Strip, known: list[SampledPatch], ground: Floats | None, notes: list[Message]
) -> tuple[Floats, Floats, Floats]:
    """XYZ (3,) of something pale in the photo and in truth, which undo exposure and cast, and the undyed cloth's."""
    undyed = [one.linear for one in known if one.bare]
    bare = np.mean(undyed, axis=0) if undyed else ground
    cards = [(one.patch.card, one.linear) for one in known if one.patch.card is not None]
    stated = None if strip.cloth_colour is None else spaces.hex_to_xyz(strip.cloth_colour)
    if cards and strip.cloth_assumed:
        stated = None  # the card knows better
    for _, linear in cards:
        _check_lit("card", linear)
    if bare is not None:
        _check_lit("cloth", bare)
    if cards:
        white = spaces.linear_srgb_to_xyz(np.exp(np.mean([np.log(linear / card) for card, linear in cards], axis=0)))
        notes.append(say("photo.note.cast_by_card"))
        return white, spaces.D65, _cloth(bare, white, stated, notes)
    if bare is None:
        raise BatikError("photo.error.brightness_unknown", field="patch")
    if stated is None:
        raise BatikError("photo.error.cloth_unknown", field="cloth: colour")
    key = "photo.note.cast_by_assumed_cloth" if strip.cloth_assumed else "photo.note.cast_by_cloth"
    notes.append(say(key, colour=strip.cloth_colour))
    return spaces.linear_srgb_to_xyz(bare), stated, stated


def _lamp_notes(strip: Strip, cast: Floats) -> list[Message]:
    """What to know of the light; cast : linear red, green, blue (3,) of white as the photo shows it."""
    if strip.lit_by != DAY:
        return [say("photo.note.taken_in", light=seen_as(strip.lit_by, "dry"))]
    if cast[0] < WARM * cast[2]:
        return []
    return [say("photo.note.looks_lamplit")]


def _check_lit(what: str, linear: Floats) -> None:
    if np.any(linear < LEAST_LIGHT):
        raise BatikError(f"photo.error.{what}_is_black", field="photo", fix="photo.error.check_place_or_light")


def _cloth(bare: Floats | None, white: Floats, stated: Floats | None, notes: list[Message]) -> Floats:
    """The undyed cloth's XYZ: as the photo shows it where white looks `white`, else as stated."""
    if bare is None:
        if stated is None:
            raise BatikError("photo.error.cloth_unknown", field="cloth: colour", fix="photo.error.state_cloth_or_patch")
        return stated
    seen = spaces.adapt(spaces.linear_srgb_to_xyz(bare), white)
    cloth, note = believable_cloth(spaces.xyz_to_linear_srgb(seen), stated)
    notes.append(note)
    return cloth
