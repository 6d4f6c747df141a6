"""Mask bytes in, plate bytes out: the raster engine.

`render` runs the compiled kernel on bands of rows; where it can't be had, the plain reference does the same work.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import lru_cache
from types import ModuleType
from typing import TYPE_CHECKING, Any

import numpy as np

from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.cloth.program import Emit, Program, check_masks, compile_design
from batiksim.cloth.rules import AMOUNT_CLASSES, render_plain, view_weights
from batiksim.colour import kubelka_munk, spaces
from batiksim.texts.catalogue import Message, say
from batiksim.types import Bytes, Floats, Singles
from batiksim.values import COTTON, FLOOR, Cloth, Design

if TYPE_CHECKING:
    from batiksim.cloth.kernel import Tables

BAND_PIXELS = 1 << 17  # a thread is worth its start for this many pixels
SHARES = 2  # bands for each thread: few, as each begins with an empty cache
ENCODE_STEPS = 1 << 14  # linear light to 8 bit by table: at most 0.1 of 255 off in the darkest tones


def default_threads() -> int:
    """As many threads as this process may use processors."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


@lru_cache(maxsize=1)
def _kernel() -> ModuleType | Message:
    """`kernel.py`, or why this machine has no working compiler for it."""
    try:
        from numba import config

        from batiksim.cloth import kernel
    except (ImportError, OSError) as error:  # not installed, or its library can't be opened
        return say("cloth.engine.not_loaded", reason=str(error))
    if getattr(config, "DISABLE_JIT", False):  # as plain Python the kernel would take minutes; numpy takes seconds
        return say("cloth.engine.switched_off")
    return kernel


def compiled(name: str) -> Callable[..., Any] | None:
    """A function of `kernel.py`, or None on a machine that has no working compiler for it."""
    kernel = _kernel()
    return None if isinstance(kernel, Message) else getattr(kernel, name)


def engine_notes() -> tuple[Message, ...]:
    """One line when pictures are slow because the compiled engine can't be loaded; else nothing."""
    kernel = _kernel()
    return (kernel,) if isinstance(kernel, Message) else ()


@lru_cache(maxsize=1)
def _encode_table() -> Bytes:
    levels: Bytes = np.rint(spaces.encode_srgb(np.arange(ENCODE_STEPS) / (ENCODE_STEPS - 1)) * 255).astype(np.uint8)
    return levels


def _kernel_tables(program: Program) -> Tables:
    from batiksim.cloth.kernel import PADDED, SHOW, SHOW_WAXED, Tables

    def padded(values: Floats) -> Singles:
        width = [(0, 0)] * (values.ndim - 1) + [(0, PADDED - values.shape[-1])]
        return np.ascontiguousarray(np.pad(values, width), dtype=np.float32)

    after, slots, shown = program.plate_rows.T
    plates = np.stack([np.where(shown, SHOW_WAXED, SHOW), np.full_like(slots, -1), slots], axis=1)
    acts = np.insert(program.ops, after, plates, axis=0)
    looks = np.zeros((2, 2, PADDED), np.float32)
    looks[:, 1] = 1
    if program.look == "wet":
        looks[0, 0, :4] = (1, kubelka_munk.WATER_P, kubelka_munk.WATER_Q, kubelka_munk.WATER_R)
    looks[1, 0, :4] = (1, kubelka_munk.WAX_P, kubelka_munk.WAX_Q, kubelka_munk.WAX_R)
    looks[1, 1, :31] = kubelka_munk.WAX_TINT
    return Tables(
        acts=acts,
        args=np.insert(program.args, after, 0.0),
        paint_ks=padded(program.loads @ program.dye_ks),
        paint_load=program.loads.sum(axis=-1),
        cloth_ks=padded(program.cloth_ks),
        surface=np.float32(program.surface),
        looks=looks,
        weights=padded(view_weights(program.light).T),
        encode=_encode_table(),
        gamut=np.stack(spaces.OKLAB_FROM_AND_TO_LINEAR),
    )


def render(program: Program, masks: Bytes, *, threads: int | None = None, out: Bytes | None = None) -> Bytes:
    """Every plate of a program.

    masks : uint8 (masks, rows, cols), 255 = fully marked, in the program's order
    out : uint8 (plates, rows, cols, 3) to write into; a new array when left out
    returns : sRGB uint8 (plates, rows, cols, 3)

    The bytes depend on the program and masks alone, not on the number of threads.
    """
    check_masks(program, masks)
    _, rows, cols = masks.shape
    shape = (len(program.plates), rows, cols, 3)
    plates = np.empty(shape, np.uint8) if out is None else out
    if plates.shape != shape or plates.dtype != np.uint8:
        raise ValueError(f"out must be uint8 {shape}, not {plates.dtype} {plates.shape}")
    kernel = compiled("render_rows")
    if kernel is None:
        plates[...] = render_plain(program, masks)
        return plates
    tables = _kernel_tables(program)
    # The kernel is compiled for arrays that lie in one piece, and for those alone: each other kind would cost seconds.
    masks = np.ascontiguousarray(masks)
    whole = plates if plates.flags.c_contiguous else np.empty(shape, np.uint8)
    lines = whole.reshape(len(program.plates), rows, 3 * cols)
    workers = min(threads or default_threads(), max(1, rows * cols // BAND_PIXELS))
    band = max(1, -(-rows // (SHARES * workers)))
    starts = range(0, rows, band)

    def run(first: int) -> None:
        kernel(masks, first, min(rows, first + band), tables, lines)

    if workers <= 1:
        for first in starts:
            run(first)
    else:
        with ThreadPoolExecutor(workers) as pool:
            list(pool.map(run, starts))
    if whole is not plates:
        plates[...] = whole
    return plates


def warm_up() -> None:
    """Compile the kernels, or load them from the last time, so that the first real plate doesn't wait for them."""
    dyes = ClothDyes(colour=COTTON, cloth_ks=np.full(31, 0.01), surface=FLOOR, dyes={})
    program = compile_design(Design(title="bare", cloth=Cloth(width_mm=450)), dyes, plates=(Emit(step=0),))
    masks = np.zeros((0, 1, 1), np.uint8)
    render(program, masks, threads=1)
    survey_rows = compiled("survey_rows")
    if survey_rows is not None:
        counts = np.zeros(2, np.int64)
        tables = AMOUNT_CLASSES, counts, counts[:, None].copy(), np.zeros((2, 1), np.uint64)
        survey_rows(masks, 0, 1, program.ops, program.args, *tables)
