"""Leak: brushed dye that would run out of its shape through a gap in the wax."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from batiksim.checks.scene.scene import Concerned, Scene, colour_words
from batiksim.checks.shapes.bottleneck import bottleneck
from batiksim.checks.shapes.components import boxes, dilate, piece_sizes, pieces
from batiksim.cloth.outcome import Outcome
from batiksim.cloth.rules import walk
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.texts.catalogue import Message, say
from batiksim.types import Bools, Floats
from batiksim.values import SEVERITIES, Finding, Severity, Wax


@dataclass(frozen=True, kw_only=True)
class Leak:
    """What counts as a gap in the wax.

    gap_mm : wider openings are taken as meant (assumption)
    closes_mm : hot wax from both sides meets over narrower ones, or nearly (assumption: it creeps 0.2 mm each way)
    margins_mm : how far inside its wax line a shape may be brushed (assumption); dye soon creeps there
    reach_mm : how far about a gap is looked (dye creeps 1 to 5 mm past the brush, assumption)
    least_mm2 : of cloth brushed, and of open cloth beyond
    wider : beside a gap the cloth opens up by this factor; where brushing just ends in a channel it doesn't (assumed)
    seen, spoils : CIEDE2000 on the finished cloth to be worth a warning, to be serious (assumptions)
    free_mm, free_share : edge on open cloth, in mm and against edge on wax, from which a pot is brushed freely and has
        no gaps to run through (assumptions); see the check of neighbours
    least_px_per_mm : in coarser masks a canting's line fades to less than half a pixel, and gaps are only guessed at
    most : gaps named one by one; looked_at : short fronts measured for one pot and margin, the shortest first
    """

    gap_mm: float = 4.0
    closes_mm: float = 0.4
    margins_mm: tuple[float, ...] = (0.0, 1.0, 2.0)
    reach_mm: float = 6.0
    least_mm2: float = 8.0
    wider: float = 1.35
    seen: float = 3.0
    spoils: float = 8.0
    least_px_per_mm: float = 1.5
    most: int = 12
    looked_at: int = 60
    free_mm: float = 100.0
    free_share: float = 0.15


@dataclass(frozen=True, eq=False, kw_only=True)
class Brushed:
    """One pot brushed at a step: where it lands, and where it is after creeping a margin, at working size.

    places : where each pot of the step lands
    """

    number: int
    pot: str
    o: int
    opened: Bools
    where: Bools
    grown: Bools
    places: Mapping[str, Bools]


@dataclass(frozen=True, kw_only=True)
class Gap:
    """A gap in the wax.

    row, col : of the full masks; width_mm : at its narrowest
    pot, o : what runs through; meets : the pot brushed on the other side, if any
    source, target : spots (row, col of the full masks) on either side
    """

    row: float
    col: float
    width_mm: float
    pot: str
    o: int
    meets: str | None
    source: tuple[int, int]
    target: tuple[int, int]


def leak(scene: Scene, settings: Leak) -> Iterator[Finding]:
    """Every gap through which a brushed pot reaches cloth, or another pot, that it should not."""
    for number, step in scene.dye_baths():
        opened = ~scene.state(number).sealed
        paints = [
            (paint, o) for paint, o in zip(step.paints, scene.ops_of(number), strict=True) if paint.where is not None
        ]
        places = {paint.pot: scene.brushed(o) for paint, o in paints}
        gaps: list[Gap] = []
        for paint, o in paints if not opened.all() else []:
            where = places[paint.pot]
            bath = Brushed(number=number, pot=paint.pot, o=o, opened=opened, where=where, grown=where, places=places)
            _add_gaps(gaps, scene, settings, bath)
        findings = [finding for gap in gaps if (finding := _finding(scene, settings, number, gap)) is not None]
        worst = sorted(findings, key=lambda one: SEVERITIES.index(one.severity), reverse=True)
        if worst and scene.px_per_mm < settings.least_px_per_mm:
            yield _guessed(scene, worst)
        else:
            yield from worst[: settings.most]


def _guessed(scene: Scene, findings: list[Finding]) -> Finding:
    """One note for all gaps of a step, where the masks are too coarse to tell a gap from a thin line."""
    message = say("checks.leak.coarse", count=len(findings), pixels=round(scene.px_per_mm, 1))
    return replace(
        findings[0],
        severity="note",
        message=message,
        remedy=say("checks.leak.coarse_remedy"),
        pots=tuple(dict.fromkeys(pot for one in findings for pot in one.pots)),
        masks=tuple(dict.fromkeys(mask for one in findings for mask in one.masks)),
        numbers={"count": len(findings), "px_per_mm": scene.px_per_mm},
    )


def _add_gaps(gaps: list[Gap], scene: Scene, settings: Leak, brushed: Brushed) -> None:
    """Add the gaps that one pot runs through, each once, to those found so far."""
    crept = [brushed.where]
    for _ in range(round(max(settings.margins_mm) * scene.work_px_per_mm)):
        crept.append(dilate(crept[-1]) & brushed.opened)
    if _freehand(scene, settings, brushed.opened, crept[-1]):
        return
    for margin in settings.margins_mm:
        bath = replace(brushed, grown=crept[round(margin * scene.work_px_per_mm)])
        for spot in _openings(scene, settings, bath, margin):
            at = (spot[0] * scene.work_factor, spot[1] * scene.work_factor)
            far = [np.hypot(at[0] - one.row, at[1] - one.col) / scene.px_per_mm for one in gaps]
            if min(far, default=np.inf) > settings.reach_mm / 2:
                gap = _gap(scene, settings, bath, spot)
                if gap is not None:
                    gaps.append(gap)


def _freehand(scene: Scene, settings: Leak, opened: Bools, where: Bools) -> bool:
    """Whether a pot has long edges on open cloth, compared with those on wax: then it isn't kept in by outlines."""
    front = dilate(where) & opened & ~where
    if not front.any():
        return False
    labels, count = pieces(front, corners=True)
    sizes = piece_sizes(labels, count, front)
    free = float(sizes[sizes > settings.gap_mm * scene.work_px_per_mm].sum())
    walled = np.count_nonzero(where & dilate(~opened))
    return free > max(settings.free_mm * scene.work_px_per_mm, settings.free_share * walled)


def _openings(scene: Scene, settings: Leak, bath: Brushed, margin_mm: float) -> list[tuple[int, int]]:
    """Middles (working row, col) of the short fronts where a pot, having crept a margin, meets cloth not brushed."""
    beyond = bath.opened & ~bath.grown
    front = dilate(bath.grown) & beyond
    if not front.any():
        return []
    least = settings.least_mm2 * scene.work_px_per_mm**2
    front &= dilate(_large(bath.grown, least)) & _large(beyond, least)
    labels, _ = pieces(front, corners=True)
    longest = (settings.gap_mm + 2 * margin_mm) * scene.work_px_per_mm + 1
    spots = []
    for box in boxes(labels):
        size = max(side.stop - side.start for side in box)
        if size <= longest:
            spots.append((size, (box[0].start + box[0].stop) // 2, (box[1].start + box[1].stop) // 2))
    return [(row, col) for _, row, col in sorted(spots)[: settings.looked_at]]


def _large(where: Bools, least_px: float) -> Bools:
    """The pieces of a shape that have at least so many pixels."""
    labels, count = pieces(where)
    keep = piece_sizes(labels, count, where) >= least_px
    keep[0] = False
    kept: Bools = keep[labels]
    return kept


def _gap(scene: Scene, settings: Leak, bath: Brushed, spot: tuple[int, int]) -> Gap | None:
    """The gap at a front, measured on the full masks; None where there is no gap after all."""
    reach, factor = round(settings.reach_mm * scene.work_px_per_mm), scene.work_factor
    window = np.s_[max(0, spot[0] - reach) : spot[0] + reach + 1, max(0, spot[1] - reach) : spot[1] + reach + 1]
    corner = (window[0].start * factor, window[1].start * factor)
    shape = bath.opened[window].shape
    outside = bath.opened[window] & ~bath.grown[window]
    opened = opened_at(scene, bath.number, corner, (shape[0] * factor, shape[1] * factor))
    source = full_size(bath.where[window], factor, opened)
    target = full_size(outside, factor, opened)
    middle = ((spot[0] + 0.5) * factor - corner[0], (spot[1] + 0.5) * factor - corner[1])
    pinch = bottleneck(opened, source, target, middle)
    if pinch is None or pinch.width > settings.gap_mm * scene.px_per_mm:
        return None
    if max(pinch.room_source, pinch.room_target) < settings.wider * pinch.width + 1:
        return None
    beyond = {pot: float(where[window][outside].mean()) for pot, where in bath.places.items()}
    return Gap(
        row=corner[0] + pinch.row,
        col=corner[1] + pinch.col,
        width_mm=pinch.width / scene.px_per_mm,
        pot=bath.pot,
        o=bath.o,
        meets=next((pot for pot, share in beyond.items() if share > 0.4), None),
        source=(corner[0] + pinch.source[0], corner[1] + pinch.source[1]),
        target=(corner[0] + pinch.target[0], corner[1] + pinch.target[1]),
    )


def full_size(where: Bools, factor: int, opened: Bools) -> Bools:
    """A window at working size, at full size, and only where cloth is open."""
    large = np.repeat(np.repeat(where, factor, axis=0), factor, axis=1)
    out: Bools = large[: opened.shape[0], : opened.shape[1]] & opened
    return out


def opened_at(scene: Scene, number: int, corner: tuple[int, int], size: tuple[int, int]) -> Bools:
    """Where cloth is open just before a step, in a window of the full masks."""
    window = np.s_[:, corner[0] : corner[0] + size[0], corner[1] : corner[1] + size[1]]
    first = scene.ops_of(number)[0]
    for moment in walk(scene.program, scene.masks[window] / np.float32(255)):
        if moment.op == first:
            break
    return ~moment.cover.sealed


def _finding(scene: Scene, settings: Leak, number: int, gap: Gap) -> Finding | None:
    """What a gap would do to the finished cloth, in words; None when nobody would see it."""
    source, target = _at(scene, gap.source), _at(scene, gap.target)
    leaks = _ks(source, gap.o + 1) - _ks(source, gap.o)
    stays = scene.lab_of_ks(_ks(target))
    now, end = (
        float(delta_e_2000(scene.lab_of_ks(ks), scene.lab_of_ks(ks + leaks)))
        for ks in (_ks(target, gap.o), _ks(target))
    )
    if now < settings.seen:
        return None
    severity: Severity = "serious" if end >= settings.spoils else "warn" if end >= settings.seen else "note"
    parts = {"pot": gap.pot, "mm": round(float(gap.width_mm), 1)}
    if gap.meets:
        message = say("checks.leak.into", other=gap.meets, **parts)
    else:
        message = say("checks.leak.onto", colour=colour_words(stays), **parts)
    closes = gap.width_mm < settings.closes_mm
    if closes:
        message = say("checks.leak.closes", gap=message, **parts)
    if end < settings.seen:
        message = say("checks.leak.hidden", gap=message, **parts)
    return Finding(
        code="leak",
        severity="warn" if closes and severity == "serious" else severity,
        step=number,
        place=scene.at(
            (gap.col + 0.5) / scene.px_per_mm, (gap.row + 0.5) / scene.px_per_mm, max(3.0, 1.5 * gap.width_mm)
        ),
        message=message,
        remedy=_remedy(scene, number),
        numbers={"gap_mm": gap.width_mm, "at_once_de": now, "finished_de": end},
        **_concerned(scene, number, gap),
    )


def _concerned(scene: Scene, number: int, gap: Gap) -> Concerned:
    """The pot that runs and the one that it meets; the pictures that they are brushed by, then those of the wax."""
    meets = [o for o in scene.ops_of(number) if scene.op_pot(o) == gap.meets]
    brushed = scene.concerned([gap.o, *meets])
    wax = [step.mask.picture for step in _waxings(scene, number)]
    return Concerned(pots=brushed["pots"], masks=tuple(dict.fromkeys((*brushed["masks"], *wax))))


def _waxings(scene: Scene, number: int) -> list[Wax]:
    """The waxings before a step."""
    return [step for step in scene.design.steps[: number - 1] if isinstance(step, Wax)]


def _remedy(scene: Scene, number: int) -> Message:
    """Where to close a gap: in the picture too, where only one is waxed before."""
    pictures = {step.mask.called for step in _waxings(scene, number)}
    if len(pictures) == 1:
        return say("checks.leak.remedy_in_mask", step=number, mask=pictures.pop())
    return say("checks.leak.remedy", step=number)


def _at(scene: Scene, spot: tuple[int, int]) -> Outcome:
    """What one pixel of the full masks goes through."""
    row, col = (min(at, size - 1) for at, size in zip(spot, scene.masks.shape[1:], strict=True))
    return scene.outcome.of_masks(np.ascontiguousarray(scene.masks[:, row : row + 1, col : col + 1]))


def _ks(spot: Outcome, before: int | None = None) -> Floats:
    return spot.ks(spot.histories[0], before=before)
