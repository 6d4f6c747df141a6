"""Depth: more dye than the fibre can hold."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from batiksim.checks.scene.scene import Scene
from batiksim.cloth.loads import LOAD_CEILING, STRONGEST_POT
from batiksim.cloth.outcome import History
from batiksim.texts.catalogue import say
from batiksim.texts.phrases import percent
from batiksim.values import Finding


@dataclass(frozen=True, kw_only=True)
class Depth:
    """When a bath is offered more than the fibre takes.

    least_share : of the cloth's area, below which an overfull spot is not worth mentioning (assumption)
    lost : share of a bath that the fibre refuses; from `much` on it is a warning (assumptions)
    most_strength : full strengths in one pot (see `cloth.loads`)
    """

    least_share: float = 0.005
    lost: float = 0.25
    much: float = 0.5
    most_strength: float = STRONGEST_POT


def depth(scene: Scene, settings: Depth) -> Iterator[Finding]:
    """Pots too strong for any fibre, then baths that come too late to take."""
    yield from _pots(scene, settings)
    worst: dict[int, list[tuple[float, History]]] = defaultdict(list)
    for history in scene.histories:
        layers = scene.layers(history)
        for o, refused in zip(layers.dyeings, layers.refused.tolist(), strict=True):
            if refused >= settings.lost:
                worst[o].append((refused, history))
    for o, spots in sorted(worst.items()):
        share = sum(scene.share(history) for _, history in spots)
        if share >= settings.least_share:
            yield _late(scene, settings, o, spots, share)


def _pots(scene: Scene, settings: Depth) -> Iterator[Finding]:
    used = {paint.pot: step for step, bath in reversed(scene.dye_baths()) for paint in bath.paints}
    for pot, step in used.items():
        load = sum(scene.design.pot(pot).loads().values())
        if load > settings.most_strength:
            message = say("checks.depth.strong", pot=pot, load=float(f"{load:.2g}"), most=settings.most_strength)
            remedy = say("checks.depth.strong_remedy", most=settings.most_strength)
            yield Finding(
                code="depth",
                severity="warn",
                step=step,
                message=message,
                remedy=remedy,
                numbers={"offered_strengths": load, "most_strengths": settings.most_strength},
                **scene.concerned(scene.ops_with(pot)),
            )


def _late(scene: Scene, settings: Depth, o: int, spots: list[tuple[float, History]], share: float) -> Finding:
    refused = sum(lost * history.pixels for lost, history in spots) / sum(history.pixels for _, history in spots)
    largest = max((history for _, history in spots), key=lambda history: history.pixels)
    step, pot = scene.op_step(o), scene.op_pot(o)
    before = [p for p in scene.layers(largest).dyeings if p < o]
    earlier = list(dict.fromkeys(map(scene.op_pot, before)))
    return Finding(
        code="depth",
        severity="warn" if refused >= settings.much and share >= 4 * settings.least_share else "note",
        step=step,
        place=scene.region_place(largest),
        message=say(
            "checks.depth.full",
            share=percent(share),
            earlier=earlier,
            ceiling=LOAD_CEILING,
            refused=percent(refused),
            pot=pot,
        ),
        remedy=say("checks.depth.full_remedy", last=earlier[-1], pot=pot),
        numbers={"share": share, "refused_share": refused},
        **scene.concerned([o, *reversed(before)]),
    )
