"""Sheets to trace and pictures that move: how long the command takes, start-up and all, and how large its files are."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from dataclasses import replace
from pathlib import Path

from pictures import on_disk, soft_masks, waxings
from timing import Row, seconds

from batiksim.values import Cloth

HIGH, WIDE = 3000, 4000


def _command(command: str, out: str, *options: str) -> str:
    """Four waxings and four dyeings of a cloth a metre wide, in a process of its own."""
    with tempfile.TemporaryDirectory() as scratch:
        design = on_disk(
            Path(scratch, "cloth"), replace(waxings(4), cloth=Cloth(width_mm=1000)), soft_masks(4, HIGH, WIDE)
        )
        target = Path(scratch, out)
        words = (sys.executable, "-m", "batiksim", command, str(design), "--out", str(target), *options)

        def work() -> None:
            subprocess.run(words, check=True, capture_output=True)

        work()
        before = os.times()
        took = seconds(work)
        after = os.times()
        busy = after.children_user + after.children_system - before.children_user - before.children_system
        files = list(target.iterdir()) if target.is_dir() else [target]
        return f"{took:.1f} s ({busy:.1f} busy), {sum(file.stat().st_size for file in files) / 1e6:.1f} MB"


ROWS = {
    "trace": Row(
        what="tracing of a metre-wide cloth, four waxings, 12 MP: sheets, large pages, SVG",
        reach="15 s",
        measure=lambda: _command("trace", "tracing"),
    ),
    "animation": Row(
        what="the same cloth growing, as a GIF",
        reach="small",
        measure=lambda: _command("stages", "stages.gif", "--animate"),
    ),
}
