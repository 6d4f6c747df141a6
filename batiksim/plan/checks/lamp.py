"""Lamp: colours of one cloth that match by day and part by lamplight."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from batiksim.cloth.regions import regions_of
from batiksim.plan.checks.scene import Scene
from batiksim.plan.lights import lamp_findings
from batiksim.values import Finding

__all__ = ["Lamp", "lamp"]


@dataclass(frozen=True, kw_only=True)
class Lamp:
    """How many pairs are told, the furthest parted first."""

    most: int = 5


def lamp(scene: Scene, settings: Lamp) -> Iterator[Finding]:
    """Pairs of regions that pass for one colour by day, and for two under a lamp."""
    regions = regions_of(scene.program, list(scene.surveyed), scene.dyes, scene.design)
    yield from lamp_findings(regions, scene.dyes, most=settings.most)
