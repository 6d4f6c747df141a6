"""Checks: what would spoil the cloth, found before wax is melted. Findings are results, never exceptions."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from batiksim.cloth.pots import ClothDyes
from batiksim.cloth.program import design_masks
from batiksim.values import Design, Finding

__all__ = ["check"]

SEEN = 0.5  # CIEDE2000: a match closer than this is not worth a word


def check(design: Design, dyes: ClothDyes, masks: NDArray[np.uint8]) -> tuple[Finding, ...]:
    """All findings on a design, the worst first. masks : uint8 (masks, rows, cols) in `design_masks` order."""
    found = [*_reach(design, dyes), *_blank(design, masks)]
    order = {"serious": 0, "warn": 1, "note": 2}
    return tuple(sorted(found, key=lambda finding: (order[finding.severity], finding.step, finding.code)))


def _reach(design: Design, dyes: ClothDyes) -> list[Finding]:
    """Dyes whose given colour this cloth can't show."""
    found = []
    for dye in design.dyes:
        residual = dyes.dyes[dye.name].residual
        wanted = dye.colour or "it was measured"
        if residual >= SEEN:
            found.append(
                Finding(
                    code="reach",
                    severity="warn" if residual >= 5 else "note",
                    message=f"This cloth can't show {dye.name} as {wanted}; the nearest is {residual:.1f} away.",
                    remedy="Give the colour as it dries on this cloth: never paler than it, never a perfect black.",
                )
            )
    return found


def _blank(design: Design, masks: NDArray[np.uint8]) -> list[Finding]:
    """Masks with nothing marked, or everything."""
    uses = design_masks(design)
    steps = {use: number for number, use in reversed(list(design.mask_uses()))}
    found = []
    for use, mask in zip(uses, masks, strict=True):
        low, high = int(mask.min()), int(mask.max())
        if high == 0 or low == 255:
            what = "has nothing marked" if high == 0 else "is marked all over"
            found.append(
                Finding(
                    code="wasted",
                    severity="warn",
                    step=steps[use],
                    message=f"The mask {use.picture} {what}.",
                    remedy='Look at the picture; if its marks are light on dark, say marks = "light".',
                )
            )
    return found
