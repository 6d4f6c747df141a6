"""Neighbours: two pots brushed at one step that touch with no wax between."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from batiksim.checks.scene.scene import Scene, colour_words, in_cm
from batiksim.checks.shapes.components import dilate
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.dyes.mud import is_mud
from batiksim.texts.catalogue import say
from batiksim.types import Bools
from batiksim.values import Finding, Place, Severity


@dataclass(frozen=True, kw_only=True)
class Neighbours:
    """When two wet pots count as touching. Assumptions.

    creep_mm : open cloth between them that both soon cross
    cell_mm, least_mm : edges count where at least so much lies within one square of cloth; shorter ones are leaks
    dense : of the most edge in one square, from which a square may be the place that is shown
    alike : CIEDE2000 below which mingling doesn't show
    long_mm : from this length on, mingling into mud is serious
    """

    creep_mm: float = 0.8
    cell_mm: float = 10.0
    least_mm: float = 5.0
    dense: float = 0.7
    alike: float = 4.0
    long_mm: float = 40.0


def neighbours(scene: Scene, settings: Neighbours) -> Iterator[Finding]:
    """Every two pots of one dyeing that meet on open cloth."""
    for number, bath in scene.dye_baths():
        places: dict[str, Bools] = {}
        for paint, o in zip(bath.paints, scene.ops_of(number), strict=True):
            if paint.where is not None:
                where = scene.brushed(o)
                places[paint.pot] = places[paint.pot] | where if paint.pot in places else where
        for one, other in combinations(places, 2):
            front = _front(~scene.state(number).sealed, places[one], places[other], scene, settings)
            length, place = _length(scene, settings, front)
            if place is not None:
                yield from _finding(scene, settings, (number, one, other), length, place)


def _front(opened: Bools, one: Bools, other: Bools, scene: Scene, settings: Neighbours) -> Bools:
    """The first pixels of one pot that another reaches through open cloth."""
    grown = one & ~other
    for _ in range(1 + round(settings.creep_mm * scene.work_px_per_mm)):
        edge = dilate(grown) & ~grown
        if not edge.any():
            break
        grown |= edge & opened & ~other
    return dilate(grown) & other


def _length(scene: Scene, settings: Neighbours, front: Bools) -> tuple[float, Place | None]:
    """Length of a front in mm, crumbs left out, and about its middle, where much of it lies."""
    rows, cols = np.nonzero(front)
    if not rows.size:
        return 0.0, None
    at = np.stack([rows, cols], axis=1) / scene.work_px_per_mm
    squares = (at // settings.cell_mm).astype(int)
    _, index, counts = np.unique(squares, axis=0, return_inverse=True, return_counts=True)
    index = index.ravel()
    mm = counts / scene.work_px_per_mm
    kept = mm >= settings.least_mm
    if not kept.any():
        return 0.0, None
    middles = np.stack([np.bincount(index, weights=side) / counts for side in at.T], axis=1)
    off = np.hypot(*(middles - at.mean(axis=0)).T)
    row, col = middles[np.argmin(np.where(counts >= settings.dense * counts.max(), off, np.inf))]
    return float(mm[kept].sum()), scene.at(float(col), float(row), settings.cell_mm / 2)


def _finding(
    scene: Scene, settings: Neighbours, who: tuple[int, str, str], length: float, place: Place
) -> Iterator[Finding]:
    number, one, other = who
    ks = [scene.pot_ks(name) for name in (one, other)]
    labs = [scene.lab_of_ks(part) for part in ks]
    apart = float(delta_e_2000(labs[0], labs[1]))
    if apart < settings.alike:
        return
    mixed = scene.lab_of_ks((ks[0] + ks[1]) / 2)
    muddy = is_mud(mixed, np.stack(labs))
    severity: Severity = "serious" if muddy and length >= settings.long_mm else "warn"
    message = say("checks.neighbours.message", one=one, other=other, length=in_cm(length), colour=colour_words(mixed))
    remedy = say("checks.neighbours.remedy", step=number)
    yield Finding(
        code="neighbours",
        severity=severity,
        step=number,
        place=place,
        message=message,
        remedy=remedy,
        numbers={"border_mm": length, "apart_de": apart},
        **scene.concerned(o for o in scene.ops_of(number) if scene.op_pot(o) in (one, other)),
    )
