"""Invented inputs of any size: soft-edged wax masks as a brush leaves them, noise, and designs to go with them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage

from batiksim.files.toml.designs import write_design
from batiksim.values import Cloth, Design, Dye, DyeBath, MaskUse, Paint, Wax

Bytes = NDArray[np.uint8]
DYES = ("#f0d92e", "#e0567a", "#2f8f9d", "#1d2b53")  # invented


def soft_masks(count: int, rows: int, cols: int, *, seed: int = 0) -> Bytes:
    """Blobs of some 60 pixels with edges that take about 4 pixels from bare to waxed, (count, rows, cols)."""
    rng = np.random.default_rng(seed)
    masks = np.empty((count, rows, cols), np.uint8)
    for mask in masks:
        coarse = rng.standard_normal((rows // 60 + 4, cols // 60 + 4)).astype(np.float32)
        field = ndimage.zoom(ndimage.gaussian_filter(coarse, 0.8), 60, order=3)[:rows, :cols]
        field /= field.std()
        slope = np.maximum(np.hypot(*np.gradient(field)), 1e-3)
        mask[...] = np.clip((field - 0.3) / slope / 4 * 255 + 128, 0, 255)
    return masks


def noise_masks(count: int, rows: int, cols: int, *, seed: int = 0) -> Bytes:
    """Every byte of every mask at random."""
    return np.random.default_rng(seed).integers(0, 256, (count, rows, cols), dtype=np.uint8)


def waxings(count: int, dyeings: int = 4) -> Design:
    """`count` waxings, each of the first `dyeings` followed by a dyeing over the whole cloth."""
    dyes = tuple(Dye(name=f"dye {n}", colour=colour) for n, colour in enumerate(DYES))
    steps: list[Wax | DyeBath] = []
    for n in range(count):
        steps.append(Wax(mask=MaskUse(picture=f"wax-{n}.png", marks="dark")))
        if n < dyeings:
            steps.append(DyeBath(paints=(Paint(pot=f"dye {n % len(DYES)}"),)))
    return Design(title="Bench", cloth=Cloth(width_mm=450), dyes=dyes, steps=tuple(steps))


def on_disk(folder: Path, design: Design, masks: Bytes) -> Path:
    """The design's folder with its masks as grey PNGs, dark marks on white."""
    folder.mkdir(parents=True, exist_ok=True)
    for n, mask in enumerate(masks):
        Image.fromarray(255 - mask).save(folder / f"wax-{n}.png")
    write_design(design, folder / "design.toml")
    return folder
