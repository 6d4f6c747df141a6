"""What every check looks at: the design, its masks at a few scales, and the colours of its regions.

Lengths in mm become pixels here, once. Shapes are judged at working size: the masks reduced by a whole number so that a
pixel is still no larger than `WORK_MM`; a finding's size is then measured again on the full masks where that matters.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from batiksim.checks.shapes.arrays import area_mean, bits_of, deepest, times
from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.cloth.outcome import History, held_dye, reached_bits, survey
from batiksim.cloth.program import DYE, LEAST_REACH, Program, compile_design, design_masks
from batiksim.colour import names, spaces, spectra
from batiksim.types import Bools, Bytes, Floats, Words
from batiksim.values import Design, DyeBath, MaskUse, Place, RemoveWax, Wax

__all__ = ["Scene", "State", "colour_words", "in_cm"]


WORK_MM = 0.3  # assumption: half the finest gap or line that matters on cloth (see leak and hand)
ROUGH_PX = 480  # width of the small picture on which regions are placed


@dataclass(frozen=True, kw_only=True)
class State:
    """The cloth just before a step, at working size: how much of each pixel is open, and how well it takes."""

    opened: Bytes
    take: Bytes

    @cached_property
    def closed(self) -> Bools:
        """Where wax has sealed most of a pixel."""
        return self.opened < 128


@dataclass(frozen=True, kw_only=True)
class Scene:
    """A design laid out for the checks.

    masks : uint8 (masks, rows, cols), 255 = fully marked, in `design_masks` order
    found : the histories of the finished cloth, as `survey` gives them for the design's whole program; worked out when
        left out
    """

    design: Design
    dyes: ClothDyes
    masks: Bytes
    found: Sequence[History] | None = None

    @cached_property
    def program(self) -> Program:
        """The whole program, plates and all."""
        return compile_design(self.design, self.dyes)

    @cached_property
    def surveyed(self) -> tuple[History, ...]:
        """Every history on the finished cloth, the largest first."""
        return tuple(survey(self.program, self.masks)[0] if self.found is None else self.found)

    @cached_property
    def histories(self) -> tuple[History, ...]:
        """Those of them that can be told apart."""
        return tuple(history for history in self.surveyed if not history.mixed)

    @property
    def pixels(self) -> int:
        """Of one mask."""
        return int(self.masks.shape[1] * self.masks.shape[2])

    def share(self, history: History) -> float:
        """A history's part of the cloth, 0..1."""
        return history.pixels / self.pixels

    # Scales

    @property
    def px_per_mm(self) -> float:
        """Pixels of the full masks to a millimetre."""
        return float(self.masks.shape[2] / self.design.cloth.width_mm)

    @property
    def work_factor(self) -> int:
        """Full pixels along one side of a working pixel."""
        return max(1, int(WORK_MM * self.px_per_mm))

    @property
    def work_px_per_mm(self) -> float:
        """Working pixels to a millimetre."""
        return self.px_per_mm / self.work_factor

    @cached_property
    def work(self) -> tuple[Bytes, ...]:
        """The masks at working size, in order."""
        return tuple(area_mean(mask, self.work_factor) for mask in self.masks)

    @cached_property
    def rough_factor(self) -> int:
        """Full pixels along one side of a rough pixel."""
        return max(1, int(self.masks.shape[2]) // ROUGH_PX)

    @cached_property
    def rough(self) -> Bytes:
        """The masks at rough size, uint8 (masks, rows, cols)."""
        factor = self.rough_factor
        small = [area_mean(mask, factor) for mask in self.masks]
        rows, cols = -(-self.masks.shape[1] // factor), -(-self.masks.shape[2] // factor)
        return np.stack(small) if small else np.zeros((0, rows, cols), np.uint8)

    @cached_property
    def rough_bits(self) -> Words:
        """Which operations reached each rough pixel, as `reached_bits` gives it."""
        return reached_bits(self.program, self.rough)

    def rough_reached(self, history: History) -> Bools:
        """Where a history lies, at rough size."""
        words = bits_of(history.reached, self.rough_bits.shape[0])
        same: Bools = (self.rough_bits == words[:, None, None]).all(axis=0)
        return same

    def mm(self, work_px: float) -> float:
        """A length in working pixels as mm."""
        return work_px / self.work_px_per_mm

    # Masks and states

    @cached_property
    def uses(self) -> tuple[MaskUse, ...]:
        """The mask uses, in the order of the masks."""
        return design_masks(self.design)

    def mask(self, use: MaskUse) -> Bytes:
        """A mask at working size."""
        return self.work[self.uses.index(use)]

    def step_of(self, use: MaskUse) -> int:
        """The first step that uses a mask."""
        return next(number for number, one in self.design.mask_uses() if one == use)

    @cached_property
    def states(self) -> tuple[State, ...]:
        """The cloth before each step and after the last, at working size; shared where nothing changed."""
        if self.work:
            full: Bytes = np.full(self.work[0].shape, 255, np.uint8)
        else:
            factor = self.work_factor
            full = np.full((-(-self.masks.shape[1] // factor), -(-self.masks.shape[2] // factor)), 255, np.uint8)
        bare = state = State(opened=full, take=full)
        before = [state]
        for step in self.design.steps:
            if isinstance(step, Wax):
                left = 255 - self.mask(step.mask)
                key = "opened" if step.grey == "cover" else "take"
                state = replace(state, **{key: times(getattr(state, key), left)})
            elif isinstance(step, RemoveWax):
                state = bare
            before.append(state)
        return tuple(before)

    def state(self, step: int) -> State:
        """The cloth just before a step (counted from 1)."""
        return self.states[step - 1]

    def brushed(self, step: int, use: MaskUse) -> Bools:
        """Where a paint mask brings dye to open cloth at a step, at working size."""
        state = self.state(step)
        return ~state.closed & (times(self.mask(use), state.take) >= round(255 * LEAST_REACH))

    def dye_baths(self) -> list[tuple[int, DyeBath]]:
        """Every dyeing with its step's number."""
        return [(n, step) for n, step in enumerate(self.design.steps, start=1) if isinstance(step, DyeBath)]

    # Operations and colours

    def ops(self, *codes: int) -> list[int]:
        """Numbers of the operations of some kinds, in order."""
        return [o for o, code in enumerate(self.program.ops[:, 0].tolist()) if code in codes]

    def op_step(self, o: int) -> int:
        """The step an operation belongs to."""
        return self.program.step_of_op[o]

    def op_pot(self, o: int) -> str:
        """The pot of a dyeing operation; "discharge" for a discharge."""
        code, _, index = self.program.ops[o].tolist()
        return self.program.pots[index] if code == DYE else "discharge"

    def lab(self, history: History, *, before: int | None = None) -> Floats:
        """CIELAB of a history's open cloth, at the end or just before an operation."""
        return self.lab_of_ks(self.ks(history, before=before))

    def ks(self, history: History, *, before: int | None = None) -> Floats:
        """K/S (31,) of the dye that a history holds, at the end or just before an operation."""
        return self._ks(tuple(o for o in history.reached if before is None or o < before), history)

    def _ks(self, reached: tuple[int, ...], history: History) -> Floats:
        key = (reached, history.levels)
        if key not in self._known_ks:
            cut = replace(history, reached=reached)
            self._known_ks[key] = held_dye(self.program, cut, self.dyes, self.design).ks
        return self._known_ks[key]

    @cached_property
    def _known_ks(self) -> dict[tuple[tuple[int, ...], tuple[float, ...]], Floats]:
        return {}

    def alone(self, history: History, o: int) -> Floats:
        """CIELAB of one dyeing of a history alone on the bare cloth, at the strength it has there."""
        return self.lab_of_ks(self._ks((o,), history))

    def pot_ks(self, name: str, level: float = 1.0) -> Floats:
        """K/S (31,) that a pot adds to open cloth at a level of 0..1."""
        return self.dyes.taken_ks([self.design.pot(name)], level=level)

    @property
    def bare_ks(self) -> Floats:
        """K/S (31,) of the bare cloth."""
        return self.program.cloth_ks

    @cached_property
    def bare_lab(self) -> Floats:
        """CIELAB of the bare cloth."""
        return self.lab_of_ks(np.zeros_like(self.bare_ks))

    def lab_of_ks(self, ks: Floats) -> Floats:
        """CIELAB of cloth whose dyes add a K/S (31,)."""
        return spaces.xyz_to_lab(spectra.reflectance_to_xyz(self.dyes.reflectance(ks)))

    # Places

    def place(self, where: Bools, *, factor: int) -> Place | None:
        """The deepest spot of a shape, with a ring about as large as the shape is there; None for an empty one.

        where : at any size; factor : full pixels along one of its pixels
        """
        spot = deepest(where)
        if spot is None:
            return None
        row, col, depth = spot
        mm = factor / self.px_per_mm
        return self.at((col + 0.5) * mm, (row + 0.5) * mm, (depth + 1) * mm)

    def at(self, x_mm: float, y_mm: float, radius_mm: float = 0.0) -> Place:
        """A place, kept on the cloth, to a tenth of a millimetre."""
        cloth = self.design.cloth
        high = cloth.width_mm * self.masks.shape[1] / self.masks.shape[2]
        x, y = min(max(x_mm, 0.0), cloth.width_mm), min(max(y_mm, 0.0), high)
        return Place(x_mm=round(float(x), 1), y_mm=round(float(y), 1), radius_mm=round(float(radius_mm), 1))

    def region_place(self, history: History) -> Place | None:
        """Where a history lies widest, with a ring large enough to show it among its neighbours."""
        place = self.place(self.rough_reached(history), factor=self.rough_factor)
        if place is None:
            return None
        return self.at(place.x_mm, place.y_mm, max(1.5 * place.radius_mm, 0.03 * self.design.cloth.width_mm))


def in_cm(mm: float) -> str:
    """A length in words: "3.5 cm", "42 cm"."""
    return f"{mm / 10:.1f} cm" if mm < 99.5 else f"{mm / 10:.0f} cm"


def colour_words(lab: ArrayLike) -> str:
    """A colour's name in full."""
    return names.colour_name(lab).name
