"""Order and faint dyeings: a pot that hardly shows where it lands, because it is pale or because it comes too late."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from batiksim.checks.scene.scene import Scene
from batiksim.cloth.outcome import History
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import percent
from batiksim.values import Design, DyeBath, Finding, Wax


@dataclass(frozen=True, kw_only=True)
class Order:
    """When a dyeing counts as lost on what lies beneath; CIEDE2000. Assumptions.

    hidden : a change smaller than this hardly shows
    shows : on bare cloth the pot changes it by at least so much: it isn't just pale
    most : share of the area it lands on where it hardly shows
    tried : remedies tried out on the design, for the widest of what hardly shows; each costs a small survey
    """

    hidden: float = 4.0
    shows: float = 8.0
    most: float = 0.6
    tried: int = 8


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
    return scene.once(("landings", hidden), lambda: _landings(scene, hidden))


def _landings(scene: Scene, hidden: float) -> list[Landing]:
    met: dict[int, list[tuple[History, float]]] = {}
    on_bare: dict[int, float] = {}
    for history in scene.histories:
        layers = scene.layers(history)
        changes = delta_e_2000(layers.lab[list(layers.dyeings)], layers.after).tolist()
        alone = delta_e_2000(scene.bare_lab, layers.alone).tolist()
        for o, change, far in zip(layers.dyeings, changes, alone, strict=True):
            met.setdefault(o, []).append((history, change))
            on_bare.setdefault(o, far)  # of the largest
    found = []
    for o, spots in sorted(met.items()):
        pixels = sum(history.pixels for history, _ in spots)
        landing = Landing(
            o=o,
            on_bare=on_bare[o],
            change=sum(change * history.pixels for history, change in spots) / pixels,
            area=pixels / scene.outcome.pixels,
            hidden=sum(history.pixels for history, change in spots if change < hidden) / pixels,
            spots=tuple(history for history, _ in spots),
        )
        found.append(landing)
    return found


def order(scene: Scene, settings: Order) -> Iterator[Finding]:
    """Strong dyes before paler ones that then can't show."""
    late = [
        landing
        for landing in landings(scene, hidden=settings.hidden)
        if landing.hidden >= settings.most and landing.on_bare >= settings.shows
    ]
    widest = sorted(late, key=lambda landing: -landing.area * landing.hidden)[: settings.tried]
    for landing in late:
        where = max(landing.spots, key=lambda history: history.pixels)
        strong = _strongest(scene, where, landing.o)
        if strong is None:
            continue
        pale, first = scene.op_pot(landing.o), scene.op_pot(strong)
        helps = landing in widest and _swap_helps(scene, settings, landing, strong)
        message = say(
            "checks.order.message", pale=pale, share=percent(landing.hidden), strong=first, step=scene.op_step(strong)
        )
        yield Finding(
            code="order",
            severity="serious" if landing.hidden >= 0.9 else "warn",
            step=scene.op_step(landing.o),
            place=scene.region_place(where),
            message=message,
            remedy=_pale_first(scene, landing, strong)
            if helps
            else say("checks.order.leave_out", pale=pale, strong=first),
            numbers={
                "share": landing.area,
                "hidden_share": landing.hidden,
                "on_bare_de": landing.on_bare,
                "change_de": landing.change,
            },
            **scene.concerned([landing.o, strong]),
        )


def _strongest(scene: Scene, history: History, o: int) -> int | None:
    """The earlier dyeing of a history that darkens most."""
    layers = scene.layers(history)
    earlier = layers.dyeings.index(o)
    return layers.dyeings[int(np.argmin(layers.alone[:earlier, 0]))] if earlier else None


def _swap_helps(scene: Scene, settings: Order, landing: Landing, strong: int) -> bool:
    """Whether the pale pot shows when it takes the strong one's turn, as tried out on the design."""
    early, late = scene.op_step(strong), scene.op_step(landing.o)
    after = scene.trial(swapped(scene.design, early, late))
    pale = scene.op_pot(landing.o)
    return any(_change(after, o) >= settings.shows for o in after.ops_of(early) if after.op_pot(o) == pale)


def _change(scene: Scene, o: int) -> float:
    """CIEDE2000 by which a dyeing changes what it lands on, by area."""
    spots = [history for history in scene.histories if o in history.reached]
    if not spots:
        return 0.0
    before, after = (
        scene.lab_of_ks(np.array([scene.outcome.ks(spot, before=at) for spot in spots])) for at in (o, o + 1)
    )
    return float(np.average(delta_e_2000(before, after), weights=[spot.pixels for spot in spots]))


def _pale_first(scene: Scene, landing: Landing, strong: int) -> Message:
    early, late = scene.op_step(strong), scene.op_step(landing.o)
    waxed = any(isinstance(step, Wax) for step in scene.design.steps[early : late - 1])
    key = "pale_first" if waxed else "pale_first_and_wax"
    return say(f"checks.order.{key}", pale=scene.op_pot(landing.o), strong=scene.op_pot(strong))


def swapped(design: Design, one: int, other: int) -> Design:
    """The design with two steps in each other's place."""
    steps = list(design.steps)
    steps[one - 1], steps[other - 1] = steps[other - 1], steps[one - 1]
    assert isinstance(steps[one - 1], DyeBath)
    return replace(design, steps=tuple(steps))
