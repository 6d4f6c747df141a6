"""Masks as drawn become effective masks: what lies on the cloth once wax has cracked and dye has crept.

Worked out step by step before the engine runs, as each step's wax decides how far the dye after it can creep.
"""

from dataclasses import replace

import numpy as np

from batiksim.cloth.masks import less
from batiksim.cloth.program import (
    LEAST_REACH,
    MaskPlane,
    crack_plane,
    design_masks,
    design_planes,
    paint_plane,
    wax_plane,
)
from batiksim.cloth.render import default_threads
from batiksim.texts.catalogue import say
from batiksim.texts.progress import Progress
from batiksim.types import Bytes
from batiksim.values import Design, DyeBath, MaskUse, RemoveWax, Step, Wax


def has_effects(design: Design) -> bool:
    """Whether any mask comes to lie other than drawn."""
    return any(plane.step for plane in design_planes(design))


def effective_planes(
    design: Design, masks: Bytes, *, height_mm: float | None = None, progress: Progress | None = None
) -> Bytes:
    """The engine's mask stack of a design.

    masks : uint8 (masks, rows, cols), as drawn, in the order of `design_masks`
    height_mm : of the cloth, where `masks` are a reduced copy whose rows tell it less well
    returns : uint8 (planes, rows, cols) in the order of `design_planes`; `masks` itself for a design without effects
    """
    if not has_effects(design):
        return masks
    return _EffectiveMasks(design, masks, height_mm).all_steps(progress)


class _EffectiveMasks:
    """The cloth's wax while planes are worked out one step after another: the share sealed, and held back if thin."""

    def __init__(self, design: Design, masks: Bytes, height_mm: float | None) -> None:
        self.design = design
        self.drawn: dict[MaskUse, Bytes] = dict(zip(design_masks(design), masks, strict=True))
        self.order = design_planes(design)
        self.planes = np.empty((len(self.order), *masks.shape[1:]), np.uint8)
        for place, plane in enumerate(self.order):
            if not plane.step:
                self.planes[place] = self.drawn[plane.use]
        self.px_per_mm = masks.shape[2] / design.cloth.width_mm
        self.height_mm = height_mm
        self.under_wax: dict[bool, Bytes] = {}  # by whether the wax seals
        self.last_creep = max((number for number, step in enumerate(design.steps, start=1) if _creeps(step)), default=0)

    def plane(self, plane: MaskPlane) -> Bytes:
        found: Bytes = self.planes[self.order.index(plane)]
        return found

    def all_steps(self, progress: Progress | None) -> Bytes:
        count = len(self.design.steps)
        for number, step in enumerate(self.design.steps, start=1):
            if isinstance(step, Wax):
                self.wax(number, step)
            elif isinstance(step, DyeBath) and _creeps(step):
                self.dye(number, step)
                if number == self.last_creep:
                    self.under_wax.clear()  # nobody asks for them again: each is as large as a mask
            elif isinstance(step, RemoveWax):
                self.under_wax.clear()
            if progress is not None:
                progress(number, count, say("cloth.progress.effects"))
        return self.planes

    def wax(self, number: int, step: Wax) -> None:
        from batiksim.cloth.effects import wax  # its compiled loops are slow to import

        mask = self.plane(wax_plane(number, step))
        if step.shaped:
            seed = wax.wax_seed(self.design.title, number, step)
            drawn = self.drawn[step.mask]
            whole, opened = wax.shaped_wax(drawn, step, px_per_mm=self.px_per_mm, seed=seed, high_mm=self.height_mm)
            cracks = crack_plane(number, step)
            if cracks is None or opened is None:
                mask[...] = whole
            else:
                wax.split_at_cracks(whole, opened, mask, self.plane(cracks))
            mask = whole
        if number < self.last_creep:
            before = self.under_wax.get(step.seals)
            if before is None:
                self.under_wax[step.seals] = mask.copy()
            else:
                before += less(mask, before)  # 1 - (1 - a)(1 - b), as in `rules.Cover.waxed`

    def barrier(self) -> Bytes | None:
        """Where wax stops dye that creeps: the share that it seals, all of it where thin wax lets next to none in."""
        sealed, thin = (self.under_wax.get(seals) for seals in (True, False))
        if thin is None:
            return sealed
        return np.where(thin > 255 * (1 - LEAST_REACH), np.uint8(255), np.uint8(0) if sealed is None else sealed)

    def dye(self, number: int, step: DyeBath) -> None:
        from batiksim.cloth.effects.spread import REACH_MM, spread  # its compiled loops are slow to import

        paints = [(place, paint) for place, paint in enumerate(step.paints, start=1) if paint.creeps]
        spreads = spread(
            [self.drawn[paint.where] for _, paint in paints if paint.where is not None],
            self.barrier(),
            reach_mm=[REACH_MM if paint.reach_mm is None else paint.reach_mm for _, paint in paints],
            px_per_mm=self.px_per_mm,
            threads=default_threads(),
        )
        for (place, paint), levels in zip(paints, spreads, strict=True):
            plane = paint_plane(number, place, paint)
            if plane is not None:
                self.plane(plane)[...] = levels


def _creeps(step: object) -> bool:
    return isinstance(step, DyeBath) and any(paint.creeps for paint in step.paints)


def as_drawn(design: Design) -> Design:
    """The same design with every mask taken as drawn: no cracks, tool edges or spread; cool wax counts as thin."""
    return replace(design, steps=tuple(_step_as_drawn(step) for step in design.steps))


def _step_as_drawn(step: Step) -> Step:
    if isinstance(step, Wax):
        return replace(step, crackle=0.0, edges=0.0, cool=0.0, grey="cover" if step.seals else "thin")
    if isinstance(step, DyeBath):
        return replace(step, paints=tuple(replace(paint, spread=False, reach_mm=None) for paint in step.paints))
    return step
