"""Checks: all of them on a sample cloth enlarged to 12 and to 48 MP, in a process of their own each."""

from __future__ import annotations

import math
import re
import subprocess
import sys
import time
from functools import partial
from pathlib import Path

import numpy as np
from PIL import Image
from timing import Row, ratio

from batiksim import checks, jobs
from batiksim.cloth.dyes_on_cloth import ClothDyes, dyes_on_cloth
from batiksim.cloth.render import warm_up
from batiksim.files.toml.dyebooks import read_book
from batiksim.types import Bytes
from batiksim.values import Cloth, Design, DyeBath, MaskUse, Paint, Step, Wax

SAMPLE = Path(__file__).resolve().parents[2] / "sample_designs" / "estuary_geese"  # four waxings, two brushed pots
MEGA = 1e6


def measured(million: float) -> str:
    """Seconds of processor and clock, and peak resident memory, of all checks on the sample at so many pixels."""
    project = jobs.open_design(SAMPLE)
    masks = enlarged(project.masks, million * MEGA)
    warm_up()
    began, worked = time.perf_counter(), time.process_time()
    checks.check(checks.Scene(design=project.design, dyes=project.dyes, masks=masks))
    clock, work = time.perf_counter() - began, time.process_time() - worked
    peak = re.search(r"VmHWM:\s+(\d+)", Path("/proc/self/status").read_text(encoding="utf-8"))
    return f"{clock:.3f} {work:.3f} {int(peak.group(1)) / 1e6 if peak else math.nan:.3f}"


def enlarged(masks: np.ndarray, pixels: float) -> np.ndarray:
    """Masks (masks, rows, cols) at about so many pixels each, smooth between."""
    count, rows, cols = masks.shape
    side = math.sqrt(pixels / (rows * cols))
    size = (round(cols * side), round(rows * side))
    large = np.empty((count, size[1], size[0]), np.uint8)
    for to, mask in zip(large, masks, strict=True):
        to[...] = Image.fromarray(mask).resize(size, Image.Resampling.BILINEAR)
    return large


def _apart(million: float) -> tuple[float, float, float]:
    done = subprocess.run([sys.executable, __file__, str(million)], check=True, capture_output=True, text=True)
    clock, work, peak = map(float, done.stdout.split())
    return clock, work, peak


def _checks() -> str:
    clock, work, peak = _apart(12)
    return f"{clock:.1f} s ({work:.1f} s of processor), {peak:.2f} GB"


def _growth() -> str:
    """How processor time grows from 12 to 48 MP, as a power of the pixels."""
    small, large = _apart(12), _apart(48)
    power = math.log(large[1] / small[1]) / math.log(48 / 12)
    return f"power {power:.2f} ({large[0]:.1f} s)"


def _many_steps(count: int, *, waxed: bool) -> tuple[Design, Bytes]:
    """So many steps on a small cloth: dyeings of the whole cloth, or a new waxing before each of them."""
    dyes = read_book("demo").dyes
    rows, cols = np.ogrid[:160, :240]
    steps: list[Step] = []
    masks: list[Bytes] = []
    for number in range(count):
        if waxed and number % 2 == 0:
            far = np.hypot(cols - 37 * number % 240, rows - 53 * number % 160)
            masks.append(np.clip(255 * (9.5 - far), 0, 255).astype(np.uint8))
            steps.append(Wax(mask=MaskUse(picture=f"{len(masks)}.png")))
        else:
            steps.append(DyeBath(paints=(Paint(pot=dyes[5 * number % len(dyes)].name),)))
    design = Design(title="Many steps", cloth=Cloth(width_mm=240.0), dyes=dyes, pots=(), steps=tuple(steps))
    return design, np.stack(masks) if masks else np.zeros((0, 160, 240), np.uint8)


def _quick_checks(design: Design, dyes: ClothDyes, masks: Bytes) -> None:
    checks.check(checks.Scene(design=design, dyes=dyes, masks=masks), quick=True)


def _steps() -> str:
    """The quick checks of a preview, histories and all, from 10 to 200 steps: how the time grows, as a power."""
    powers = []
    for waxed in (False, True):
        few, many = (_many_steps(count, waxed=waxed) for count in (10, 200))
        dyes = dyes_on_cloth(few[0])
        grown = ratio(*(partial(_quick_checks, design, dyes, masks) for design, masks in (many, few)), rounds=3)
        powers.append(f"{np.log(grown) / np.log(20):.2f}")
    return " and ".join(powers)


ROWS = {
    "steps": Row(
        what="quick checks of 10 to 200 dyeings, and waxings and dyeings: power of the time",
        reach="power 1.05 or less",
        measure=_steps,
    ),
    "checks": Row(what="all checks on 12 MP with four waxings, as batiksim check", reach="10 s, 2 GB", measure=_checks),
    "checks-48": Row(
        what="the same from 12 to 48 MP: processor time by pixels", reach="power 1 or less", measure=_growth
    ),
}

if __name__ == "__main__":
    print(measured(float(sys.argv[1])))
