"""Checks: what would spoil the cloth, found before wax is melted. One file for each check, one row each in `table`."""

from batiksim.plan.checks.placing import Misfit, corrected, drawn_as, misplaced
from batiksim.plan.checks.table import CHECKS, CODES, NOTHING, QUICK_NOTHING, Check, check, known_codes

__all__ = [
    "CHECKS",
    "CODES",
    "NOTHING",
    "QUICK_NOTHING",
    "Check",
    "Misfit",
    "check",
    "corrected",
    "drawn_as",
    "known_codes",
    "misplaced",
]
