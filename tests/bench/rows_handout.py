"""Handouts: how long the command takes, start-up and all, and how large the file is that has to be mailed."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

from pictures import noise_masks, on_disk, soft_masks, waxings
from timing import Row, seconds

HANDOUT = (sys.executable, "-m", "batiksim", "handout")
HIGH, WIDE = 3000, 4000


def _handout(*, noise: bool = False, rounds: int = 3) -> str:
    """Four waxings and four dyeings over 12 million pixels, in a process of its own."""
    masks = (noise_masks if noise else soft_masks)(4, HIGH, WIDE)
    with tempfile.TemporaryDirectory() as scratch:
        design = on_disk(Path(scratch, "cloth"), waxings(4), masks)
        out = Path(scratch, "handout.pdf")

        def work() -> None:
            subprocess.run([*HANDOUT, str(design), "--out", str(out)], check=True, capture_output=True)

        work()
        before = os.times()
        took = statistics.median(seconds(work) for _ in range(rounds))
        after = os.times()
        busy = (after.children_user + after.children_system - before.children_user - before.children_system) / rounds
        return f"{took:.1f} s ({busy:.1f} busy), {out.stat().st_size / 1e6:.1f} MB"


ROWS = {
    "handout": Row(what="12 MP, four waxings and four dyeings, the command whole", reach="8 s, 5 MB", measure=_handout),
    "handout-noise": Row(what="every mask full of noise", reach="5 MB", measure=lambda: _handout(noise=True, rounds=1)),
}
