"""Cloths of known plans, drawn by the engine, to be planned again from their pictures."""

from __future__ import annotations

import numpy as np
from scipy import ndimage

from batiksim.cloth.dyes_on_cloth import cloth_dyes
from batiksim.cloth.program import Emit, compile_design, design_masks
from batiksim.cloth.render import render
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.spaces import decode_srgb, linear_srgb_to_xyz, xyz_to_lab
from batiksim.files.toml.dyebooks import DEMO, read_book
from batiksim.picture_plan.palette import bath_pot
from batiksim.values import Cloth, Design, DyeBath, MaskUse, Paint, Wax

WIDTH_MM = 450.0
BOOK = read_book(DEMO)
CLOTH = Cloth(width_mm=WIDTH_MM)
DYES = cloth_dyes(CLOTH, BOOK.dyes)


def shapes(count, rows, cols, *, seed):
    """Smooth shapes to wax, uint8 (count, rows, cols), edges about two pixels soft, each of a sixth of the cloth."""
    rng = np.random.default_rng(seed)
    sigma = cols / 40
    masks = np.empty((count, rows, cols), np.uint8)
    for mask in masks:
        field = ndimage.gaussian_filter(rng.normal(size=(rows, cols)), sigma, mode="wrap")
        level = np.quantile(field, 0.84)
        slope = np.median(np.hypot(*np.gradient(field)))
        mask[:] = np.rint(np.clip((field - level) / slope / 2 + 0.5, 0, 1) * 255)
    return masks


def known_design(plan, waxed=None, painted=None):
    """A design of these dyeings; waxed : whether each has wax before it; painted : pictures of each one's pots."""
    steps, pots = [], []
    for at, dyeing in enumerate(plan):
        if waxed is None or waxed[at]:
            steps.append(Wax(mask=MaskUse(picture=f"wax-{at}.png", marks="dark")))
        paints = []
        for place, bath in enumerate(dyeing):
            pots.append(bath_pot(bath, f"pot {at} {place}"))
            where = MaskUse(picture=f"brush-{at}-{place}.png", marks="dark") if painted and painted[at] else None
            paints.append(Paint(pot=pots[-1].name, where=where))
        steps.append(DyeBath(paints=tuple(paints)))
    return Design(title="known", cloth=CLOTH, dyes=BOOK.dyes, pots=tuple(pots), steps=tuple(steps))


def finished(design, masks):
    """The finished cloth of a design, uint8 (rows, cols, 3); masks : by the name of their picture."""
    stack = np.stack([masks[use.picture] for use in design_masks(design)])
    emit = Emit(step=len(design.steps), finished=True)
    return render(compile_design(design, cloth_dyes(design.cloth, design.dyes), plates=(emit,)), stack)[0]


def lab(rgb):
    return xyz_to_lab(linear_srgb_to_xyz(decode_srgb(rgb / 255.0)))


def mean_difference(one, other):
    """Mean CIEDE2000 of two pictures, every other pixel."""
    return float(delta_e_2000(lab(one[::2, ::2]), lab(other[::2, ::2])).mean())


def overlap(one, other):
    """Shared pixels over all pixels of either."""
    return float((one & other).sum() / (one | other).sum())


def open_after(masks):
    """What is open (dyeings, rows, cols) when each dyeing comes; masks : uint8, the wax before each."""
    return np.cumprod(1 - masks / 255.0, axis=0) > 0.5
