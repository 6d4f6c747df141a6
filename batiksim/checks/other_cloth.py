"""Cloth: dyes that were seen on other cloth than the one they are to dye."""

from collections.abc import Iterator
from dataclasses import dataclass

from batiksim.checks.scene.scene import Scene
from batiksim.cloth.undyed import COLOURS_AGREE, FLOORS_AGREE, measured_cloths
from batiksim.dyes.other_cloth import Trouble, colour_trouble, floor_trouble
from batiksim.values import Finding, Severity


@dataclass(frozen=True, kw_only=True)
class SeenOn:
    """From where on the cloth is another. Assumptions.

    floors : between surface floors; on made strips .02 of floor too little costs unseen overlays 2 CIEDE2000
    colours : CIEDE2000 between undyed colours
    """

    floors: float = FLOORS_AGREE
    colours: float = COLOURS_AGREE


def seen_on(scene: Scene, settings: SeenOn) -> Iterator[Finding]:
    """The dyes of all baths beside the cloth: a floor that isn't theirs is wrong, another colour may be."""
    pots = [scene.design.pot(paint.pot) for _, bath in scene.dye_baths() for paint in bath.paints]
    used = {dye for pot in pots for dye in pot.dyes}
    seen = measured_cloths([dye for dye in scene.design.dyes if dye.name in used])
    cloth = scene.design.cloth
    troubles: dict[Severity, Trouble | None] = {
        "warn": floor_trouble(cloth, scene.dyes.surface, seen, limit=settings.floors),
        "note": colour_trouble(cloth, seen, limit=settings.colours),
    }
    for severity, trouble in troubles.items():
        if trouble is not None:
            yield Finding(
                code="cloth",
                severity=severity,
                message=trouble.message,
                remedy=trouble.remedy,
                pots=trouble.dyes,
                numbers=trouble.numbers,
            )
