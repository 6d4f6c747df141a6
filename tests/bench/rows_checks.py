"""Checks: all of them on a sample cloth enlarged to 12 and to 48 MP, in a process of their own each."""

from __future__ import annotations

import math
import re
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
from PIL import Image
from timing import Row

from batiksim import checks, jobs
from batiksim.cloth.render import warm_up

SAMPLE = Path(__file__).resolve().parents[2] / "sample_designs" / "estuary_geese"  # four waxings, two brushed pots
MEGA = 1e6


def measured(million: float) -> str:
    """Seconds of processor and clock, and peak resident memory, of all checks on the sample at so many pixels."""
    project = jobs.open_design(SAMPLE)
    masks = enlarged(project.masks, million * MEGA)
    warm_up()
    began, worked = time.perf_counter(), time.process_time()
    checks.check(project.design, project.dyes, masks)
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


ROWS = {
    "checks": Row(what="all checks on 12 MP with four waxings, as batiksim check", reach="10 s, 2 GB", measure=_checks),
    "checks-48": Row(
        what="the same from 12 to 48 MP: processor time by pixels", reach="power 1 or less", measure=_growth
    ),
}

if __name__ == "__main__":
    print(measured(float(sys.argv[1])))
