"""What speaks against a photo of a strip: no colour in it, undyed cloth or a card that can't be one.

The limits are assumptions, set on made photos: light falling off by half, a strong cast and a camera's contrast pass.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from batiksim.colour import spaces
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.gamut import xyz_to_hex
from batiksim.errors import BatikError
from batiksim.photo.patches import SampledPatch
from batiksim.types import Bytes, Floats
from batiksim.values import Patch

__all__ = ["believable_cloth", "check_colour", "hue_agreement", "looks_toned", "mark_odd_undyed"]


ODD_UNDYED = 0.8  # in natural logarithms of a channel's light: a factor of 2.2 from the other undyed cloth
TOO_LIGHT = 1.25  # times perfect white
NEAR, FAR = 5.0, 15.0  # CIEDE2000 between stated and seen cloth: worth a word, not to be believed
DARK, VIVID = 50.0, 40.0  # CIELAB L* and chroma of cloth that would have to be stated to be believed
LIGHTNESSES, TONED = 60, 8.0  # groups of equally light pixels; bytes within which 95 % agree: toned 2 to 7, others 13
ONE_HUE = 0.9  # agreement of hues, 1 = all the same: toned .95 up
FLAT = 30.0  # bytes between its dark and light parts up to which a picture shows hardly anything
_LUMA_OF_BYTES = np.array([0.299, 0.587, 0.114])  # of R'G'B', ITU-R BT.601
_AS_TAKEN = "give the photo in colour, as it was taken"
_CHECK = "check the card's reflectance (white about 0.9, grey card 0.18) and at, and that what is undyed is bare cloth"


def check_colour(rgb: Bytes, *, may_look_toned: bool) -> None:
    """BatikError for a photo without colours of its own: of greys, or toned as old prints are.

    rgb : uint8 (rows, cols, 3); may_look_toned : what it shows, as shades of one dye do
    """
    some = rgb[:: max(1, rgb.shape[0] // 300), :: max(1, rgb.shape[1] // 300)]
    if np.all(some == some[..., :1]):
        raise BatikError("is a photo without colour: only greys are in it", field="photo", fix=_AS_TAKEN)
    if not may_look_toned and looks_toned(some):
        raise BatikError(
            "is a photo toned in one colour, as sepia is: all that is equally light in it has the same colour",
            field="photo",
            fix=_AS_TAKEN,
        )


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


def mark_odd_undyed(patches: Sequence[Patch], seen: Sequence[SampledPatch], ground: Sequence[Floats]) -> None:
    """Leave out undyed patches that look unlike the other undyed cloth; of two that differ, the darker one.

    ground : linear light (3,) of spots of undyed ground
    """
    places = [at for at, patch in enumerate(patches) if patch.card is None and not patch.layers]
    good = [at for at in places if not seen[at].problems]
    logs = np.log(np.maximum([*(seen[at].linear for at in good), *ground], 1e-4)).reshape(-1, 3)
    if len(logs) < 2:
        return
    typical = np.median(logs, axis=0) if len(logs) > 2 else logs.max(axis=0)
    for at, log in zip(good, logs, strict=False):
        if np.abs(log - typical).max() > ODD_UNDYED:
            seen[at].problems.append("looks unlike the other undyed cloth")


def believable_cloth(bare: Floats, stated: Floats | None) -> tuple[Floats, str]:
    """The undyed cloth as a card shows it, XYZ (3,), and that in words. Raises BatikError where it can't be so.

    bare : its linear light (3,) by the card; stated : XYZ (3,) by the strip file
    """
    luminance = float(spaces.linear_srgb_to_xyz(bare)[1])
    if luminance > TOO_LIGHT:
        raise BatikError(
            f"by the card the undyed cloth would be {luminance:.1f} times as light as perfect white",
            field="card",
            fix=_CHECK,
        )
    cloth = spaces.linear_srgb_to_xyz(np.minimum(bare, 1.0))
    shown, lab = xyz_to_hex(cloth), spaces.xyz_to_lab(cloth)
    if stated is None:
        if lab[0] < DARK or float(np.hypot(lab[1], lab[2])) > VIVID:
            fix = f'{_CHECK}; where the cloth really is so, write colour = "{shown}" under [cloth]'
            raise BatikError("by the card the undyed cloth is dark or strongly coloured", got=shown, fix=fix)
        return cloth, f"By the card the undyed cloth is {shown}."
    off = float(delta_e_2000(lab, spaces.xyz_to_lab(stated)))
    if off > FAR:
        raise BatikError(
            f"by the card the undyed cloth is {shown}, far from the colour given",
            field="cloth: colour",
            got=xyz_to_hex(stated),
            fix=_CHECK,
        )
    doubt = " Is the card the one you think it is, and the cloth?" if off > NEAR else ""
    given = f"{off:.1f} from {xyz_to_hex(stated)}, the colour given for it (1 is just seen)"
    return cloth, f"By the card the undyed cloth is {shown}, {given}.{doubt}"
