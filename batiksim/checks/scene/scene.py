"""What every check looks at: the design, its masks at a few scales, and the colours of its regions.

Lengths in mm become pixels here, once. Shapes are judged at working size: the masks reduced by a whole number so that a
pixel is still no larger than `WORK_MM`; a finding's size is then measured again on the full masks where that matters.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, TypedDict, TypeVar

import numpy as np
from numpy.typing import ArrayLike

from batiksim.checks.shapes.components import deepest
from batiksim.cloth.dyes_on_cloth import ClothDyes, cloth_dyes
from batiksim.cloth.loads import share_taken
from batiksim.cloth.masks import area_mean
from batiksim.cloth.outcome import History, Outcome, outcome_of
from batiksim.cloth.program import DYE, Program, design_masks
from batiksim.cloth.rules import Cover, walk
from batiksim.colour import names
from batiksim.texts.catalogue import Message, say
from batiksim.types import Bools, Bytes, Floats, Ints
from batiksim.values import Design, DyeBath, MaskUse, Place
from batiksim.values.colour_words import name_message

WORK_MM = 0.3  # assumption: half the finest gap or line that matters on cloth (see leak and hand)
T = TypeVar("T")
ROUGH_PX = 480  # width of the small picture on which regions are placed


@dataclass(frozen=True, eq=False, kw_only=True)
class State:
    """Wax just before a step, at working size: how much of each pixel is not sealed, and where most of it is."""

    opened: Bytes
    sealed: Bools

    @classmethod
    def of(cls, cover: Cover) -> State:
        """Of a walk's cover."""
        return cls(opened=np.rint(255 * cover.opened).astype(np.uint8), sealed=cover.sealed)


class Concerned(TypedDict):
    """Pots and pictures that a finding is about, each once, by the names that the design has for them."""

    pots: tuple[str, ...]
    masks: tuple[str, ...]


@dataclass(frozen=True, eq=False, kw_only=True)
class Layers:
    """The colour of one history through the steps, worked out once.

    dyeings : its dyeings, operations in order
    lab : (operations + 1, 3) CIELAB just before each operation of the program and at the end
    alone : (dyeings, 3) CIELAB of each alone on bare cloth, at the strength that it has there
    refused : (dyeings,) the share of its dye that finds no room beside earlier dye; 0 on bare fibre
    """

    dyeings: tuple[int, ...]
    lab: Floats
    alone: Floats
    refused: Floats

    @property
    def after(self) -> Floats:
        """(dyeings, 3) CIELAB just after each of them."""
        return self.lab[[o + 1 for o in self.dyeings]]


def _remembered() -> Any:
    """A field of what was worked out already."""
    return field(default_factory=dict, init=False, repr=False, compare=False)


@dataclass(frozen=True, eq=False, kw_only=True)
class Scene:
    """A design laid out for the checks.

    masks : uint8 (masks, rows, cols), 255 = fully marked, in `design_masks` order
    known : the design's outcome on these masks; worked out when left out
    """

    design: Design
    dyes: ClothDyes
    masks: Bytes
    known: Outcome | None = None
    _known_baths: dict[tuple[int, float], tuple[Floats, float]] = _remembered()
    _known_layers: dict[History, Layers] = _remembered()
    _known_places: dict[History, Place | None] = _remembered()
    _known: dict[Hashable, Any] = _remembered()

    def once(self, what: Hashable, make: Callable[[], T]) -> T:
        """What a check works out on this scene that others ask for too, worked out by the first. what : its name."""
        if what not in self._known:
            self._known[what] = make()
        known: T = self._known[what]
        return known

    @cached_property
    def outcome(self) -> Outcome:
        """What the design makes of the cloth."""
        return outcome_of(self.design, self.dyes, self.masks) if self.known is None else self.known

    @property
    def program(self) -> Program:
        """The design as operations."""
        return self.outcome.program

    @cached_property
    def histories(self) -> tuple[History, ...]:
        """The histories on the finished cloth that can be told apart, the largest first; numbered as in the outcome."""
        return tuple(history for history in self.outcome.histories if not history.mixed)

    def share(self, history: History) -> float:
        """A history's part of the cloth, 0..1."""
        return self.outcome.share(history)

    def trial(self, design: Design) -> Scene:
        """A changed design, of the same masks and dyes, at every other rough pixel: quick, close enough for shares."""
        dyes = self.dyes if design.dyes == self.design.dyes else cloth_dyes(design.cloth, design.dyes)
        places = [self.uses.index(use) for use in design_masks(design)]
        return Scene(design=design, dyes=dyes, masks=np.ascontiguousarray(self.rough[places, ::2, ::2]))

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
    def work(self) -> Bytes:
        """The masks at working size, uint8 (masks, rows, cols)."""
        return self.reduced(self.work_factor)

    @cached_property
    def rough_factor(self) -> int:
        """Full pixels along one side of a rough pixel."""
        return max(1, int(self.masks.shape[2]) // ROUGH_PX)

    @cached_property
    def rough(self) -> Bytes:
        """The masks at rough size, uint8 (masks, rows, cols)."""
        return self.reduced(self.rough_factor)

    def reduced(self, factor: int) -> Bytes:
        """The masks with so many of their pixels along one side of each new one."""
        small = [area_mean(mask, factor) for mask in self.masks]
        rows, cols = (-(-size // factor) for size in self.masks.shape[1:])
        return np.stack(small) if small else np.zeros((0, rows, cols), np.uint8)

    @cached_property
    def rough_labels(self) -> Ints:
        """The number of the history of each rough pixel; -1 where there is none like it."""
        return self.outcome.labels(self.rough)

    def rough_reached(self, history: History) -> Bools:
        """Where a history lies, at rough size."""
        same: Bools = self.rough_labels == self.outcome.number_of[history]
        return same

    # Masks and states

    @cached_property
    def uses(self) -> tuple[MaskUse, ...]:
        """The mask uses, in the order of the masks."""
        return design_masks(self.design)

    def mask(self, use: MaskUse) -> Bytes:
        """A mask at working size."""
        mask: Bytes = self.work[self.uses.index(use)]
        return mask

    def step_of(self, use: MaskUse) -> int:
        """The first step that uses a mask."""
        return next(number for number, one in self.design.mask_uses() if one == use)

    @cached_property
    def _walked(self) -> tuple[dict[int, State], dict[int, Bools]]:
        """At working size: the state before each step, and before one more; where each dyeing brings its dye."""
        states: dict[int, State] = {}
        reached: dict[int, Bools] = {}
        cover = None
        steps = (*self.program.step_of_op, len(self.design.steps) + 1)
        for moment in walk(self.program, self.work / np.float32(255)):
            if moment.cover is not cover:  # shared where nothing changed
                cover, state = moment.cover, State.of(moment.cover)
            states.setdefault(steps[moment.op], state)
            if moment.code == DYE:
                reached[moment.op] = moment.reached
        return states, reached

    def state(self, step: int) -> State:
        """The cloth just before a step (counted from 1)."""
        return self._walked[0][step]

    def brushed(self, o: int) -> Bools:
        """Where a dyeing brings dye to open cloth, at working size."""
        return self._walked[1][o]

    def ops_of(self, step: int) -> list[int]:
        """The operations of a step, in order; of a dyeing one for each pot."""
        return [o for o, number in enumerate(self.program.step_of_op) if number == step]

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
        return self.outcome.pot_of(o)

    def ops_with(self, *pots: str) -> list[int]:
        """The dyeing operations with one of some pots."""
        return [o for o in self.ops(DYE) if self.op_pot(o) in pots]

    def concerned(self, ops: Iterable[int]) -> Concerned:
        """The pots and the pictures of some operations."""
        rows = [(o, *self.program.ops[o, :2].tolist()) for o in ops]
        return Concerned(
            pots=tuple(dict.fromkeys(self.op_pot(o) for o, code, _ in rows if code == DYE)),
            masks=tuple(dict.fromkeys(self.program.masks[at].use.picture for _, _, at in rows if at >= 0)),
        )

    def layers(self, history: History) -> Layers:
        """The colour of a history through the steps."""
        if history not in self._known_layers:
            dyeings = tuple(o for o in history.reached if self.program.ops[o, 0] == DYE)
            ks, offered, amounts = self.outcome.through(history)
            baths = [self._bath(o, float(amounts[o])) for o in dyeings]
            before = offered[list(dyeings)]
            alone = np.array([lab for lab, _ in baths]).reshape(-1, 3)
            refused = np.where(before > 0, 1 - share_taken(before, np.array([load for _, load in baths])), 0.0)
            self._known_layers[history] = Layers(dyeings=dyeings, lab=self.lab_of_ks(ks), alone=alone, refused=refused)
        return self._known_layers[history]

    def _bath(self, o: int, amount: float) -> tuple[Floats, float]:
        """CIELAB of a dyeing alone on bare cloth where so much of it comes, and the full strengths that it offers."""
        key = int(self.program.ops[o, 2]), amount
        if key not in self._known_baths:
            ks, offered = self.program.alone(o, amount)
            self._known_baths[key] = self.lab_of_ks(ks), offered
        return self._known_baths[key]

    def lab(self, history: History, *, before: int | None = None) -> Floats:
        """CIELAB of a history's open cloth, at the end or just before an operation."""
        number = self.outcome.number_of[history]
        lab: Floats = self.finished[number] if before is None else self.layers(history).lab[before]
        return lab

    @cached_property
    def finished(self) -> Floats:
        """CIELAB (histories, 3) of the finished cloth."""
        return self.lab_of_ks(np.array([self.outcome.ks(history) for history in self.histories]).reshape(-1, 31))

    def pot_ks(self, name: str, level: float = 1.0) -> Floats:
        """K/S (31,) that a pot adds to open cloth at a level of 0..1."""
        return self.dyes.taken_ks([self.design.pot(name)], level=level)

    @cached_property
    def bare_lab(self) -> Floats:
        """CIELAB of the bare cloth."""
        return self.lab_of_ks(np.zeros_like(self.program.cloth_ks))

    def lab_of_ks(self, ks: Floats) -> Floats:
        """CIELAB (..., 3) of cloth whose dyes add a K/S (..., 31)."""
        return self.dyes.labs(ks)

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
        if history not in self._known_places:
            place = self.place(self.rough_reached(history), factor=self.rough_factor)
            if place is not None:
                wide = max(1.5 * place.radius_mm, 0.03 * self.design.cloth.width_mm)
                place = self.at(place.x_mm, place.y_mm, wide)
            self._known_places[history] = place
        return self._known_places[history]


def in_cm(mm: float) -> Message:
    """A length in words: "3.5 cm", "42 cm"."""
    return say("checks.cm", cm=round(float(mm) / 10, 1) if mm < 99.5 else round(float(mm) / 10))


def colour_words(lab: ArrayLike) -> Message:
    """A colour's name in full."""
    return name_message(names.colour_name(lab).name)
