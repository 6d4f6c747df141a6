"""Lamp: colours of one cloth that match by day and part by lamplight."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from batiksim.checks.scene.scene import Scene
from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.cloth.outcome import EDGES
from batiksim.colour.names import layered
from batiksim.dyes.metamerism import MetamericPair, metameric_pairs, metamerism_words
from batiksim.texts.catalogue import Message, say
from batiksim.values import Finding, Region


@dataclass(frozen=True, kw_only=True)
class Lamp:
    """How many pairs are reported, the furthest parted first."""

    most: int = 5


def lamp(scene: Scene, settings: Lamp) -> Iterator[Finding]:
    """Pairs of regions that look like one colour in daylight and like two under a lamp."""
    yield from lamp_findings(scene.outcome.regions, scene.dyes, most=settings.most)


def lamp_findings(regions: Sequence[Region], dyes: ClothDyes, *, most: int = 5) -> tuple[Finding, ...]:
    """Regions of one cloth that match by day and part by lamp, as notes; at most so many, the furthest parted first."""
    dyed = [region for region in regions if region.history != (EDGES,)]
    if len(dyed) < 2:
        return ()
    pairs = metameric_pairs(dyes.reflectance(np.stack([dyes.ks_of(one.loads) for one in dyed])))
    return tuple(_finding(pair, dyed[pair.first], dyed[pair.second]) for pair in pairs[:most])


def _finding(pair: MetamericPair, one: Region, other: Region) -> Finding:
    message = metamerism_words(_story(one), _story(other), pair)
    return Finding(code="lamp", severity="note", message=message, remedy=say("checks.lamp.remedy"))


def _story(region: Region) -> Message | str:
    return layered(region.history) if region.history else say("phrase.bare_cloth")
