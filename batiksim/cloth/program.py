"""A design worked out into a short list of operations that the engine runs for every spot of the cloth.

Here dyes become spectra and pots become tables. Both engines (`kernel.py`, `rules.py`) run the same program.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.cloth.loads import share_taken
from batiksim.types import Bytes, Floats, Ints, Look
from batiksim.values import Design, Discharge, DyeBath, MaskUse, Paint, RemoveWax, Step, Wax
from batiksim.values.light_words import check_light, check_look

WAX_COVER, WAX_THIN, DYE, DISCHARGE, REMOVE = range(5)

# Parts of one pixel with histories of their own (a soft edge that is waxed, dyed, cleared and waxed again). Without
# removal between dyeings there is at most one more than waxings. When full, an edge is rounded to closed or open.
MOST_PARTS = 48

# A dyeing or discharge is part of a spot's history when most of the spot was open and it gave at least this much of a
# full strength (assumption: less than a tenth doesn't show beside its neighbours).
LEAST_REACH = 0.1

# The key of a history has so many bits for each operation: see `rules.history_keys`.
KEY_BITS = 4
KEYS_A_WORD = 64 // KEY_BITS


@dataclass(frozen=True, kw_only=True)
class Emit:
    """One plate to be made: the cloth after `step` steps; finished = with all wax out."""

    step: int
    finished: bool = False


@dataclass(frozen=True, kw_only=True)
class MaskPlane:
    """One plane of the engine's mask stack.

    use : the mask picture behind it
    step, paint : 0 for the mask as drawn, which all steps share; else the step that lays it on in its own way (cracked,
        crept), and which of its paints, from 1
    cracks : the pixels of this waxing that a crack runs through, kept apart from the rest of its wax: what is left of
        the wax there, taken as thin. A crack is finer than a thread, and a thread that dye creeps into takes a weaker
        load; it doesn't become half undyed and half dark
    """

    use: MaskUse
    step: int = 0
    paint: int = 0
    cracks: bool = False


@dataclass(frozen=True, eq=False, kw_only=True)
class Program:
    """What the engines run.

    ops : int64 (ops, 3): code, mask index or -1, paint index. What is done to the cloth, whichever plates are asked for
    plate_rows : int64 (plates, 3), sorted: after how many operations, place in `plates`, 1 = wax shown
    args : float64 (ops,): strength of a discharge
    loads : float64 (paints, 256, dyes): full strengths of each dye that a paint mask's level offers
    dyes : the dyes' names; dye_ks : float64 (dyes, 31): K/S of a full strength of each
    cloth_ks : float64 (31,); surface : Kubelka-Munk surface floor
    look, light : how plates are seen
    masks : the planes that index into the stack, in order
    plates : what each plate shows, in order
    pots : the pot's name for each paint index
    step_of_op : the step each operation belongs to, from 1
    """

    ops: Ints
    plate_rows: Ints
    args: Floats
    loads: Floats
    dye_ks: Floats
    cloth_ks: Floats
    surface: float
    look: Look
    light: str
    masks: tuple[MaskPlane, ...]
    plates: tuple[Emit, ...]
    pots: tuple[str, ...] = ()
    dyes: tuple[str, ...] = ()
    step_of_op: tuple[int, ...] = ()

    def offer(self, op: int, amount: float) -> Floats:
        """Full strengths of each dye (dyes,) that a dyeing offers where so much of its pot comes, 0..1.

        Between two levels of a paint mask in a straight line.
        """
        table, x = self.loads[int(self.ops[op, 2])], 255 * amount
        row = min(int(x), 254)
        offered: Floats = table[row] + (x - row) * (table[row + 1] - table[row])
        return offered

    def alone(self, op: int, amount: float) -> tuple[Floats, float]:
        """K/S (31,) of a dyeing alone on bare cloth where so much of its pot comes; full strengths that it offers."""
        offer = self.offer(op, amount)
        ks: Floats = share_taken(0.0, offer.sum()) * offer @ self.dye_ks
        return ks, float(offer.sum())

    def is_cracks(self, o: int) -> bool:
        """Whether operation `o` is about the cracks of the waxing before it."""
        return bool(self.ops[o, 1] >= 0 and self.masks[int(self.ops[o, 1])].cracks)


def check_masks(program: Program, masks: Bytes) -> None:
    """ValueError unless masks are uint8 (masks, rows, cols), one for each plane of the program."""
    if masks.ndim != 3 or masks.dtype != np.uint8 or masks.shape[0] != len(program.masks):
        raise ValueError(f"masks must be uint8 ({len(program.masks)}, rows, cols), not {masks.dtype} {masks.shape}")


def design_masks(design: Design) -> tuple[MaskUse, ...]:
    """Every mask of a design once, as drawn, in order of first use."""
    return tuple(dict.fromkeys(use for _, use in design.mask_uses()))


def design_planes(design: Design) -> tuple[MaskPlane, ...]:
    """The order of the engine's mask stack: masks that some step takes as drawn, then those with effects.

    A design without effects has the planes of `design_masks`, in the same order.
    """
    found = [act.where for act in _acts(design.steps) if act.where is not None]
    return tuple(dict.fromkeys(sorted(found, key=lambda plane: (plane.step, plane.paint))))


def wax_plane(number: int, step: Wax) -> MaskPlane:
    """Where the wax of step `number` lies."""
    return MaskPlane(use=step.mask, step=number if step.shaped else 0)


def crack_plane(number: int, step: Wax) -> MaskPlane | None:
    """What is left of the wax of step `number` where it cracked; None = it has no cracks, or doesn't seal anyway."""
    return MaskPlane(use=step.mask, step=number, cracks=True) if step.seals and step.crackle > 0 else None


def paint_plane(number: int, place: int, paint: Paint) -> MaskPlane | None:
    """Where a paint of step `number`, the `place`th of it from 1, comes to lie; None = everywhere."""
    if paint.where is None:
        return None
    return MaskPlane(use=paint.where, step=number, paint=place) if paint.creeps else MaskPlane(use=paint.where)


def all_plates(design: Design) -> tuple[Emit, ...]:
    """The bare cloth, the cloth after each step, the finished cloth."""
    last = len(design.steps)
    return (*(Emit(step=number) for number in range(last + 1)), Emit(step=last, finished=True))


class _Act(NamedTuple):
    """One operation of a step, before its mask and its pot have numbers. strength : of a discharge."""

    step: int
    code: int
    where: MaskPlane | None = None
    pot: str | None = None
    strength: float = 0.0


def _acts(steps: Sequence[Step]) -> Iterator[_Act]:
    """What steps do to the cloth, in order."""
    for number, step in enumerate(steps, start=1):
        if isinstance(step, Wax):
            yield _Act(number, WAX_COVER if step.seals else WAX_THIN, wax_plane(number, step))
            if (cracks := crack_plane(number, step)) is not None:
                yield _Act(number, WAX_THIN, cracks)
        elif isinstance(step, DyeBath):
            for place, paint in enumerate(step.paints, start=1):
                yield _Act(number, DYE, paint_plane(number, place, paint), pot=paint.pot)
        elif isinstance(step, Discharge):
            where = None if step.where is None else MaskPlane(use=step.where)
            yield _Act(number, DISCHARGE, where, strength=step.strength)
        elif isinstance(step, RemoveWax):
            yield _Act(number, REMOVE)


def compile_design(
    design: Design,
    dyes: ClothDyes,
    *,
    plates: tuple[Emit, ...] | None = None,
    wax_shown: bool = True,
    look: Look = "dry",
    light: str = "D65",
) -> Program:
    """The program of a design.

    plates : which to make; all of them when left out
    wax_shown : whether wax still on the cloth is seen (darker, clearer, faintly warm) or only the dye beneath
    Raises BatikError for a light or a look that there is not.
    """
    wanted = all_plates(design) if plates is None else plates
    acts = list(_acts(design.steps[: max((plate.step for plate in wanted), default=0)]))
    masks = design_planes(design)
    pots = tuple(dict.fromkeys(act.pot for act in acts if act.pot is not None))
    ops = [
        (act.code, -1 if act.where is None else masks.index(act.where), 0 if act.pot is None else pots.index(act.pot))
        for act in acts
    ]
    # A finished plate shows the cloth as if the wax came out now; the wax itself stays for the steps after.
    plate_rows = [
        (sum(act.step <= plate.step for act in acts), slot, int(wax_shown and not plate.finished))
        for slot, plate in enumerate(wanted)
    ]
    tables = [dyes.pot_table(design.pot(name)) for name in pots]
    return Program(
        ops=np.array(ops, dtype=np.int64).reshape(-1, 3),
        plate_rows=np.array(sorted(plate_rows), dtype=np.int64).reshape(-1, 3),
        args=np.array([act.strength for act in acts], dtype=np.float64),
        loads=np.stack(tables) if tables else np.zeros((1, 256, len(dyes.dyes))),
        dye_ks=np.stack([dye.ks for dye in dyes.dyes.values()]) if dyes.dyes else np.zeros((0, 31)),
        cloth_ks=dyes.cloth_ks,
        surface=dyes.surface,
        look=check_look(look),
        light=check_light(light),
        masks=masks,
        plates=wanted,
        pots=pots,
        dyes=tuple(dyes.dyes),
        step_of_op=tuple(act.step for act in acts),
    )
