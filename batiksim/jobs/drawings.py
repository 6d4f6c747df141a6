"""A drawing on paper, photographed or scanned: what lies round the paper is no part of it.

All masks are uint8 (rows, cols), 0 = not marked .. 255 = fully marked.
"""

from __future__ import annotations

from batiksim.photo.drawing_paper import laid_straight, lies_on_table, paper_corners, without_table
from batiksim.types import Bytes

__all__ = ["has_surround", "paper_alone", "shows_whole_paper"]


def has_surround(mask: Bytes) -> bool:
    """Whether something lies round the paper, such as a table, and reads as marks."""
    return lies_on_table(mask)


def shows_whole_paper(mask: Bytes) -> bool:
    """Whether the whole sheet is in the picture, so that it can be rectified."""
    return paper_corners(mask) is not None


def paper_alone(mask: Bytes) -> tuple[Bytes, bool]:
    """The mask without what lies round the paper, and whether the sheet was rectified: then it has another shape."""
    straight = laid_straight(mask)
    return (without_table(mask), False) if straight is None else (straight, True)
