"""Masks that are made, not dropped in the folder by the maker: the names of their pictures."""

import hashlib

from batiksim.types import Bytes
from batiksim.values import MaskUse, picture_name

MASKS = "masks"  # the folder for new masks, in the design's folder


def mask_use(stem: str, mask: Bytes, *, folder: str = MASKS) -> MaskUse:
    """The use of a new mask; its picture's name depends on its content."""
    digest = hashlib.sha256(mask.tobytes() + repr(mask.shape).encode()).hexdigest()[:10]
    return MaskUse(picture=f"{folder}/{plain_stem(stem)}-{digest}.png", marks="dark")


def plain_stem(name: str) -> str:
    """A picture's name without folders, ending and an earlier content mark, of letters that any disk takes."""
    plain = "".join(letter if letter.isalnum() or letter in "-_ " else "-" for letter in picture_name(name))
    return plain.strip("- ")[:60] or "mask"
