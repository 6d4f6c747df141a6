"""The engine against a plain copy of the same inputs and outputs, against colour-science, against the reference."""

from __future__ import annotations

import warnings

import numpy as np
from pictures import Bytes, noise_masks, soft_masks, waxings
from timing import Row, ratio, seconds

from batiksim.cloth.dyes_on_cloth import dyes_on_cloth
from batiksim.cloth.program import Program, compile_design
from batiksim.cloth.render import render, warm_up
from batiksim.cloth.rules import render_plain

ROWS_PX, COLS_PX = 3000, 4000


def _program(count: int) -> Program:
    design = waxings(count)
    return compile_design(design, dyes_on_cloth(design))


def _against_copy(count: int, masks: Bytes) -> str:
    program = _program(count)
    warm_up()
    plates = render(program, masks)
    found = ratio(lambda: render(program, masks), lambda: (masks.copy(), plates.copy()))
    return f"{found:.1f} x copy"


def _against_colour_science(masks: Bytes) -> str:
    """Every pixel's spectra mixed in numpy and seen through colour-science, whole arrays at a time, per pixel."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour

        program = _program(4)
        warm_up()
        few = np.ascontiguousarray(masks[:, :100, :150]) / 255.0
        shape = colour.SpectralShape(400, 700, 10)
        cmfs = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape)
        light = colour.SDS_ILLUMINANTS["D65"].copy().align(shape)
        bare = np.broadcast_to(program.cloth_ks, (*few.shape[1:], 31))

        def slow() -> None:
            ks, opened = bare, np.ones(few.shape[1:])
            kept = opened_part = 1 / (1 + ks + np.sqrt(ks * (ks + 2)))
            for cover, table in zip(few, program.loads @ program.dye_ks, strict=True):
                opened = opened * (1 - cover)
                ks = ks + table[255]
                opened_part = 1 / (1 + ks + np.sqrt(ks * (ks + 2)))
                kept = (1 - opened[..., None]) * kept + opened[..., None] * opened_part
                for _ in range(2):  # a plate after the waxing and one after the dyeing
                    xyz = colour.msds_to_XYZ(kept, cmfs, light, method="Integration", shape=shape) / 100
                    colour.XYZ_to_sRGB(xyz)

        slow()
        slow_each = min(seconds(slow) for _ in range(3)) / few[0].size
        fast_each = min(seconds(lambda: render(program, masks)) for _ in range(3)) / masks[0].size
    return f"{slow_each / fast_each:.0f} x faster"


def _against_reference() -> str:
    worst = 0
    for masks in (soft_masks(4, 150, 200), noise_masks(4, 150, 200)):
        program = _program(4)
        apart = np.abs(render(program, masks).astype(int) - render_plain(program, masks))
        worst = max(worst, int(apart.max()))
    return f"{worst} of 255"


ROWS = {
    "soft": Row(
        what="12 MP, 4 soft-edged waxings and 4 dyeings, all plates",
        reach="4 x copy",
        measure=lambda: _against_copy(4, soft_masks(4, ROWS_PX, COLS_PX)),
    ),
    "noise": Row(
        what="the same with every mask full of 256-level noise",
        reach="24 x copy",
        measure=lambda: _against_copy(4, noise_masks(4, ROWS_PX, COLS_PX)),
    ),
    "eight": Row(
        what="12 MP, 8 soft-edged waxings and 4 dyeings",
        reach="10 x copy",
        measure=lambda: _against_copy(8, soft_masks(8, ROWS_PX, COLS_PX)),
    ),
    "spectra": Row(
        what="against colour-science, spectrum by spectrum",
        reach="250 x faster",
        measure=lambda: _against_colour_science(soft_masks(4, ROWS_PX, COLS_PX)),
    ),
    "spectra-noise": Row(
        what="the same on noise",
        reach="80 x faster",
        measure=lambda: _against_colour_science(noise_masks(4, ROWS_PX, COLS_PX)),
    ),
    "reference": Row(what="against the float64 reference", reach="1 of 255", measure=_against_reference),
}
