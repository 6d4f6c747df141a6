"""Checks: what would spoil the cloth, found before wax is melted. One file for each check, one row each in `table`."""

from batiksim.checks.remedy_search import with_remedies
from batiksim.checks.scene.outlier_masks import Misfit, corrected_mask, drawn_as, misfits
from batiksim.checks.scene.scene import Scene
from batiksim.checks.table import CHECKS, CODES, NOTHING, QUICK_NOTHING, Check, check, known_codes

__all__ = [
    "CHECKS",
    "CODES",
    "NOTHING",
    "QUICK_NOTHING",
    "Check",
    "Misfit",
    "Scene",
    "check",
    "corrected_mask",
    "drawn_as",
    "known_codes",
    "misfits",
    "with_remedies",
]
