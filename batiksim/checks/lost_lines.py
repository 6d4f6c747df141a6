"""Lost lines: fine pale lines that wax or bleach once kept, left open at a later dyeing that covers them.

Colours lost the same way go under the same code; see `swallowed`.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from batiksim.checks.scene.scene import Scene, in_cm
from batiksim.checks.shapes.components import boxes, dilate, pieces, thick
from batiksim.checks.swallowed import Swallowed, swallowed
from batiksim.cloth.program import DISCHARGE, DYE
from batiksim.cloth.rules import walk
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.texts.catalogue import say
from batiksim.types import Bools, Bytes, Ints, Singles
from batiksim.values import Discharge, Finding, Place, RemoveWax, Wax

LOOK_MM = 0.5  # lines are looked for at this size of pixel
MOST_PX = 1400


@dataclass(frozen=True, kw_only=True)
class Lost:
    """What counts as a line that was meant to stay. Assumptions.

    line_mm : broader shapes are no lines; length_mm : shorter ones are no loss; total_mm : of all, worth mentioning
    paler : lightness L* above the cloth around; gone : CIEDE2000 by which the bath changes the line
    serious_mm : length of lines from which the drawing is gone
    colours : when a brushed colour counts as lost
    """

    line_mm: float = 4.0
    length_mm: float = 10.0
    total_mm: float = 60.0
    paler: float = 12.0
    gone: float = 12.0
    serious_mm: float = 600.0
    colours: Swallowed = field(default_factory=Swallowed)


def lost(scene: Scene, settings: Lost) -> Iterator[Finding]:
    """Every dyeing that covers pale lines which were kept before, then brushed colours that later dyeings took away."""
    yield from _lines(scene, settings)
    yield from swallowed(scene, settings.colours)


def _lines(scene: Scene, settings: Lost) -> Iterator[Finding]:
    steps = scene.design.steps
    opening = [n for n, step in enumerate(steps, start=1) if isinstance(step, RemoveWax | Discharge)]
    late = [n for n, _ in scene.dye_baths() if opening and n > opening[0]]
    if not late:
        return
    factor = _factor(scene)
    masks = scene.reduced(factor)
    labels = scene.outcome.labels(masks)
    for number, kept in _kept(scene, masks, late):
        if kept.any():
            yield from _at_step(scene, settings, number, kept, labels, factor)


def _factor(scene: Scene) -> int:
    most = max(scene.masks.shape[1:]) / MOST_PX
    return max(1, int(LOOK_MM * scene.px_per_mm), int(np.ceil(most)))


def _kept(scene: Scene, masks: Bytes, numbers: Sequence[int]) -> Iterator[tuple[int, Bools]]:
    """Before each of some dyeings, cloth that was sealed at an earlier one, or was bleached, and is open now."""
    firsts = {scene.ops_of(number)[0]: number for number in numbers}
    kept = np.zeros(masks.shape[1:], np.bool_)
    for moment in walk(scene.program, masks / np.float32(255)):
        if moment.op in firsts:
            yield firsts[moment.op], kept & ~moment.cover.sealed
        if moment.code == DYE:
            kept = kept | moment.cover.sealed
        elif moment.code == DISCHARGE:
            kept = kept | moment.reached


def _before(scene: Scene, settings: Lost, number: int) -> tuple[Singles, Bools]:
    """Of each history before a dyeing: lightness L*; whether the dyeing changes it enough to lose a line there.

    One more, for places that have no history on the whole cloth.
    """
    ops = scene.ops_of(number)
    lightness = np.full(len(scene.outcome.histories) + 1, np.nan, np.float32)
    covered = np.zeros(len(lightness), np.bool_)
    for place, history in enumerate(scene.histories):
        before, after = scene.layers(history).lab[[ops[0], ops[-1] + 1]]
        lightness[place] = before[0]
        covered[place] = delta_e_2000(before, after) >= settings.gone
    return lightness, covered


def _at_step(scene: Scene, settings: Lost, number: int, kept: Bools, places: Ints, factor: int) -> Iterator[Finding]:
    """Thin pieces of kept, pale cloth that the dyeing covers, darker cloth around them."""
    px_per_mm = scene.px_per_mm / factor
    lightness, covered = _before(scene, settings, number)
    going = kept & covered[places] & ~thick(kept, max(1, round(settings.line_mm * px_per_mm / 2)))
    labels, _ = pieces(going, corners=True)
    lines: list[tuple[float, Place]] = []
    for label, box in enumerate(boxes(labels), start=1):
        far = float(np.hypot(*(side.stop - side.start for side in box))) / px_per_mm
        if far < settings.length_mm:
            continue
        window = np.s_[max(0, box[0].start - 3) : box[0].stop + 3, max(0, box[1].start - 3) : box[1].stop + 3]
        line = labels[window] == label
        if _stands_out(settings, lightness[places[window]], line, kept[window]):
            edge = np.count_nonzero(line & dilate(~line)) / 2 / px_per_mm
            lines.append((max(far, edge), _place(scene, window, line, factor)))
    total = sum(length for length, _ in lines)
    if total < settings.total_mm:
        return
    pots = tuple(dict.fromkeys(scene.op_pot(o) for o in scene.ops(DYE) if scene.op_step(o) == number))
    yield Finding(
        code="lost",
        severity="serious" if total >= settings.serious_mm else "warn",
        step=number,
        place=max(lines, key=lambda line: line[0])[1],
        message=say("checks.lost.lines", length=in_cm(total), pots=pots),
        remedy=say("checks.lost.lines_remedy", step=number),
        pots=pots,
        masks=_kept_by(scene, number),
        numbers={"length_mm": total},
    )


def _kept_by(scene: Scene, number: int) -> tuple[str, ...]:
    """The pictures of the waxings and discharges before a step: lines that it covers were kept by those."""
    steps = scene.design.steps[: number - 1]
    uses = [step.mask if isinstance(step, Wax) else step.where for step in steps if isinstance(step, Wax | Discharge)]
    return tuple(dict.fromkeys(use.picture for use in uses if use is not None))


def _stands_out(settings: Lost, lightness: Singles, line: Bools, kept: Bools) -> bool:
    """Whether most of the cloth around a line is darker than it."""
    around = dilate(dilate(dilate(line))) & ~kept & np.isfinite(lightness)
    own = lightness[line & np.isfinite(lightness)]
    if not around.any() or not own.size:
        return False
    return float((lightness[around] <= np.median(own) - settings.paler).mean()) >= 0.6


def _place(scene: Scene, window: tuple[slice, slice], line: Bools, factor: int) -> Place:
    """A pixel halfway through a line, and a ring that shows a good part of it."""
    rows, cols = np.nonzero(line)
    middle = len(rows) // 2
    mm = factor / scene.px_per_mm
    far = float(np.hypot(*line.shape)) / 2 * mm
    row, col = window[0].start + int(rows[middle]), window[1].start + int(cols[middle])
    return scene.at((col + 0.5) * mm, (row + 0.5) * mm, min(max(far, 5.0), 20.0))
