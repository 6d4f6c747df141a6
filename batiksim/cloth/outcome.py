"""Regions: all spots of the cloth that took the same sequence of dyes, with their share and colour."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.cloth.loads import taken_share
from batiksim.cloth.program import DISCHARGE, DYE, REACHED, REMOVE, WAX_COVER, WAX_THIN, Program, check_masks
from batiksim.cloth.render import compiled, default_threads
from batiksim.colour import names, spaces, spectra
from batiksim.colour.gamut import xyz_to_hex
from batiksim.types import Bools, Bytes, Floats, Ints, Words
from batiksim.values import Design, Region

__all__ = [
    "HeldDye",
    "History",
    "arrivals",
    "held_dye",
    "history_names",
    "operations_of",
    "reached_bits",
    "regions_of",
    "survey",
]

BAND_PIXELS = 1 << 21  # rows are shared out in bands of about this many pixels
MOST_HISTORIES = 4096
LEAST_SHARE = 0.001
EDGES = "edges"


@dataclass(frozen=True, kw_only=True)
class History:
    """Spots of one history: the operations that reached them, how many pixels, the mean byte of each mask there.

    mixed : spots of rare histories, more than the survey tells apart, taken together; `reached` is then empty
    """

    reached: tuple[int, ...]
    pixels: int
    levels: tuple[float, ...]
    mixed: bool = False


def reached_bits(program: Program, masks: Bytes) -> Words:
    """Which operations reached each pixel, as bits: (words, rows, cols) uint64, bit o % 64 of word o // 64.

    The rule in plain numpy: a dyeing is part of a spot's history when more than half of it was open and it gave at
    least `REACHED` of a full strength; a discharge likewise, once there is dye to lose.
    """
    shape = masks.shape[1:]
    bits = np.zeros((_words(program), *shape), np.uint64)
    opened, take, dyed = np.ones(shape), np.ones(shape), np.zeros(shape, np.bool_)
    for o, ((code, mask, _, _), arg) in enumerate(zip(program.ops.tolist(), program.args.tolist(), strict=True)):
        level = np.ones(shape) if mask < 0 else masks[mask] / 255.0
        if code == WAX_COVER:
            opened = opened * (1.0 - level)
        elif code == WAX_THIN:
            take = take * (1.0 - level)
        elif code == REMOVE:
            opened, take = np.ones(shape), np.ones(shape)
        elif code in (DYE, DISCHARGE):
            amount = level * take * (arg if code == DISCHARGE else 1.0)
            hit = (opened > 0.5) & (amount >= REACHED) & (dyed | (code == DYE))
            bits[o >> 6] |= hit.astype(np.uint64) << np.uint64(o & 63)
            dyed |= hit
    return bits


def _words(program: Program) -> int:
    return max(1, (len(program.step_of_op) + 63) // 64)


def survey(program: Program, masks: Bytes, *, threads: int | None = None) -> list[History]:
    """All histories on the cloth, the largest first, what is mixed last. masks : uint8 (masks, rows, cols)."""
    check_masks(program, masks)
    kernel = compiled("survey_rows")
    count, rows, cols = masks.shape
    band = max(1, BAND_PIXELS // cols)

    def look(first: int) -> tuple[Words, Ints, Ints]:
        last = min(rows, first + band)
        if kernel is None:
            return _survey_plain(program, masks[:, first:last])
        counts = np.zeros(MOST_HISTORIES, np.int64)
        sums = np.zeros((MOST_HISTORIES, max(1, count)), np.int64)
        table = np.zeros((MOST_HISTORIES, _words(program)), np.uint64)
        used = kernel(masks, first, last, program.ops, program.args, counts, sums, table)
        return table[:used], counts[:used], sums[:used]

    with ThreadPoolExecutor(threads or default_threads()) as pool:
        found = list(pool.map(look, range(0, rows, band)))
    cracks = np.array([plane.cracks for plane in program.masks], np.bool_)
    return _merged(found, count, cracks)


def _survey_plain(program: Program, masks: Bytes) -> tuple[Words, Ints, Ints]:
    bits = reached_bits(program, masks)
    table, place = np.unique(bits.reshape(bits.shape[0], -1), axis=1, return_inverse=True)
    place = place.ravel()
    counts = np.zeros(1 + table.shape[1], np.int64)
    sums = np.zeros((len(counts), max(1, len(masks))), np.int64)
    # place 0 gathers what found no room in the compiled survey; here there is room for all
    np.add.at(counts, 1 + place, 1)
    for m, mask in enumerate(masks):
        np.add.at(sums[:, m], 1 + place, mask.ravel().astype(np.int64))
    return np.concatenate([np.zeros((1, table.shape[0]), np.uint64), table.T]), counts, sums


def _merged(found: list[tuple[Words, Ints, Ints]], masks: int, cracks: Bools) -> list[History]:
    """One history for each sequence; cracks count as clear there, for a region is told by its fully open spots."""
    pixels: dict[bytes | None, int] = {}
    sums: dict[bytes | None, Ints] = {}
    for table, counts, levels in found:
        for place, (bits, count) in enumerate(zip(table, counts.tolist(), strict=True)):
            key = None if place == 0 else bits.tobytes()
            if count:
                pixels[key] = pixels.get(key, 0) + count
                sums[key] = sums.get(key, np.zeros_like(levels[place])) + levels[place]
    histories = [
        History(
            reached=() if key is None else operations_of(np.frombuffer(key, np.uint64)),
            pixels=count,
            levels=tuple(np.where(cracks, 0.0, (sums[key] / count)[:masks]).tolist()),
            mixed=key is None,
        )
        for key, count in pixels.items()
    ]
    return sorted(histories, key=lambda history: (history.mixed, -history.pixels, history.reached))


def operations_of(words: Words) -> tuple[int, ...]:
    """The operations whose bits are set in the words of one pixel (words,), as `reached_bits` gives them."""
    return tuple(o for o in range(64 * len(words)) if int(words[o >> 6]) >> (o & 63) & 1)


def arrivals(program: Program, history: History) -> Iterator[tuple[int, float]]:
    """The dyeings and discharges of one history, in order: each operation with the level 0..1 at which it came there.

    That is the mask's mean level, less what thin wax held back.
    """
    take = 1.0
    for o, (code, mask, _, _) in enumerate(program.ops.tolist()):
        level = 1.0 if mask < 0 else history.levels[mask] / 255.0
        if code == WAX_THIN:
            take *= 1.0 - level
        elif code == REMOVE:
            take = 1.0
        elif o in history.reached:
            yield o, level * take


@dataclass(frozen=True, kw_only=True)
class HeldDye:
    """What fibre holds after some dyeings and discharges.

    ks : (31,) K/S of the dyes; loads : of each dye, full strengths
    offered : full strengths that it was offered in all, less what bleach took: tells how full it is
    """

    ks: Floats
    loads: Mapping[str, float]
    offered: float


def held_dye(program: Program, history: History, dyes: ClothDyes, design: Design) -> HeldDye:
    """What the fully open spots of one history hold."""
    ks = np.zeros_like(program.cloth_ks)
    loads: dict[str, float] = {}
    total = 0.0
    for o, level in arrivals(program, history):
        code, _, index, _ = program.ops[o].tolist()
        if code == DYE:
            x, grid = 255.0 * level, np.arange(256.0)
            offered = float(np.interp(x, grid, program.paint_load[index]))
            taken = float(taken_share(total, offered))
            ks = ks + taken * np.array([np.interp(x, grid, band) for band in program.paint_ks[index].T])
            total += offered
            for dye, load in dyes.pot_loads(design.pot(program.pots[index]), level).items():
                loads[dye] = loads.get(dye, 0.0) + taken * load
        else:
            left = 1.0 - float(program.args[o]) * level
            ks, total = ks * left, total * left
            loads = {dye: load * left for dye, load in loads.items()}
    return HeldDye(ks=ks, loads=loads, offered=total)


def regions_of(program: Program, found: list[History], dyes: ClothDyes, design: Design) -> tuple[Region, ...]:
    """Regions of the finished cloth, the largest first; those under 0.1 % are joined as "edges". Shares sum to 1.

    found : the histories that `survey` found with the same program
    """
    whole = sum(history.pixels for history in found)
    large = [history for history in found if history.pixels >= LEAST_SHARE * whole and not history.mixed]
    small = [history for history in found if history.pixels < LEAST_SHARE * whole or history.mixed]
    result = [_region(program, history, dyes, design, history.pixels / whole, None) for history in large]
    if small:
        share = sum(history.pixels for history in small) / whole
        result.append(_region(program, small[0], dyes, design, share, (EDGES,)))
    return tuple(result)


def _region(
    program: Program, history: History, dyes: ClothDyes, design: Design, share: float, steps: tuple[str, ...] | None
) -> Region:
    held = held_dye(program, history, dyes, design)
    xyz = spectra.reflectance_to_xyz(dyes.reflectance(held.ks))
    lab = spaces.xyz_to_lab(xyz)
    named = names.colour_name(lab)
    return Region(
        share=share,
        history=history_names(program, history) if steps is None else steps,
        loads=held.loads,
        hex=xyz_to_hex(xyz),
        lab=(float(lab[0]), float(lab[1]), float(lab[2])),
        name=named.name,
        plain=named.plain,
    )


def history_names(program: Program, history: History) -> tuple[str, ...]:
    """The pots and discharges of a history, in order."""
    names_of = []
    for o in history.reached:
        code, _, index, _ = program.ops[o].tolist()
        names_of.append(program.pots[index] if code == DYE else "discharge")
    return tuple(names_of)
