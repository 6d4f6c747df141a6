"""The rules of the cloth, once: what each step does to the open share, to wax and to dye.

One spot, a table of histories, rows of a picture: arrays of any shape go the same walk. The compiled `kernel.py` is
held against it by tests, and whoever asks what lies open, what a step reaches or what fibre holds reads it here or in
the `Outcome`, which is made from it.

A pixel is a set of parts, each with a share of its area, the dye that it holds, and whether wax seals it. A waxing of
cover a seals the share a of every open part, independently of earlier edges. Dye and bleach reach open parts only.
Thin wax doesn't seal: it scales what open parts take.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import DTypeLike

from batiksim.cloth.loads import share_taken
from batiksim.cloth.program import (
    DISCHARGE,
    DYE,
    KEY_BITS,
    KEYS_A_WORD,
    LEAST_REACH,
    MOST_PARTS,
    REMOVE,
    WAX_COVER,
    WAX_THIN,
    Program,
)
from batiksim.colour import kubelka_munk, spaces
from batiksim.colour.gamut import fit_to_srgb
from batiksim.colour.viewing import seen_weights
from batiksim.types import Bools, Bytes, Floats, Ints, Words

BLOCK_PIXELS = 1 << 15
BEYOND = 1 << 30  # sorts behind the number of any part

# How much of a pot or of bleach came to a spot, told apart in classes: a history's key holds one for each operation, 0
# where it wasn't reached. The steps are finest, by ratio, where little dye came and where bleach left little.
AMOUNT_CLASSES = np.array(
    [LEAST_REACH, 0.13, 0.17, 0.22, 0.28, 0.35, 0.43, 0.52, 0.61, 0.69, 0.76, 0.82, 0.88, 0.94, 0.98]
)


@dataclass(frozen=True, eq=False, kw_only=True)
class Cover:
    """Wax at each spot. opened : the share that isn't sealed; take : the share of dye that thin wax lets through."""

    opened: Floats
    take: Floats

    @classmethod
    def bare(cls, shape: tuple[int, ...], dtype: DTypeLike = np.float64) -> Cover:
        """Cloth without wax."""
        return cls(opened=np.ones(shape, dtype), take=np.ones(shape, dtype))

    @property
    def sealed(self) -> Bools:
        """Where most of the spot is sealed, so that no dye counts as reaching it."""
        return self.opened <= 0.5

    @property
    def keeps_out(self) -> Bools:
        """Where no pot counts as reaching the spot: sealed, or under wax so thick that it lets next to none in."""
        return self.sealed | (self.take < LEAST_REACH)

    @property
    def under_wax(self) -> Floats:
        """How much of the spot wax keeps from taking dye, sealing or thin, 0..1."""
        return 1 - self.opened * self.take

    def waxed(self, level: Floats, *, seals: bool) -> Cover:
        """After a waxing."""
        return replace(self, **({"opened": self.opened * (1 - level)} if seals else {"take": self.take * (1 - level)}))


@dataclass(frozen=True, eq=False, kw_only=True)
class Part:
    """One part of every pixel; arrays of the walk's shape.

    share : of the pixel's area, 0 where a pixel has no such part; number : among the pixel's parts, as they came about
    loads : (..., dyes) full strengths held; offered : full strengths offered in all, less what bleach took
    """

    share: Floats
    number: Ints
    loads: Floats
    offered: Floats


@dataclass(frozen=True, eq=False, kw_only=True)
class Fibre:
    """The parts of every pixel. count : how many each pixel has; at `MOST_PARTS` edges are rounded instead of split."""

    open: tuple[Part, ...]
    sealed: tuple[Part, ...]
    count: Ints

    @classmethod
    def bare(cls, shape: tuple[int, ...], dyes: int) -> Fibre:
        """Undyed cloth without wax."""
        zero = np.zeros(shape)
        part = Part(share=np.ones(shape), number=zero.astype(int), loads=np.zeros((*shape, dyes)), offered=zero)
        return cls(open=(part,), sealed=(), count=np.ones(shape, int))

    def waxed(self, level: Floats) -> Fibre:
        """After wax that seals a share `level` of every open part."""
        left, sealed, count = [], list(self.sealed), self.count
        for part in self.open:
            cover = np.where((count < MOST_PARTS) | (level == 1), level, level > 0.5)
            splits = (cover > 0) & (cover < 1) & (part.share > 0)
            left.append(replace(part, share=part.share * (1 - cover)))
            sealed.append(replace(part, share=part.share * cover, number=np.where(splits, count, part.number)))
            count = count + splits
        return Fibre(open=tuple(left), sealed=tuple(sealed), count=count)

    def dyed(self, offer: Floats) -> Fibre:
        """After a pot offered open fibre its dyes, (..., dyes) full strengths: the fuller it is, the less it takes."""
        offered = offer.sum(axis=-1)

        def after(part: Part) -> Part:
            taken = share_taken(part.offered, offered)[..., None] * offer
            return replace(part, loads=part.loads + taken, offered=part.offered + offered)

        return replace(self, open=tuple(map(after, self.open)))

    def bleached(self, left: Floats) -> Fibre:
        """After bleach left a share of the dye in open fibre, which has as much more room then."""
        return replace(
            self, open=tuple(replace(p, loads=p.loads * left[..., None], offered=p.offered * left) for p in self.open)
        )

    def cleared(self) -> Fibre:
        """After the wax came out: all parts are open, in the order in which they came about."""
        parts = (*self.open, *self.sealed)
        share, number, offered = (np.stack([getattr(p, key) for p in parts]) for key in ("share", "number", "offered"))
        loads = np.stack([part.loads for part in parts])
        order = np.argsort(np.where(share > 0, number, BEYOND), axis=0, kind="stable")[: int(self.count.max(initial=1))]
        share, number, offered = (np.take_along_axis(values, order, axis=0) for values in (share, number, offered))
        loads = np.take_along_axis(loads, order[..., None], axis=0)
        rows = zip(share, number, loads, offered, strict=True)
        opened = tuple(Part(share=s, number=n, loads=held, offered=o) for s, n, held, o in rows)
        return Fibre(open=opened, sealed=(), count=self.count)


@dataclass(frozen=True, eq=False, kw_only=True)
class Moment:
    """One operation of a program and the cloth just before it; arrays of the walk's shape.

    op, code : the operation's number and kind; `len(program.ops)` and -1 for the cloth at the end
    level : of its mask, 0..1; 1 without a mask
    amount : how much of a pot open fibre is offered, how much of its dye a discharge takes; of wax, its level
    reached : whether it becomes part of the spot's history
    fibre : what is held; None unless the walk follows it
    """

    op: int
    code: int
    level: Floats
    cover: Cover
    amount: Floats
    reached: Bools
    fibre: Fibre | None

    @property
    def worked(self) -> Floats:
        """The share of each pixel that it works on: newly waxed, dyed, bleached, or cleared of wax."""
        if self.code == REMOVE:
            return self.cover.under_wax
        return self.cover.opened * self.level * (1 if self.code == WAX_COVER else self.cover.take)


def walk(
    program: Program, levels: Floats, *, fibre: bool = False, only: Bools | None = None, open_only: bool = False
) -> Iterator[Moment]:
    """Go through a program's operations in order, and once more at the end.

    levels : (masks, ...) 0..1, of the program's masks; float32 or float64
    fibre : whether to follow what fibre holds
    only : (ops, ...), where dyeings and discharges count; everywhere when left out
    open_only : follow open fibre alone, as if no part were ever sealed: for spots whose history is told by `only`
    """
    shape, kind = levels.shape[1:], levels.dtype
    cover, whole, dyed = Cover.bare(shape, kind), np.ones(shape, kind), np.zeros(shape, bool)
    held = Fibre.bare(shape, len(program.dyes)) if fibre else None
    nowhere = np.zeros(shape, bool)
    for op, ((code, mask, paint), arg) in enumerate(zip(program.ops.tolist(), program.args.tolist(), strict=True)):
        level = whole if mask < 0 else levels[mask]
        amount, reached = level, nowhere
        if code in (DYE, DISCHARGE):
            amount = level * cover.take * (arg if code == DISCHARGE else 1.0)
            reached = ~cover.sealed & (amount >= LEAST_REACH)
            reached = reached if code == DYE else reached & dyed
        yield Moment(op=op, code=code, level=level, cover=cover, amount=amount, reached=reached, fibre=held)
        if held is not None:
            counted = amount if only is None or code not in (DYE, DISCHARGE) else np.where(only[op], amount, 0.0)
            held = _fibre_after(program, held, code, paint, counted, open_only)
        if code in (WAX_COVER, WAX_THIN):
            cover = cover.waxed(level, seals=code == WAX_COVER)
        elif code == REMOVE:
            cover = Cover.bare(shape, kind)
        elif code == DYE:
            dyed = dyed | reached
    yield Moment(op=len(program.ops), code=-1, level=whole, cover=cover, amount=whole, reached=nowhere, fibre=held)


def _fibre_after(program: Program, held: Fibre, code: int, paint: int, amount: Floats, open_only: bool) -> Fibre:
    if code == DYE:
        return held.dyed(_between_levels(program.loads[paint], 255 * amount))
    if code == DISCHARGE:
        return held.bleached(1 - amount)
    if open_only or code == WAX_THIN:
        return held
    return held.waxed(amount) if code == WAX_COVER else held.cleared()


def _between_levels(table: Floats, x: Floats) -> Floats:
    """Rows of a table (256, dyes) at mask levels x (...) of 0..255, in a straight line between two levels."""
    row = np.minimum(x.astype(int), 254)
    offered: Floats = table[row] + (x - row)[..., None] * (table[row + 1] - table[row])
    return offered


# Histories: which operations reached a spot, and how much came


def key_words(program: Program) -> int:
    """How many words a history's key has."""
    return max(1, -(-len(program.ops) // KEYS_A_WORD))


def history_keys(program: Program, masks: Bytes, thresholds: Floats = AMOUNT_CLASSES) -> Words:
    """What each pixel went through: (words, ...) uint64, four bits an operation, the class of what came there or 0.

    masks : uint8 (masks, ...); thresholds : of the classes, at most 15, rising from `LEAST_REACH`

    A dyeing is part of a spot's history where more than half of the spot was open and it gave at least `LEAST_REACH` of
    a full strength; a discharge likewise, once there is dye to lose.
    """
    keys = np.zeros((key_words(program), *masks.shape[1:]), np.uint64)
    for moment in walk(program, masks / 255.0):
        if moment.code in (DYE, DISCHARGE):
            found = np.searchsorted(thresholds, moment.amount, side="right").astype(np.uint64)
            shift = np.uint64(KEY_BITS * (moment.op % KEYS_A_WORD))
            keys[moment.op // KEYS_A_WORD] |= np.where(moment.reached, found, np.uint64(0)) << shift
    return keys


def key_classes(keys: Words, ops: int) -> Bytes:
    """The class of each operation, uint8 (ops, ...), of keys (words, ...)."""
    shifts = (KEY_BITS * (np.arange(ops) % KEYS_A_WORD)).astype(np.uint64).reshape(-1, *[1] * (keys.ndim - 1))
    return (keys[np.arange(ops) // KEYS_A_WORD] >> shifts & np.uint64(15)).astype(np.uint8)


# Plates: the plain twin of the compiled engine


@lru_cache(maxsize=8)
def view_weights(light: str) -> Floats:
    """Reflectance (31,) @ weights (31, 3) = linear sRGB of the surface under a light, adapted to D65."""
    return spaces.xyz_to_linear_srgb(seen_weights(light))


def render_plain(program: Program, masks: Bytes) -> Bytes:
    """Every plate, pixel by pixel in float64; shapes as `render.render`."""
    count, rows, cols = masks.shape
    flat = masks.reshape(count, rows * cols)
    plates = np.empty((len(program.plates), rows * cols, 3), np.uint8)
    for start in range(0, rows * cols, BLOCK_PIXELS):
        pixels = slice(start, start + BLOCK_PIXELS)
        plates[:, pixels] = _plates_of(program, flat[:, pixels] / 255.0)
    return plates.reshape(len(program.plates), rows, cols, 3)


def _plates_of(program: Program, levels: Floats) -> Bytes:
    """Levels (masks, pixels) 0..1 -> (plates, pixels, 3)."""
    plates = np.zeros((len(program.plates), levels.shape[1], 3), np.uint8)
    due = program.plate_rows.tolist()
    for moment in walk(program, levels, fibre=True):
        while due and due[0][0] == moment.op:
            _, slot, shown = due.pop(0)
            plates[slot] = _plate(program, moment, bool(shown))
    return plates


def _plate(program: Program, moment: Moment, wax_shown: bool) -> Bytes:
    assert moment.fibre is not None
    thin = (1 - moment.cover.take)[:, None] if wax_shown else np.zeros((1, 1))
    linear = sum((_shown(program, part, thin) for part in moment.fibre.open), np.zeros((len(moment.level), 3)))
    for part in moment.fibre.sealed:
        linear = linear + _shown(program, part, np.full((1, 1), float(wax_shown)))
    plate: Bytes = np.rint(fit_to_srgb(spaces.linear_srgb_to_xyz(linear)) * 255).astype(np.uint8)
    return plate


def _shown(program: Program, part: Part, waxed: Floats) -> Floats:
    """Linear RGB (pixels, 3) that a part adds to a plate. waxed : (pixels or 1, 1) how much of it shows through wax."""
    bare = kubelka_munk.reflectance_from_ks(program.cloth_ks + part.loads @ program.dye_ks, surface=program.surface)
    seen = kubelka_munk.wet_reflectance(bare) if program.look == "wet" else bare
    seen = waxed * kubelka_munk.waxed_reflectance(bare) + (1 - waxed) * seen
    return part.share[:, None] * (seen @ view_weights(program.light))
