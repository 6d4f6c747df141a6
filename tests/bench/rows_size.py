"""What each command costs to start, against `import numpy`; designs of many steps, and books of many dyes."""

from __future__ import annotations

import os
import statistics
import sys
import tempfile
from pathlib import Path

import numpy as np
from pictures import on_disk, soft_masks, waxings
from rows_plan import many_dyes
from timing import Row, seconds

from batiksim import jobs
from batiksim.cli import main
from batiksim.files.toml.dyebooks import save_dyes
from batiksim.values import BookDye, Cloth, Design, DyeBath, MaskUse, Paint, Wax

ROUNDS = 5
BOOK_DYES, STEPS = 500, 40


def _processor_s(words: list[str]) -> float:
    """Processor seconds of a Python process."""
    child = os.posix_spawn(
        sys.executable,
        [sys.executable, *words],
        dict(os.environ),
        file_actions=[(os.POSIX_SPAWN_OPEN, 1, os.devnull, os.O_WRONLY, 0)],
    )
    _, status, used = os.wait4(child, 0)
    if status:
        raise RuntimeError(f"{words} ended with {status}")
    return used.ru_utime + used.ru_stime


def _starts() -> str:
    """`--help` of every command in turn with `import numpy`, which is done first unmeasured."""
    numpy = ["-c", "import numpy"]
    _processor_s(numpy)
    found = {}
    for name in ["", *main.commands]:
        words = ["-m", "batiksim", *([name] if name else []), "--help"]
        _processor_s(words)
        found[name or "batiksim"] = statistics.median(_processor_s(words) / _processor_s(numpy) for _ in range(ROUNDS))
    worst = max(found, key=lambda name: found[name])
    return f"{statistics.median(found.values()):.1f} x, {worst} {found[worst]:.1f} x"


def forty_steps() -> Design:
    """Twenty waxings, each followed by a dyeing."""
    dyes = many_dyes(STEPS // 2)
    steps: list[Wax | DyeBath] = []
    for n in range(STEPS // 2):
        steps += [Wax(mask=MaskUse(picture=f"wax-{n}.png", marks="dark")), DyeBath(paints=(Paint(pot=f"dye {n}"),))]
    return Design(title="Forty steps", cloth=Cloth(width_mm=450), dyes=dyes, steps=tuple(steps))


def _forty() -> str:
    with tempfile.TemporaryDirectory() as scratch:
        masks = np.array([np.roll(one, 97 * n) for n, one in enumerate(np.repeat(soft_masks(4, 866, 1155), 5, axis=0))])
        design = on_disk(Path(scratch) / "design", forty_steps(), masks)
        jobs.save_preview(design, Path(scratch) / "out")
        shown = min(seconds(lambda: jobs.save_preview(design, Path(scratch) / "out")) for _ in range(2))
        checked = seconds(lambda: jobs.check(design))
    return f"{shown:.1f} s, {checked:.1f} s"


def _book() -> str:
    """Seconds of each thing in turn; the design for the orders has two dyeings."""
    with tempfile.TemporaryDirectory() as scratch:
        book = Path(scratch) / "book.toml"
        dyes = [BookDye(name=dye.name, colour=dye.colour) for dye in many_dyes(BOOK_DYES)]
        design = on_disk(Path(scratch) / "design", waxings(2, dyeings=2), soft_masks(2, 600, 800))
        times = [
            seconds(lambda: save_dyes(book, dyes)),
            seconds(lambda: save_dyes(book, [BookDye(name="one more", colour="#4d7358")])),
            seconds(lambda: jobs.pot("dye 7=5, dye 300=1", dyes=book)),
            seconds(lambda: jobs.match("#4d7358", dyes=book)),
            seconds(lambda: jobs.overdye(book, only=[dye.name for dye in dyes[:480:20]])),
        ]
        found: list[jobs.Ordered] = []
        times.append(seconds(lambda: found.append(jobs.orders(design, choose=(2, 2), book=book))))
    return ", ".join(f"{one:.1f}" for one in times) + " s"


ROWS = {
    "starts": Row(what="--help of every command, processor time against import numpy", reach="4 x", measure=_starts),
    "forty": Row(what="40 steps of 1 MP: previewed, checked", reach="(none asked)", measure=_forty),
    "book": Row(
        what="a book of 500 dyes: written, a dye added, a pot, a match, an overdye chart of 24, orders of 2 dyeings",
        reach="(none asked)",
        measure=_book,
    ),
}
