"""What there is to trace for each waxing: outlines, hatching for what is filled, and the wax that lies already."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from batiksim.cloth.outlines import hatching, mirrored, outlines, wide_parts
from batiksim.texts.catalogue import Message
from batiksim.types import Bytes, Floats
from batiksim.values import Design, MaskUse, RemoveWax, Wax
from batiksim.values.step_words import wax_name

FILLED_MM = 5.0  # wider than this is hatched: common practice, canting lines are up to 3 mm, wider where they meet
HATCH_MM = 3.0
THIN_FROM = 26  # thin wax is traced from a tenth of cover on


@dataclass(frozen=True, eq=False, kw_only=True)
class WaxLines:
    """The lines of one waxing, (points, 2) each, x and y in mm from the cloth's top left corner.

    step, name : its number, and what it is called in every plan; tool, note : the design's
    now : closed rings round what to wax; hatch : lines through what is filled
    earlier : closed rings round the wax that lies already
    """

    step: int
    name: Message
    tool: str | None
    thin: bool
    note: str
    now: tuple[Floats, ...]
    hatch: tuple[Floats, ...]
    earlier: tuple[Floats, ...]


@dataclass(frozen=True, kw_only=True)
class Tracing:
    """A design's waxings, ready to be drawn. mirrored : as seen from the cloth's back."""

    title: str
    maker: str
    width_mm: float
    height_mm: float
    mirrored: bool
    waxings: tuple[WaxLines, ...]


def tracing_of(design: Design, masks: Mapping[MaskUse, Bytes], *, mirror: bool = False) -> Tracing:
    """The lines of every waxing of a design.

    masks : uint8 (rows, cols), 255 = waxed, as drawn, of every wax step, all of one size
    mirror : as seen from the cloth's back
    """
    width = design.cloth.width_mm
    rows, cols = next(iter(masks.values())).shape if masks else (3, 4)
    made: list[WaxLines] = []
    lying: Bytes | None = None
    before: tuple[Floats, ...] = ()
    for number, step in enumerate(design.steps, start=1):
        if isinstance(step, RemoveWax):
            lying, before = None, ()
        if not isinstance(step, Wax):
            continue
        mask = _to_trace(step, masks[step.mask])
        lines = _lines(design, number, step, mask, before)
        made.append(_turned(lines, width) if mirror else lines)
        lying = mask if lying is None else np.maximum(lying, mask)
        before = lines.now if lying is mask else outlines(lying, width_mm=width)
    return Tracing(
        title=design.title,
        maker=design.maker,
        width_mm=width,
        height_mm=width * rows / cols,
        mirrored=mirror,
        waxings=tuple(made),
    )


def _to_trace(step: Wax, mask: Bytes) -> Bytes:
    """The mask with its outline at half cover."""
    if step.grey == "cover":
        return mask
    return np.minimum(mask.astype(np.uint16) * 128 // THIN_FROM, 255).astype(np.uint8)


def _lines(design: Design, number: int, step: Wax, mask: Bytes, before: tuple[Floats, ...]) -> WaxLines:
    width = design.cloth.width_mm
    now = outlines(mask, width_mm=width)
    wide, cell = wide_parts(mask, width_mm=width, wider_mm=FILLED_MM)
    name = wax_name(design, number)
    thin = step.grey == "thin"
    hatch = tuple(hatching(now, wide, cell_mm=cell, every_mm=HATCH_MM))
    return WaxLines(
        step=number, name=name, tool=step.tool, thin=thin, note=step.note, now=now, hatch=hatch, earlier=before
    )


def _turned(lines: WaxLines, width: float) -> WaxLines:
    now, hatch, earlier = (mirrored(rings, width_mm=width) for rings in (lines.now, lines.hatch, lines.earlier))
    return replace(lines, now=now, hatch=hatch, earlier=earlier)
