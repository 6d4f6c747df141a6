"""Masks that are made, not dropped in the folder by the maker: the names of their pictures, and where they are used."""

import hashlib
from collections.abc import Mapping
from dataclasses import replace

from batiksim.types import Bytes
from batiksim.values import Design, Discharge, DyeBath, MaskUse, Step, Wax, picture_name

MASKS = "masks"  # the folder for new masks, in the design's folder


def mask_use(stem: str, mask: Bytes, *, folder: str = MASKS) -> MaskUse:
    """The use of a new mask; its picture's name depends on its content."""
    digest = hashlib.sha256(mask.tobytes() + repr(mask.shape).encode()).hexdigest()[:10]
    return use_of_new(f"{folder}/{plain_stem(stem)}-{digest}.png")


def use_of_new(picture: str) -> MaskUse:
    """The use of a new mask whose picture is named already."""
    return MaskUse(picture=picture, marks="dark")


def plain_stem(name: str) -> str:
    """A picture's name without folders, ending and an earlier content mark, of letters that any disk takes."""
    plain = "".join(letter if letter.isalnum() or letter in "-_ " else "-" for letter in picture_name(name))
    return plain.strip("- ")[:60].strip("- ") or "mask"


def with_masks(design: Design, new: Mapping[MaskUse, MaskUse]) -> Design:
    """A design with other masks in place of some that its steps and wants use."""

    def used(use: MaskUse | None) -> MaskUse | None:
        return use if use is None else new.get(use, use)

    def step(old: Step) -> Step:
        if isinstance(old, Wax):
            return replace(old, mask=new.get(old.mask, old.mask))
        if isinstance(old, DyeBath):
            return replace(old, paints=tuple(replace(paint, where=used(paint.where)) for paint in old.paints))
        return replace(old, where=used(old.where)) if isinstance(old, Discharge) else old

    wants = tuple(replace(want, where=used(want.where)) for want in design.wants)
    return replace(design, steps=tuple(map(step, design.steps)), wants=wants)
