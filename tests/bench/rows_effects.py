"""Creeping dye and cracking wax: processor seconds of all threads for one step of 12 MP, and their growth to 48."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from math import log

import numpy as np
from pictures import Bytes
from timing import Row

from batiksim.cloth.effects.spread import REACH_MM, spread
from batiksim.cloth.effects.wax import crack_openings
from batiksim.cloth.render import default_threads

WIDE_MM, HIGH_MM = 450.0, 337.5
SIZES = ((3000, 4000), (6000, 8000))


def fields(rows: int, cols: int) -> Bytes:
    """Two pots' brushwork, soft-edged, and wax lines of 2 mm along half of their borders: (3, rows, cols).

    The same cloth at any size.
    """
    row = np.linspace(0, HIGH_MM, rows, dtype=np.float32)[:, None]
    col = np.linspace(0, WIDE_MM, cols, dtype=np.float32)[None]
    waves = np.sin(col / 9 + 1.3 * np.sin(row / 11)) + np.sin(row / 8 + 0.9 * np.sin(col / 14))
    broken = np.minimum(0.12 - np.abs(waves), np.sin(col / 31) + np.sin(row / 27))
    pixels = np.float32(cols / WIDE_MM * 6.0)  # about 6 mm from crest to slope
    made = np.empty((3, rows, cols), np.uint8)
    for plane, signed in zip(made, (waves - 0.1, -waves - 0.1, broken), strict=True):
        plane[...] = np.clip(signed * pixels + 0.5, 0, 1) * 255
    return made


def ground(rows: int, cols: int) -> Bytes:
    """Wax over about half of the cloth, in patches of some cm."""
    return fields(rows, cols)[0]


def _grown(work: Callable[[int, int], Callable[[], object]]) -> str:
    """The median of three at each size, and the power of the pixels with which the cost grows."""

    def spent(call: Callable[[], object]) -> float:
        start = time.process_time()
        call()
        return time.process_time() - start

    took = []
    for rows, cols in SIZES:
        call = work(rows, cols)
        took.append(statistics.median(spent(call) for _ in range(3)))
    power = log(took[1] / took[0]) / log(SIZES[1][0] * SIZES[1][1] / (SIZES[0][0] * SIZES[0][1]))
    return f"{took[0]:.1f}, {took[1]:.1f} s, power {power:.2f}"


def _spread(pots: int) -> Callable[[int, int], Callable[[], object]]:
    def prepare(rows: int, cols: int) -> Callable[[], object]:
        *paints, wax = fields(rows, cols)
        reach = [REACH_MM] * pots
        small = [paint[:64, :64].copy() for paint in paints[:pots]]
        spread(small, None, reach_mm=reach, px_per_mm=cols / WIDE_MM)  # compiles
        return lambda: spread(paints[:pots], wax, reach_mm=reach, px_per_mm=cols / WIDE_MM, threads=default_threads())

    return prepare


def _crackle(rows: int, cols: int) -> Callable[[], object]:
    mask = ground(rows, cols)
    crack_openings(mask[:64, :64].copy(), px_per_mm=cols / WIDE_MM, crackle=0.6)  # compiles
    return lambda: crack_openings(mask, px_per_mm=cols / WIDE_MM, crackle=0.6, paraffin=0.6, seed=1)


ROWS = {
    "spread": Row(
        what="one pot creeping to wax lines and past them, 12 MP, then 48 MP",
        reach="4 s, power 1",
        measure=lambda: _grown(_spread(1)),
    ),
    "spread-two": Row(
        what="two pots creeping and mingling, 12 MP, then 48 MP",
        reach="4 s, power 1",
        measure=lambda: _grown(_spread(2)),
    ),
    "crackle": Row(
        what="cracks of one mask, 12 MP, then 48 MP", reach="6 s, power 1", measure=lambda: _grown(_crackle)
    ),
}
