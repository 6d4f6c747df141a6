"""The engine's rules in plain numpy float64: what the compiled kernel is held against, and the fallback without it.

A pixel is a set of parts, each with a share of its area, the dye it holds, and whether wax seals it. A waxing splits
every open part by its cover; a dyeing adds K/S to open parts; the pixel shows the mean reflectance of its parts. A
pixel has as many parts as it needs, the first in the list; beyond them its share is 0.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from batiksim.cloth.loads import taken_share
from batiksim.cloth.program import DISCHARGE, DYE, MOST_PARTS, PLATE, REMOVE, WAX_COVER, WAX_THIN, Program
from batiksim.colour import kubelka_munk, spaces, spectra
from batiksim.colour.gamut import fit_to_srgb
from batiksim.types import Bools, Bytes, Floats, Ints

__all__ = ["render_reference", "view_weights"]

BLOCK_PIXELS = 1 << 15


@lru_cache(maxsize=8)
def view_weights(light: str) -> Floats:
    """Reflectance (31,) @ weights (31, 3) = linear sRGB of the surface under a light, adapted to D65."""
    weights = spectra.light_weights(light)
    if light != "D65":
        weights = spaces.adapt(weights, spectra.white_point(light), spectra.white_point("D65"))
    return spaces.xyz_to_linear_srgb(weights)


@dataclass
class _Part:
    share: Floats
    ks: Floats
    total: Floats
    closed: Bools


class _Cloth:
    """The pixels of one block, as the steps go by."""

    def __init__(self, program: Program, count: int) -> None:
        self.program = program
        self.take = np.ones(count)
        self.used = np.zeros(count, np.int64)
        self.parts: list[_Part] = []
        self.put(np.arange(count), np.ones(count), None)

    def put(self, pixels: Ints, share: Floats, source: _Part | None) -> None:
        """Give each of these pixels one more part, with the dye of `source`, closed; without one, bare and open."""
        count, bands = self.take.shape[0], self.program.cloth_ks.shape[0]
        while len(self.parts) <= self.used[pixels].max(initial=-1):
            self.parts.append(_Part(np.zeros(count), np.zeros((count, bands)), np.zeros(count), np.zeros(count, bool)))
        for number in np.unique(self.used[pixels]):
            here = pixels[self.used[pixels] == number]
            part = self.parts[number]
            part.share[here] = share[here]
            if source is not None:
                part.ks[here], part.total[here], part.closed[here] = source.ks[here], source.total[here], True
        self.used[pixels] += 1

    def wax(self, cover: Floats) -> None:
        for number in range(len(self.parts)):
            part = self.parts[number]
            open_here = ~part.closed & (number < self.used)
            room = self.used < MOST_PARTS
            part.closed = part.closed | (open_here & ((cover == 1.0) | (~room & (cover > 0.5))))
            split = np.flatnonzero(open_here & room & (cover > 0.0) & (cover < 1.0))
            self.put(split, part.share * cover, part)
            part.share[split] *= 1.0 - cover[split]

    def dye(self, ks_table: Floats, load_table: Floats, level: Floats) -> None:
        x = level * self.take
        row = np.minimum(x.astype(np.int64), 254)
        t = x - row
        ks = ks_table[row] + t[:, None] * (ks_table[row + 1] - ks_table[row])
        offered = load_table[row] + t * (load_table[row + 1] - load_table[row])
        for part in self.parts:
            wet = ~part.closed
            part.ks = part.ks + np.where(wet, taken_share(part.total, offered), 0.0)[:, None] * ks
            part.total = np.where(wet, part.total + offered, part.total)

    def discharge(self, strength: float, level: Floats) -> None:
        left = 1.0 - strength * level * self.take / 255.0
        for part in self.parts:
            kept = np.where(part.closed, 1.0, left)
            part.ks = part.ks * kept[:, None]
            part.total = part.total * kept

    def remove(self) -> None:
        self.take = np.ones_like(self.take)
        for part in self.parts:
            part.closed = np.zeros_like(part.closed)

    def plate(self, wax_shown: bool) -> Bytes:
        program = self.program
        weights = view_weights(program.light)
        linear = np.zeros((self.take.shape[0], 3))
        for part in self.parts:
            bare = kubelka_munk.reflectance_from_ks(program.cloth_ks + part.ks, surface=program.surface)
            seen = kubelka_munk.wet_reflectance(bare) if program.look == "wet" else bare
            if wax_shown:
                waxed = np.where(part.closed, 1.0, 1.0 - self.take)[:, None]
                seen = waxed * kubelka_munk.waxed_reflectance(bare) + (1.0 - waxed) * seen
            linear += part.share[:, None] * (seen @ weights)
        xyz = spaces.linear_srgb_to_xyz(linear)
        plate: Bytes = np.rint(fit_to_srgb(xyz) * 255.0).astype(np.uint8)
        return plate


def _render_block(program: Program, levels: Floats) -> Bytes:
    """Levels (masks, pixels) 0..255 -> (plates, pixels, 3)."""
    count = levels.shape[1]
    cloth = _Cloth(program, count)
    plates = np.zeros((len(program.plates), count, 3), np.uint8)
    for (code, mask, index, shown), arg in zip(program.ops.tolist(), program.args.tolist(), strict=True):
        level = np.full(count, 255.0) if mask < 0 else levels[mask]
        if code == WAX_COVER:
            cloth.wax(level / 255.0)
        elif code == WAX_THIN:
            cloth.take = cloth.take * (1.0 - level / 255.0)
        elif code == DYE:
            cloth.dye(program.paint_ks[index], program.paint_load[index], level)
        elif code == DISCHARGE:
            cloth.discharge(arg, level)
        elif code == REMOVE:
            cloth.remove()
        elif code == PLATE:
            plates[index] = cloth.plate(bool(shown))
    return plates


def render_reference(program: Program, masks: Bytes) -> Bytes:
    """Every plate, pixel by pixel in float64: shapes as `engine.render`."""
    count, rows, cols = masks.shape
    flat = masks.reshape(count, rows * cols)
    plates = np.empty((len(program.plates), rows * cols, 3), np.uint8)
    for start in range(0, rows * cols, BLOCK_PIXELS):
        block = flat[:, start : start + BLOCK_PIXELS].astype(np.float64)
        plates[:, start : start + BLOCK_PIXELS] = _render_block(program, block)
    return plates.reshape(len(program.plates), rows, cols, 3)
