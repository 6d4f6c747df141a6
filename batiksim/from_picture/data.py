"""A picture's plan as plain data, as `from-picture --json` prints it."""

from typing import Any

from batiksim.from_picture.picture_plan import PicturePlan
from batiksim.from_picture.report import PictureReport


def picture_plan_data(plan: PicturePlan, report: PictureReport, names: list[list[str]]) -> dict[str, Any]:
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
            for dyeing, named, waxed, mask in zip(plan.dyeings, names, plan.waxed, plan.wax, strict=True)
        ],
        "mean_difference": round(report.miss, 2),
        "regions": [
            {
                "name": region.name,
                "share": round(region.share, 4),
                "at_mm": list(region.at_mm),
                "wanted": region.target,
                "reachable": region.reachable,
                "given": region.comes_out,
                "difference": round(region.difference, 2),
                "mean_difference": round(region.miss, 2),
                "pots": [names[at][pot] for at, pot in enumerate(region.pots)],
                "words": region.words,
                "impossible": region.impossible,
            }
            for region in report.regions
        ],
        "line_mm": plan.options.line_mm,
        "width_mm": plan.options.width_mm,
        "notes": [str(note) for note in report.notes],
    }
