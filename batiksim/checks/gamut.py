"""Reach: dyes whose given colour this cloth can't show."""

from collections.abc import Iterator
from dataclasses import dataclass

from batiksim.checks.scene.scene import Scene
from batiksim.texts.catalogue import say
from batiksim.values import Finding


@dataclass(frozen=True, kw_only=True)
class OutOfGamut:
    """CIEDE2000 from the colour asked for: worth mentioning, and a warning. Assumptions; 1 is about just seen."""

    seen: float = 0.5
    far: float = 5.0


def reach(scene: Scene, settings: OutOfGamut) -> Iterator[Finding]:
    """Dyes whose colour lies beyond what this cloth can show."""
    for dye in scene.design.dyes:
        residual = scene.dyes.dyes[dye.name].residual
        if residual < settings.seen:
            continue
        wanted = say("checks.reach.as_colour", colour=dye.colour) if dye.colour else say("checks.reach.as_measured")
        far = residual >= settings.far
        message = say(
            f"checks.reach.{'far' if far else 'near'}", dye=dye.name, wanted=wanted, away=round(float(residual), 1)
        )
        yield Finding(
            code="reach",
            severity="warn" if far else "note",
            message=message,
            remedy=say("checks.reach.remedy"),
            pots=(dye.name,),
            numbers={"away_de": residual},
        )
