"""Lamp: colours of one cloth that match by day and part by lamplight."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from batiksim.checks.scene.scene import Scene
from batiksim.cloth.outcome import EDGES
from batiksim.colour.names import layered
from batiksim.dyes.metamerism import metameric_pairs, metamerism_words
from batiksim.texts.catalogue import Message, say
from batiksim.values import Finding, Region


@dataclass(frozen=True, kw_only=True)
class Lamp:
    """How many pairs are reported, the furthest parted first."""

    most: int = 5


def lamp(scene: Scene, settings: Lamp) -> Iterator[Finding]:
    """Pairs of regions that look like one colour in daylight and like two under a lamp, the furthest parted first."""
    dyed = [region for region in scene.outcome.regions if region.history != (EDGES,)]
    if len(dyed) < 2:
        return
    pairs = metameric_pairs(scene.dyes.reflectance(np.stack([scene.dyes.ks_of(one.loads) for one in dyed])))
    for pair in pairs[: settings.most]:
        two = dyed[pair.first], dyed[pair.second]
        yield Finding(
            code="lamp",
            severity="note",
            message=metamerism_words(_story(two[0]), _story(two[1]), pair),
            remedy=say("checks.lamp.remedy"),
            numbers={"by_day_de": pair.by_day, "by_lamp_de": pair.by_lamp},
            **scene.concerned(scene.ops_with(*two[0].history, *two[1].history)),
        )


def _story(region: Region) -> Message | str:
    return layered(region.history) if region.history else say("phrase.bare_cloth")
