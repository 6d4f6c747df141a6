"""Reach: dyes whose given colour this cloth can't show."""

from collections.abc import Iterator
from dataclasses import dataclass

from batiksim.checks.scene.scene import Scene
from batiksim.values import Finding


@dataclass(frozen=True, kw_only=True)
class OutOfGamut:
    """CIEDE2000 from the colour asked for: worth a word, and a warning. Assumptions; 1 is about just seen."""

    seen: float = 0.5
    far: float = 5.0


def reach(scene: Scene, settings: OutOfGamut) -> Iterator[Finding]:
    """Dyes whose colour lies beyond what this cloth can show."""
    for dye in scene.design.dyes:
        residual = scene.dyes.dyes[dye.name].residual
        if residual < settings.seen:
            continue
        wanted = f"as {dye.colour}" if dye.colour else "as it was measured"
        yield Finding(
            code="reach",
            severity="warn" if residual >= settings.far else "note",
            message=f"This cloth can't show {dye.name} {wanted}; the nearest is {residual:.1f} away (1 is just seen).",
            remedy="Give the colour as it dries on this cloth: never paler than it, never a perfect black.",
        )
