"""A separation as plain data, as `separate --json` prints it."""

from __future__ import annotations

from typing import Any

from batiksim.from_picture.report import ToldSeparation
from batiksim.from_picture.separate import Separation

__all__ = ["separation_data"]


def separation_data(found: Separation, told: ToldSeparation, names: list[list[str]]) -> dict[str, Any]:
    """Dyeings, regions and notes: strengths in full strengths, shares 0..1, differences in CIEDE2000."""
    return {
        "dyeings": [
            {
                "waxed_before": waxed,
                "waxed_share": round(float(mask.mean()) / 255, 4),
                "pots": [
                    {"name": name, "dyes": {dye: round(full, 4) for dye, full in bath}}
                    for name, bath in zip(named, dyeing, strict=True)
                ],
            }
            for dyeing, named, waxed, mask in zip(found.plan, names, found.waxed, found.wax, strict=True)
        ],
        "mean_difference": round(told.miss, 2),
        "regions": [
            {
                "name": one.name,
                "share": round(one.share, 4),
                "at_mm": list(one.at_mm),
                "wanted": one.wanted,
                "reachable": one.reachable,
                "given": one.given,
                "difference": round(one.difference, 2),
                "mean_difference": round(one.miss, 2),
                "pots": [names[at][pot] for at, pot in enumerate(one.pots)],
                "words": one.words,
                "impossible": one.impossible,
            }
            for one in told.regions
        ],
        "line_mm": found.asked.line_mm,
        "width_mm": found.asked.width_mm,
        "notes": list(told.notes),
    }
