"""Hand: what the tool or the wax can't do at the cloth's real size: too thin lines, gaps that close, tiny islands."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from batiksim.checks.scene.scene import Scene, in_cm
from batiksim.checks.shapes.components import Labels, boxes, dilate, piece_sizes, pieces, thick
from batiksim.texts.catalogue import Message, say
from batiksim.types import Bools, Floats
from batiksim.values import Finding, Place, Severity, Wax


@dataclass(frozen=True, kw_only=True)
class DrawableLimits:
    """What hand, tool and hot wax can do, in mm of real cloth.

    canting_mm, brush_mm : finest line (published: fine canting 0.25 to 1 mm, brush 1.6 mm or more; a line of 0.25 mm
        asks for the finest spout and a sure hand, so half a millimetre is taken); stamp_mm : assumption
    canting_share, brush_share, stamp_share : of a mask's wax that may be thinner; a dry brush splits into hairs
        (assumptions)
    closes_mm : hot wax from both sides meets over gaps up to this (assumption: it creeps 0.2 mm each way)
    closes_cm : length of such gaps in one mask that is worth mentioning (assumption)
    island_mm : an area to be brushed has room for the tip of a brush (published: brush line 1.6 mm or more)
    island_mm2 : smaller specks fill by themselves; islands : how many are worth mentioning; around_mm : a brush sweeps
        over an island when most open cloth so near is to be brushed too (assumptions)
    line_mm : shorter thin bits are tips and corners (assumption)
    """

    canting_mm: float = 0.5
    brush_mm: float = 1.6
    stamp_mm: float = 1.0
    canting_share: float = 0.05
    brush_share: float = 0.3
    stamp_share: float = 0.1
    closes_mm: float = 0.4
    closes_cm: float = 25.0
    island_mm: float = 1.6
    island_mm2: float = 2.0
    islands: int = 8
    around_mm: float = 3.0
    line_mm: float = 5.0


@dataclass(frozen=True, kw_only=True)
class Thin:
    """The parts of a shape that are thinner than asked, corners left out.

    share : of the shape; length_mm : of all; place : the longest
    """

    share: float
    length_mm: float
    place: Place


def hand(scene: Scene, settings: DrawableLimits) -> Iterator[Finding]:
    """Waxings that ask too much of the tool, then places too small to brush."""
    looked: set[object] = set()
    for number, step in enumerate(scene.design.steps, start=1):
        if isinstance(step, Wax) and (step.mask, step.tool) not in looked:
            looked.add((step.mask, step.tool))
            yield from _lines(scene, settings, number, step)
            yield from _closing(scene, settings, number, step)
    yield from _islands(scene, settings)


def _lines(scene: Scene, settings: DrawableLimits, number: int, step: Wax) -> Iterator[Finding]:
    tool = step.tool or "canting"
    finest, allowed = getattr(settings, f"{tool}_mm"), getattr(settings, f"{tool}_share")
    waxed = scene.masks[scene.uses.index(step.mask)] >= 128
    thin = _thin(scene, waxed, finest, settings.line_mm, least_share=allowed)
    if thin is None or thin.share < allowed:
        return
    severity: Severity = "warn" if thin.share >= min(0.6, 4 * allowed) else "note"
    length = in_cm(thin.length_mm)
    message = say(
        "checks.hand.thin_lines", length=length, mask=step.mask.called, mm=finest, tool=say(f"checks.tool.{tool}")
    )
    remedy = say("checks.hand.thin_lines_remedy_brush" if tool == "brush" else "checks.hand.thin_lines_remedy")
    yield _of_mask(number, step, thin, severity, message, remedy)


def _closing(scene: Scene, settings: DrawableLimits, number: int, step: Wax) -> Iterator[Finding]:
    opened = scene.masks[scene.uses.index(step.mask)] < 128
    thin = _thin(scene, opened, settings.closes_mm, settings.line_mm, least_mm=10 * settings.closes_cm)
    if thin is None or thin.length_mm < 10 * settings.closes_cm:
        return
    severity: Severity = "warn" if thin.share >= 0.02 else "note"
    message = say("checks.hand.closing", length=in_cm(thin.length_mm), mask=step.mask.called, mm=settings.closes_mm)
    yield _of_mask(number, step, thin, severity, message, say("checks.hand.closing_remedy"))


def _of_mask(number: int, step: Wax, thin: Thin, severity: Severity, message: Message, remedy: Message) -> Finding:
    return Finding(
        code="hand",
        severity=severity,
        step=number,
        place=thin.place,
        message=message,
        remedy=remedy,
        masks=(step.mask.picture,),
        numbers={"length_mm": thin.length_mm, "thin_share": thin.share},
    )


def _thin(
    scene: Scene, where: Bools, width_mm: float, line_mm: float, *, least_share: float = 0.0, least_mm: float = 0.0
) -> Thin | None:
    """The thin parts of a shape; None where there are hardly any or the picture is too coarse to tell.

    least_share, least_mm : fewer pixels than these could need are not looked at one by one
    """
    radius, area = int(width_mm * scene.px_per_mm / 2), np.count_nonzero(where)
    if radius < 1:
        return None
    broad = thick(where, radius)
    narrow = where & ~broad
    pixels = np.count_nonzero(narrow)
    if pixels < max(least_share * area, least_mm * scene.px_per_mm / np.sqrt(2)):  # a pixel is sqrt(2) long at most
        return None
    labels, count = pieces(narrow, corners=True)
    sizes = piece_sizes(labels, count, narrow)
    # a fringe along a broad shape is its rough edge, not a line
    edge = piece_sizes(labels, count, narrow & dilate(broad))
    length = _lengths(labels, count) / scene.px_per_mm
    lines = (edge <= 0.15 * sizes) & (length >= line_mm)
    lines[0] = False
    if not lines.any():
        return None
    longest = labels == int(np.argmax(np.where(lines, sizes, 0)))
    share, length_mm = float(sizes[lines].sum() / area), float(length[lines].sum())
    return Thin(share=share, length_mm=length_mm, place=_around(scene, longest))


def _lengths(labels: Labels, count: int) -> Floats:
    """Length of thin pieces in pixels, place 0 unused: half their outline, straight at any angle."""
    across, down = (np.zeros(count + 1, np.int64) for _ in range(2))
    for total, a, b in ((across, np.s_[:-1], np.s_[1:]), (down, np.s_[:, :-1], np.s_[:, 1:])):
        turned = labels[a] != labels[b]
        for side in (a, b):
            total += np.bincount(labels[side][turned], minlength=count + 1)
    return np.asarray(np.hypot(across, down) / 2, np.float64)


def _around(scene: Scene, where: Bools) -> Place:
    """The middle pixel of a small shape, and a ring around it."""
    rows, cols = np.nonzero(where)
    middle = len(rows) // 2
    far = np.hypot(np.ptp(rows), np.ptp(cols)) / 2 / scene.px_per_mm
    x, y = (cols[middle] + 0.5) / scene.px_per_mm, (rows[middle] + 0.5) / scene.px_per_mm
    return scene.at(float(x), float(y), min(max(float(far), 4.0), 15.0))


def _islands(scene: Scene, settings: DrawableLimits) -> Iterator[Finding]:
    """Open cloth closed in on all sides, to be brushed, with no room for a brush."""
    radius = int(settings.island_mm * scene.work_px_per_mm / 2)
    for number, _ in scene.dye_baths():
        ops = [o for o in scene.ops_of(number) if scene.program.ops[o, 1] >= 0]
        opened = ~scene.state(number).sealed
        if radius < 1 or not ops or opened.all():
            continue
        brushed = np.logical_or.reduce([scene.brushed(o) for o in ops])
        labels, count = pieces(opened)
        sizes = piece_sizes(labels, count, opened)
        roomy = piece_sizes(labels, count, thick(opened, radius)) > 0
        wanted = piece_sizes(labels, count, brushed & opened) >= 0.5 * sizes
        small = wanted & ~roomy & (sizes >= settings.island_mm2 * scene.work_px_per_mm**2)
        small[0] = False
        small = _alone(scene, settings, labels, small, opened & ~brushed, brushed)
        if small.sum() < settings.islands:
            continue
        largest = labels == int(np.argmax(np.where(small, sizes, 0)))
        share = float(sizes[small].sum() / max(1, sizes[1:][wanted[1:]].sum()))
        yield Finding(
            code="hand",
            severity="warn" if share >= 0.2 else "note",
            step=number,
            place=scene.place(largest, factor=scene.work_factor),
            message=say("checks.hand.islands", count=int(small.sum()), mm=settings.island_mm),
            remedy=say("checks.hand.islands_remedy", count=int(small.sum())),
            numbers={"count": int(small.sum()), "room_mm": settings.island_mm, "brushed_share": share},
            **scene.concerned(ops),
        )


def _alone(scene: Scene, settings: DrawableLimits, labels: Labels, small: Bools, left: Bools, brushed: Bools) -> Bools:
    """The small islands that a brush can't sweep over: most of the open cloth about them is to be left as it is."""
    reach = round(settings.around_mm * scene.work_px_per_mm)
    alone = np.zeros_like(small)
    for label, box in enumerate(boxes(labels), start=1):
        if not small[label]:
            continue
        window = np.s_[
            max(0, box[0].start - reach) : box[0].stop + reach, max(0, box[1].start - reach) : box[1].stop + reach
        ]
        beside = labels[window] != label
        same, other = (int(np.count_nonzero(where[window] & beside)) for where in (brushed, left))
        alone[label] = other > 2 * same
    return alone
