"""Lost lines: fine pale lines that wax or bleach once kept, left open at a later dyeing that covers them.

Colours lost the same way are told with them; see `swallowed`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np

from batiksim.checks.scene.scene import Scene, in_cm
from batiksim.checks.shapes.arrays import area_mean, bits_of, times
from batiksim.checks.shapes.components import boxes, grown_by_one, pieces, thick
from batiksim.checks.swallowed import Swallowed, swallowed
from batiksim.cloth.outcome import reached_bits
from batiksim.cloth.program import DISCHARGE, DYE
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.types import Bools, Bytes, Singles, Words
from batiksim.values import Discharge, DyeBath, Finding, Place, RemoveWax, Wax

__all__ = ["Lost", "lost"]

LOOK_MM = 0.5  # lines are looked for at this size of pixel
MOST_PX = 1400
MOST_COLOURS = 60


@dataclass(frozen=True, kw_only=True)
class Lost:
    """What counts as a line that was meant to stay. Assumptions.

    line_mm : broader shapes are no lines; length_mm : shorter ones are no loss; total_mm : of all, worth a word
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


@dataclass(frozen=True, kw_only=True)
class Before:
    """The cloth before a dyeing, a pixel each: lightness L*, and where the dyeing changes it enough to lose a line."""

    lightness: Singles
    covered: Bools


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
    masks = np.stack([area_mean(mask, factor) for mask in scene.masks]) if len(scene.masks) else scene.rough
    bits = reached_bits(scene.program, masks)
    for number in late:
        kept = _kept(scene, masks, bits, number)
        if kept.any():
            yield from _at_step(scene, settings, number, kept, _before(scene, settings, bits, number), factor)


def _factor(scene: Scene) -> int:
    most = max(scene.masks.shape[1:]) / MOST_PX
    return max(1, int(LOOK_MM * scene.px_per_mm), int(np.ceil(most)))


def _kept(scene: Scene, masks: Bytes, bits: Words, number: int) -> Bools:
    """Cloth that was under wax at an earlier dyeing, or was bleached, and is open now."""
    full = np.full(masks.shape[1:], 255, np.uint8)
    opened, kept = full, np.zeros(full.shape, np.bool_)
    for step in scene.design.steps[: number - 1]:
        if isinstance(step, Wax) and step.grey == "cover":
            opened = times(opened, 255 - masks[scene.uses.index(step.mask)])
        elif isinstance(step, RemoveWax):
            opened = full
        elif isinstance(step, DyeBath):
            kept |= opened < 128
    bleached = [o for o in scene.ops(DISCHARGE) if scene.op_step(o) < number]
    for o in bleached:
        kept |= (bits[o >> 6] >> np.uint64(o & 63) & np.uint64(1)).astype(np.bool_)
    return kept & (opened >= 128)


def _before(scene: Scene, settings: Lost, bits: Words, number: int) -> Before:
    ops = [o for o in scene.ops(DYE) if scene.op_step(o) == number]
    upto = bits_of(range(ops[-1] + 1), bits.shape[0])
    lightness = np.full(bits.shape[1:], np.nan, np.float32)
    covered = np.zeros(bits.shape[1:], np.bool_)
    done: set[tuple[int, ...]] = set()
    for history in scene.histories[:MOST_COLOURS]:
        reached = tuple(o for o in history.reached if o <= ops[-1])
        if reached in done:
            continue
        done.add(reached)
        where = ((bits & upto[:, None, None]) == bits_of(reached, bits.shape[0])[:, None, None]).all(axis=0)
        cut = replace(history, reached=reached)
        before, after = scene.lab(cut, before=ops[0]), scene.lab(cut)
        lightness[where] = before[0]
        if reached and reached[-1] in ops and delta_e_2000(before, after) >= settings.gone:
            covered |= where
    return Before(lightness=lightness, covered=covered)


def _at_step(scene: Scene, settings: Lost, number: int, kept: Bools, before: Before, factor: int) -> Iterator[Finding]:
    """Thin pieces of kept, pale cloth that the dyeing covers, darker cloth around them."""
    px_per_mm = scene.px_per_mm / factor
    going = kept & before.covered & ~thick(kept, max(1, round(settings.line_mm * px_per_mm / 2)))
    labels, _ = pieces(going, corners=True)
    lines: list[tuple[float, Place]] = []
    for label, box in enumerate(boxes(labels), start=1):
        far = float(np.hypot(*(side.stop - side.start for side in box))) / px_per_mm
        if far < settings.length_mm:
            continue
        window = np.s_[max(0, box[0].start - 3) : box[0].stop + 3, max(0, box[1].start - 3) : box[1].stop + 3]
        line = labels[window] == label
        if _stands_out(settings, before.lightness[window], line, kept[window]):
            edge = np.count_nonzero(line & grown_by_one(~line)) / 2 / px_per_mm
            lines.append((max(far, edge), _place(scene, window, line, factor)))
    total = sum(length for length, _ in lines)
    if total < settings.total_mm:
        return
    pots = " and ".join(dict.fromkeys(scene.op_pot(o) for o in scene.ops(DYE) if scene.op_step(o) == number))
    yield Finding(
        code="lost",
        severity="serious" if total >= settings.serious_mm else "warn",
        step=number,
        place=max(lines, key=lambda line: line[0])[1],
        message=f"Some {in_cm(total)} of pale lines, kept until now, lie open here: {pots} will cover them.",
        remedy=f"Wax these lines again before step {number}, unless they are meant to go.",
    )


def _stands_out(settings: Lost, lightness: Singles, line: Bools, kept: Bools) -> bool:
    """Whether most of the cloth around a line is darker than it."""
    around = grown_by_one(grown_by_one(grown_by_one(line))) & ~kept & np.isfinite(lightness)
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
