"""Mud: overlaps that turn brown, olive or grey though the dyes are clear, and what would help, each tried out first."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from batiksim.checks.remedies import SpoiltRegion, remedies, wax_first
from batiksim.checks.scene.scene import Scene, colour_words
from batiksim.cloth.outcome import History
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.names import layered
from batiksim.dyes.mud import DEFAULT_RULE, REMEDY_RULE, MudRule, dull_flags, first_mud, is_mud
from batiksim.dyes.target_colour import wanted_colour
from batiksim.errors import BatikError
from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import percent
from batiksim.types import Bools
from batiksim.values import Finding, Want

NEAR_PX = 2  # rough pixels around a wanted spot: it may lie on an edge


@dataclass(frozen=True, kw_only=True)
class Mud:
    """Which muddy overlaps are worth mentioning, by share of the cloth. Assumptions.

    least_share : anything smaller is an edge; warn_share, serious_share : from there on it is worse
    cured : a remedy must leave at most this part of the mud; tried : for how many overlaps remedies are tried out,
        the widest
    """

    least_share: float = DEFAULT_RULE.least_share
    warn_share: float = 0.01
    serious_share: float = 0.1
    cured: float = 0.2
    tried: int = 6


def mud(scene: Scene, settings: Mud) -> Iterator[Finding]:
    """Every muddy region of the finished cloth, joined where the same dyeing spoilt the same colour."""
    groups: dict[tuple[int, tuple[str, ...]], list[SpoiltRegion]] = {}
    for overlap in overlaps(scene):
        earlier = tuple(scene.op_pot(o) for o in overlap.history.reached if o < overlap.o)
        groups.setdefault((overlap.o, earlier), []).append(overlap)
    shares = {key: sum(scene.share(region.history) for region in spoilt) for key, spoilt in groups.items()}
    widest = sorted(shares, key=lambda key: -shares[key])[: settings.tried]
    for (o, earlier), spoilt in groups.items():
        if (share := shares[o, earlier]) >= settings.least_share:
            remedy = _remedies(scene, settings, spoilt[0]) if (o, earlier) in widest else wax_first(scene, o)
            yield _finding(scene, settings, (*earlier, scene.op_pot(o)), spoilt, share, remedy)


def mud_share(scene: Scene) -> float:
    """The part of the finished cloth that is mud or nearly so, 0..1: what a remedy is measured by."""
    return sum(scene.share(overlap.history) for overlap in overlaps(scene, rule=REMEDY_RULE))


def overlaps(scene: Scene, *, rule: MudRule = DEFAULT_RULE) -> list[SpoiltRegion]:
    """Every muddy region of the finished cloth but those whose colour the design asks for."""
    return scene.once(("overlaps", rule), lambda: _overlaps(scene, rule))


def _overlaps(scene: Scene, rule: MudRule) -> list[SpoiltRegion]:
    found = []
    for number in np.flatnonzero(dull_flags(scene.finished, rule=rule)).tolist():
        history, after = scene.histories[number], scene.finished[number]
        layers = scene.layers(history)
        if not is_mud(after, layers.alone, rule=rule) or is_wished(scene, history):
            continue
        turned = first_mud(layers.after, layers.alone, rule=rule)
        o = layers.dyeings[-1 if turned is None else turned]
        found.append(SpoiltRegion(history=history, o=o, before=scene.lab(history, before=o), after=after))
    return found


def is_wished(scene: Scene, history: History) -> bool:
    """Whether the design wants the colour that a region has at the end, there.

    A want whose area is a picture that no step uses can't be placed here: its colour alone decides.
    """
    return any(_is_wanted(scene, history, want) for want in scene.design.wants)


def _is_wanted(scene: Scene, history: History, want: Want) -> bool:
    try:
        lab = np.array(wanted_colour(want.colour).lab)
    except BatikError:  # told where wants are read
        return False
    if delta_e_2000(lab, scene.lab(history)) > DEFAULT_RULE.pardon:
        return False
    where = scene.rough_reached(history)
    if want.at_mm is not None:
        return _is_at(scene, where, want.at_mm)
    if want.where not in scene.uses:
        return True
    inside = scene.rough[scene.uses.index(want.where)] >= 128
    return bool(np.count_nonzero(where & inside) >= 0.5 * np.count_nonzero(where))


def _is_at(scene: Scene, where: Bools, at_mm: tuple[float, float]) -> bool:
    col, row = (int(mm * scene.px_per_mm / scene.rough_factor) for mm in at_mm)
    rows, cols = (slice(max(0, at - NEAR_PX), at + NEAR_PX + 1) for at in (row, col))
    return bool(where[rows, cols].any())


def _finding(
    scene: Scene, settings: Mud, pots: tuple[str, ...], spoilt: list[SpoiltRegion], share: float, remedy: Message
) -> Finding:
    overlap = spoilt[0]
    worst = "serious" if share >= settings.serious_share else "warn" if share >= settings.warn_share else "note"
    return Finding(
        code="mud",
        severity=worst,  # type: ignore[arg-type]
        step=scene.op_step(overlap.o),
        place=scene.region_place(overlap.history),
        message=say(
            "checks.mud.message",
            layers=layered(pots),
            was=colour_words(overlap.before),
            now=colour_words(overlap.after),
            share=percent(share),
        ),
        remedy=remedy,
        numbers={"share": share},
        **scene.concerned(o for one in spoilt for o in one.history.reached if o <= one.o),
    )


def _remedies(scene: Scene, settings: Mud, overlap: SpoiltRegion) -> Message:
    """What leaves hardly any of the mud."""
    most = settings.cured * mud_share(scene)
    return remedies(scene, overlap, cured=lambda after: mud_share(after) <= most)
