"""A design worked out into a short list of operations that the engine runs for every spot of the cloth.

Here dyes become spectra and pots become tables. Both engines (`kernel.py`, `rules.py`) run the same program.
"""

from dataclasses import dataclass

import numpy as np

from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.types import Bytes, Floats, Ints, Look
from batiksim.values import Design, Discharge, DyeBath, MaskUse, Paint, RemoveWax, Step, Wax

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


@dataclass(frozen=True, kw_only=True)
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
    found = [plane for number, step in enumerate(design.steps, start=1) for plane in _planes(number, step)]
    return tuple(dict.fromkeys(sorted(found, key=lambda plane: (plane.step, plane.paint))))


def _planes(number: int, step: Step) -> list[MaskPlane]:
    if isinstance(step, DyeBath):
        paints = enumerate(step.paints, start=1)
        return [plane for place, paint in paints if (plane := paint_plane(number, place, paint)) is not None]
    if isinstance(step, Wax):
        cracks = crack_plane(number, step)
        return [wax_plane(number, step)] if cracks is None else [wax_plane(number, step), cracks]
    return [MaskPlane(use=step.where)] if isinstance(step, Discharge) and step.where is not None else []


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


class _Builder:
    def __init__(self, design: Design, dyes: ClothDyes, plates: tuple[Emit, ...], wax_shown: bool) -> None:
        self.dyes = dyes
        self.masks = design_planes(design)
        self.plates = plates
        self.wax_shown = int(wax_shown)
        self.ops: list[tuple[int, int, int]] = []
        self.plate_rows: list[tuple[int, int, int]] = []
        self.args: list[float] = []
        self.at: list[int] = []
        self.number = 0
        self.paints: dict[str, int] = {}
        self.design = design

    def add(self, code: int, where: MaskPlane | None = None, index: int = 0, arg: float = 0.0) -> None:
        self.ops.append((code, -1 if where is None else self.masks.index(where), index))
        self.args.append(arg)
        self.at.append(self.number)

    def emit(self, step: int) -> None:
        # A finished plate shows the cloth as if the wax came out now; the wax itself stays for the steps after.
        for slot, plate in enumerate(self.plates):
            if plate.step == step:
                self.plate_rows.append((len(self.ops), slot, 0 if plate.finished else self.wax_shown))

    def step(self, step: Step) -> None:
        if isinstance(step, Wax):
            self.add(WAX_COVER if step.seals else WAX_THIN, wax_plane(self.number, step))
            cracks = crack_plane(self.number, step)
            if cracks is not None:
                self.add(WAX_THIN, cracks)
        elif isinstance(step, DyeBath):
            for place, paint in enumerate(step.paints, start=1):
                self.add(DYE, paint_plane(self.number, place, paint), self.paint(paint))
        elif isinstance(step, Discharge):
            where = None if step.where is None else MaskPlane(use=step.where)
            self.add(DISCHARGE, where, arg=step.strength)
        elif isinstance(step, RemoveWax):
            self.add(REMOVE)

    def paint(self, paint: Paint) -> int:
        return self.paints.setdefault(paint.pot, len(self.paints))


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
    """
    wanted = all_plates(design) if plates is None else plates
    builder = _Builder(design, dyes, wanted, wax_shown)
    last = max((plate.step for plate in wanted), default=0)
    builder.emit(0)
    for number, step in enumerate(design.steps[:last], start=1):
        builder.number = number
        builder.step(step)
        builder.emit(number)
    tables = [dyes.pot_table(design.pot(name)) for name in builder.paints]
    return Program(
        ops=np.array(builder.ops, dtype=np.int64).reshape(-1, 3),
        plate_rows=np.array(builder.plate_rows, dtype=np.int64).reshape(-1, 3),
        args=np.array(builder.args, dtype=np.float64),
        loads=np.stack(tables) if tables else np.zeros((1, 256, len(dyes.dyes))),
        dye_ks=np.stack([dye.ks for dye in dyes.dyes.values()]) if dyes.dyes else np.zeros((0, 31)),
        cloth_ks=dyes.cloth_ks,
        surface=dyes.surface,
        look=look,
        light=light,
        masks=builder.masks,
        plates=wanted,
        pots=tuple(builder.paints),
        dyes=tuple(dyes.dyes),
        step_of_op=tuple(builder.at),
    )
