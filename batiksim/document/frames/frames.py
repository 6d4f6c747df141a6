"""Frames: what the cloth of a design looks like after a step, at the requested size."""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass, fields
from functools import partial
from threading import RLock
from typing import Any, TypeVar

import numpy as np

from batiksim.cloth import render
from batiksim.cloth.dyes_on_cloth import ClothDyes, dyes_on_cloth
from batiksim.cloth.effects.effective_masks import effective_planes, has_effects
from batiksim.cloth.program import Emit, Program, all_plates, compile_design, design_masks
from batiksim.document.frames.mask_cache import MaskCache
from batiksim.document.frames.rgba import rgba
from batiksim.errors import BatikError
from batiksim.types import Bytes, Floats, Look
from batiksim.values import Design, DyeBath, Pot, Step

T = TypeVar("T")
MOST_STACKS = 12
STACK_BYTES = 400_000_000  # of mask stacks kept ready
MOST_DYES = 24
MOST_TABLES = 200  # of pots, for each set of dyes


@dataclass(frozen=True, kw_only=True)
class View:
    """What to look at. step : None = the finished cloth; width : of the frame, in pixels."""

    step: int | None = None
    width: int = 800
    look: Look = "dry"
    light: str = "D65"
    wax_off: bool = False


class _CachedDyes(ClothDyes):
    """Dyes on a cloth that remember the tables of their pots."""

    def pot_table(self, pot: Pot) -> Floats:
        known: _Cache = self.__dict__.setdefault("_tables", _Cache(MOST_TABLES))
        return known.get(pot, partial(super().pot_table, pot))


class _Cache:
    """Results by key, at most so many, or so many bytes in all: those asked for last."""

    def __init__(self, most: int, *, bytes_in_all: int | None = None) -> None:
        self.most, self.bytes_in_all = most, bytes_in_all
        self.lock = RLock()
        self.results: OrderedDict[Hashable, Any] = OrderedDict()

    def get(self, key: Hashable, make: Callable[[], T]) -> T:
        with self.lock:
            if key in self.results:
                self.results.move_to_end(key)
                known: T = self.results[key]
                return known
        made = make()
        with self.lock:
            self.results[key] = made
            while len(self.results) > 1 and (len(self.results) > self.most or self._full()):
                self.results.popitem(last=False)
        return made

    def _full(self) -> bool:
        return (
            self.bytes_in_all is not None and sum(array.nbytes for array in self.results.values()) > self.bytes_in_all
        )


class Frames:
    """Frames of any design whose masks are held; what can be kept from one to the next is kept."""

    def __init__(self, masks: MaskCache) -> None:
        self.masks = masks
        self._dyes = _Cache(MOST_DYES)
        self._stacks = _Cache(MOST_STACKS, bytes_in_all=STACK_BYTES)

    def dyes(self, design: Design) -> ClothDyes:
        """The design's dyes on its cloth."""

        def fit() -> ClothDyes:
            plain = dyes_on_cloth(design)
            return _CachedDyes(**{field.name: getattr(plain, field.name) for field in fields(ClothDyes)})

        return self._dyes.get((design.cloth, design.dyes), fit)

    def size(self, design: Design, width: int | None = None) -> tuple[int, int]:
        """Rows and columns at a width, or at full size."""
        rows, cols = self.masks.size(design)
        width = cols if width is None else min(width, cols)
        return max(1, round(rows * width / cols)), width

    def drawn(self, design: Design, width: int | None = None) -> Bytes:
        """The masks as drawn, uint8 (masks, rows, cols) in `design_masks` order."""
        rows, cols = self.size(design, width)
        uses = design_masks(design)
        if not uses:
            return np.zeros((0, rows, cols), np.uint8)
        full = width is None or cols == self.masks.size(design)[1]

        def stack() -> Bytes:
            return np.stack([self.masks.full(use) if full else self.masks.small(use, cols) for use in uses])

        return self._stacks.get(("drawn", uses, rows, cols), stack)

    def planes(self, design: Design, width: int | None = None) -> Bytes:
        """The engine's masks, uint8 (planes, rows, cols): cracked, crept and so on."""
        if not has_effects(design):
            return self.drawn(design, width)
        rows, cols = self.size(design, width)

        def lay() -> Bytes:
            full_rows, full_cols = self.masks.size(design)
            height_mm = design.cloth.width_mm * full_rows / full_cols
            return effective_planes(design, self.drawn(design, width), height_mm=height_mm)

        shape = tuple(shape_of(step) for step in design.steps)
        return self._stacks.get((design.title, design.cloth.width_mm, shape, rows, cols), lay)

    def program(self, design: Design, view: View, plates: tuple[Emit, ...] | None = None) -> Program:
        """The program of one view."""
        dyes, plates = self.dyes(design), plates or (_emit(design, view.step),)
        return compile_design(design, dyes, plates=plates, wax_shown=not view.wax_off, look=view.look, light=view.light)

    def frame(self, design: Design, view: View) -> Bytes:
        """One frame, opaque RGBA uint8 (rows, cols, 4)."""
        return rgba(render.render(self.program(design, view), self.planes(design, view.width))[0])

    def thumbnails(self, design: Design, width: int) -> Bytes:
        """All plates of a design, small: RGBA uint8 (plates, rows, cols, 4), the finished cloth last."""
        planes = self.planes(design, width)
        program = self.program(design, View(width=width), all_plates(design))
        return rgba(render.render(program, planes, threads=1))


def _emit(design: Design, step: int | None) -> Emit:
    last = len(design.steps)
    if step is None:
        return Emit(step=last, finished=True)
    if not 0 <= step <= last:
        raise BatikError(
            "document.error.no_such_step", field="step", got=step, fix="document.error.use_steps_to", last=last
        )
    return Emit(step=step)


def shape_of(step: Step) -> Hashable:
    """The parts of a step that decide where it goes: all but the pots of a dyeing."""
    if isinstance(step, DyeBath):
        return tuple((paint.where, paint.spread, paint.reach_mm) for paint in step.paints)
    return step
