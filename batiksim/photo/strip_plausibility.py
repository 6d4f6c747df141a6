"""What speaks against a photo of a strip: no colour in it, undyed cloth or a card that can't be one.

The limits are assumptions, set on made photos: light falling off by half, a strong cast and a camera's contrast pass.
"""

from collections.abc import Sequence

import numpy as np

from batiksim.colour import spaces
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.gamut import xyz_to_hex
from batiksim.errors import BatikError
from batiksim.photo.patches import SampledPatch
from batiksim.texts.catalogue import Message, say
from batiksim.types import Bytes, Floats

ODD_UNDYED = 0.8  # in natural logarithms of a channel's light: a factor of 2.2 from the other undyed cloth
TOO_LIGHT = 1.25  # times perfect white
NEAR, FAR = 5.0, 15.0  # CIEDE2000 between stated and seen cloth: worth a word, not to be believed
DARK, VIVID = 50.0, 40.0  # CIELAB L* and chroma of cloth that would have to be stated to be believed
LIGHTNESSES, TONED = 60, 8.0  # groups of equally light pixels; bytes within which 95 % agree: toned 2 to 7, others 13
ONE_HUE = 0.9  # agreement of hues, 1 = all the same: toned .95 up
FLAT = 30.0  # bytes between its dark and light parts up to which a picture shows hardly anything
_LUMA_OF_BYTES = np.array([0.299, 0.587, 0.114])  # of R'G'B', ITU-R BT.601
CHECK_CARD = say("photo.error.check_card")


def check_colour(rgb: Bytes, *, may_look_toned: bool) -> None:
    """BatikError for a photo without colours of its own: of greys, or toned as old prints are.

    rgb : uint8 (rows, cols, 3); may_look_toned : what it shows, as shades of one dye do
    """
    some = rgb[:: max(1, rgb.shape[0] // 300), :: max(1, rgb.shape[1] // 300)]
    if np.all(some == some[..., :1]):
        raise BatikError("photo.error.grey_photo", field="photo")
    if not may_look_toned and looks_toned(some):
        raise BatikError("photo.error.toned_photo", field="photo")


def hue_agreement(rgb: Bytes) -> float:
    """How far all colours of a picture, uint8 (rows, cols, 3), are of one hue: 1 = all of them, 0 = all round."""
    some = rgb[:: max(1, rgb.shape[0] // 300), :: max(1, rgb.shape[1] // 300)].reshape(-1, 3)
    hues = spaces.xyz_to_lab(spaces.linear_srgb_to_xyz(spaces.decode_srgb(some / 255.0)))[:, 1:]
    return float(np.hypot(*hues.sum(axis=0)) / max(np.hypot(*hues.T).sum(), 1e-9))


def looks_toned(rgb: Bytes) -> bool:
    """Whether a picture is of one hue and its colours follow from its lightness alone, but for JPEG's errors.

    rgb : uint8 (rows, cols, 3)
    """
    if hue_agreement(rgb) < ONE_HUE:
        return False
    some = rgb[:: max(1, rgb.shape[0] // 300), :: max(1, rgb.shape[1] // 300)].reshape(-1, 3)
    luma = some @ _LUMA_OF_BYTES
    if np.ptp(np.percentile(luma, (5, 95))) < FLAT:
        return False
    order = np.argsort(luma, kind="stable")
    tint = some[order] - luma[order][:, None]
    alike = max(20, len(tint) // LIGHTNESSES)
    far = [np.abs(part - np.median(part, axis=0)) for part in np.array_split(tint, max(1, len(tint) // alike))]
    return bool(np.percentile(np.concatenate(far).max(axis=1), 95) < TONED)


def mark_odd_undyed(seen: Sequence[SampledPatch], ground: Sequence[Floats]) -> None:
    """Leave out undyed patches that look unlike the other undyed cloth; of two that differ, the darker one.

    ground : linear light (3,) of spots of undyed ground
    """
    good = [sampled for sampled in seen if sampled.bare and not sampled.problems]
    logs = np.log(np.maximum([*(sampled.linear for sampled in good), *ground], 1e-4)).reshape(-1, 3)
    if len(logs) < 2:
        return
    typical = np.median(logs, axis=0) if len(logs) > 2 else logs.max(axis=0)
    for sampled, log in zip(good, logs, strict=False):
        if np.abs(log - typical).max() > ODD_UNDYED:
            sampled.problems.append(say("photo.patch.odd_undyed"))


def believable_cloth(bare: Floats, stated: Floats | None) -> tuple[Floats, Message]:
    """The undyed cloth as a card shows it, XYZ (3,), and a note on it. Raises BatikError where it can't be so.

    bare : its linear light (3,) by the card; stated : XYZ (3,) by the strip file
    """
    luminance = float(spaces.linear_srgb_to_xyz(bare)[1])
    if luminance > TOO_LIGHT:
        times = round(luminance, 1)
        raise BatikError("photo.error.cloth_above_white", field="card", fix=CHECK_CARD, times=times)
    cloth = spaces.linear_srgb_to_xyz(np.minimum(bare, 1.0))
    shown, lab = xyz_to_hex(cloth), spaces.xyz_to_lab(cloth)
    if stated is None:
        if lab[0] < DARK or float(np.hypot(lab[1], lab[2])) > VIVID:
            raise BatikError("photo.error.cloth_dark_or_vivid", got=shown, colour=shown)
        return cloth, say("photo.note.cloth_by_card", colour=shown)
    off = float(delta_e_2000(lab, spaces.xyz_to_lab(stated)))
    if off > FAR:
        raise BatikError(
            "photo.error.cloth_far_from_stated",
            field="cloth: colour",
            got=xyz_to_hex(stated),
            fix=CHECK_CARD,
            colour=shown,
        )
    key = "photo.note.cloth_unlike_stated" if off > NEAR else "photo.note.cloth_like_stated"
    return cloth, say(key, colour=shown, stated=xyz_to_hex(stated), off=round(off, 1))
