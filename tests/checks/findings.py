"""What tests of checks ask of findings."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from batiksim.values import Finding

PARSLEY, POPPIES, GEESE = "hedge_parsley", "garden_poppies/remedy.toml", "estuary_geese"  # samples without mistakes


def names(findings: Iterable[Finding]) -> list[tuple[str, str, int]]:
    """(code, severity, step) of each."""
    return [(finding.code, finding.severity, finding.step) for finding in findings]


def severities(findings: Iterable[Finding]) -> list[tuple[str, int]]:
    """(severity, step) of each."""
    return [(finding.severity, finding.step) for finding in findings]


def steps_of(findings: Iterable[Finding]) -> list[int]:
    """The step of each."""
    return [finding.step for finding in findings]


def severities_at(case: Any, code: str, **settings: float) -> list[str]:
    """The severity of each finding of one check with thresholds of one's own."""
    return [finding.severity for finding in case.check(code, settings={code: settings})]
