"""Order and faint dyeings: a pot that hardly shows where it lands, because it is pale or because it comes too late."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from batiksim.checks.remedies.trial import trial
from batiksim.checks.scene.scene import Scene
from batiksim.cloth.outcome import History
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.texts.phrases import percent
from batiksim.values import Design, DyeBath, Finding, Wax

__all__ = ["Landing", "Order", "landings", "order", "swapped"]


@dataclass(frozen=True, kw_only=True)
class Order:
    """When a dyeing counts as lost on what lies beneath; CIEDE2000. Assumptions.

    hidden : a change smaller than this hardly shows
    shows : on bare cloth the pot changes it by at least so much: it isn't just pale
    most : share of the area it lands on where it hardly shows
    """

    hidden: float = 4.0
    shows: float = 8.0
    most: float = 0.6


@dataclass(frozen=True, kw_only=True)
class Landing:
    """Where one pot of one dyeing lands.

    on_bare : CIEDE2000 by which it changes bare cloth; change : by which it changes what it lands on, by area
    area : share of the cloth; hidden : share of that area where it changes less than asked
    spots : the histories it reached
    """

    o: int
    on_bare: float
    change: float
    area: float
    hidden: float
    spots: tuple[History, ...]


def landings(scene: Scene, *, hidden: float) -> list[Landing]:
    """Every pot of every dyeing that reached anything, with what it changes there."""
    met: dict[int, list[tuple[History, float]]] = {}
    for history in scene.histories:
        layers = scene.layers(history)
        changes = delta_e_2000(layers.lab[list(layers.dyeings)], layers.after)
        for o, change in zip(layers.dyeings, changes.tolist(), strict=True):
            met.setdefault(o, []).append((history, change))
    return [_landing(scene, o, spots, hidden) for o, spots in sorted(met.items())]


def _landing(scene: Scene, o: int, spots: list[tuple[History, float]], hidden: float) -> Landing:
    pixels = sum(history.pixels for history, _ in spots)
    layers = scene.layers(spots[0][0])
    return Landing(
        o=o,
        on_bare=float(delta_e_2000(scene.bare_lab, layers.alone[layers.dyeings.index(o)])),
        change=sum(change * history.pixels for history, change in spots) / pixels,
        area=pixels / scene.pixels,
        hidden=sum(history.pixels for history, change in spots if change < hidden) / pixels,
        spots=tuple(history for history, _ in spots),
    )


def order(scene: Scene, settings: Order) -> Iterator[Finding]:
    """Strong dyes before paler ones that then can't show."""
    for landing in landings(scene, hidden=settings.hidden):
        if landing.hidden < settings.most or landing.on_bare < settings.shows:
            continue
        where = max(landing.spots, key=lambda history: history.pixels)
        strong = _strongest(scene, where, landing.o)
        if strong is None:
            continue
        pale, first = scene.op_pot(landing.o), scene.op_pot(strong)
        step = scene.op_step(landing.o)
        yield Finding(
            code="order",
            severity="serious" if landing.hidden >= 0.9 else "warn",
            step=step,
            place=scene.region_place(where),
            message=f"{pale} hardly shows on {percent(landing.hidden)} of the cloth it reaches: the stronger {first} "
            f"already lies there (step {scene.op_step(strong)}), and dye darkens but never lightens.",
            remedy=_remedy(scene, settings, landing, strong),
        )


def _strongest(scene: Scene, history: History, o: int) -> int | None:
    """The earlier dyeing of a history that darkens most."""
    layers = scene.layers(history)
    earlier = layers.dyeings.index(o)
    return layers.dyeings[int(np.argmin(layers.alone[:earlier, 0]))] if earlier else None


def _remedy(scene: Scene, settings: Order, landing: Landing, strong: int) -> str:
    pale, first = scene.op_pot(landing.o), scene.op_pot(strong)
    early, late = scene.op_step(strong), scene.op_step(landing.o)
    shifted = swapped(scene.design, early, late)
    after = trial(scene, shifted)
    number = early  # the pale bath takes the strong one's turn
    found = [one for one in landings(after, hidden=settings.hidden) if after.op_step(one.o) == number]
    better = next((one for one in found if after.op_pot(one.o) == pale), None)
    if better is not None and better.change >= settings.shows:
        waxed = any(isinstance(step, Wax) for step in scene.design.steps[early : late - 1])
        keep = "" if waxed else " Wax what is to stay before the second."
        return f"Dye {pale} before {first}: pale to strong, and it shows.{keep}"
    return f"Leave {pale} out here, or wax the cloth that is to show it before {first}."


def swapped(design: Design, one: int, other: int) -> Design:
    """The design with two steps in each other's place."""
    steps = list(design.steps)
    steps[one - 1], steps[other - 1] = steps[other - 1], steps[one - 1]
    assert isinstance(steps[one - 1], DyeBath)
    return replace(design, steps=tuple(steps))
