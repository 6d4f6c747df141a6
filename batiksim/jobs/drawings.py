"""A drawing on paper, photographed or scanned: what lies round the paper is no part of it."""

from __future__ import annotations

from batiksim.photo.drawing_paper import has_surround, mask_outside_paper, paper_corners, rectify_paper
from batiksim.types import Bytes

__all__ = ["has_surround", "paper_alone", "shows_whole_paper"]


def shows_whole_paper(mask: Bytes) -> bool:
    """Whether the whole sheet is in the picture, so that it can be rectified. mask : uint8, 255 = marked."""
    return paper_corners(mask) is not None


def paper_alone(mask: Bytes) -> tuple[Bytes, bool]:
    """The mask without what lies round the paper, and whether the sheet was rectified: then it has another shape."""
    straight = rectify_paper(mask)
    return (mask_outside_paper(mask), False) if straight is None else (straight, True)
