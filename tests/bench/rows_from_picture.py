"""How long a design from a picture takes, and how near the cloth comes to flat pictures by other hands."""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np
from scipy import ndimage
from timing import Row, seconds

sys.path.insert(0, str(Path(__file__).resolve().parent.parent.parent))

from batiksim.picture_plan.plan import FromPictureOptions, plan_picture  # noqa: E402
from tests.outside.flat_pictures import flat_pictures  # noqa: E402
from tests.outside.test_plans_of_flat_pictures import differences  # noqa: E402
from tests.picture_plan.known_cloths import DYES  # noqa: E402

ROWS_PX, COLS_PX = 1732, 2310  # 4 million pixels


def painting(rows: int, cols: int, *, seed: int = 8) -> np.ndarray:
    """A painted picture: seven colours in soft-edged shapes of all sizes, with grain; uint8 (rows, cols, 3)."""
    rng = np.random.default_rng(seed)
    small = rows // 4, cols // 4
    colours = np.array(
        [[240, 233, 214], [236, 196, 72], [214, 88, 48], [126, 36, 60], [70, 130, 84], [44, 76, 140], [28, 34, 60]]
    )
    stage = np.zeros(small, np.int64)
    for colour, sigma in enumerate((30, 18, 12, 22, 8, 14), start=1):
        field = ndimage.gaussian_filter(rng.normal(size=small), sigma)
        stage[field > np.quantile(field, 0.72)] = colour
    picture = np.stack(
        [ndimage.zoom(colours[stage, band].astype(np.float32), 4, order=1) for band in range(3)], axis=-1
    )
    picture = np.pad(picture, ((0, rows - picture.shape[0]), (0, cols - picture.shape[1]), (0, 0)), mode="edge")
    return np.clip(picture + rng.normal(size=(rows, cols, 1)) * 4, 0, 255).astype(np.uint8)


def _time() -> str:
    picture = painting(ROWS_PX, COLS_PX)
    plan_picture(picture[::8, ::8], DYES, FromPictureOptions(steps=2))  # what loads when first used is loaded
    return ", ".join(_spent(picture, pots) for pots in (1, 2))


def _spent(picture: np.ndarray, pots: int) -> str:
    """Seconds by the clock, and of the processor: other programs disturb those less."""
    busy = time.process_time()
    clock = seconds(lambda: plan_picture(picture, DYES, FromPictureOptions(steps=4, pots=pots)))
    return f"{clock:.1f} s ({time.process_time() - busy:.1f})"


def _flat() -> str:
    plain, one, two = np.array(list(differences(flat_pictures()).values())).mean(axis=0)
    return f"{one:.1f}, {two:.1f} ({plain:.1f})"


ROWS = {
    "from-picture": Row(
        what="from-picture, 4 MP into 4 dyeings, of one pot each, and of up to two (processor)",
        reach="15 s",
        measure=_time,
    ),
    "from-picture-flat": Row(
        what="flat pictures: mean CIEDE2000 with one pot a dyeing, with two (a plain split)",
        reach="below a plain split",
        measure=_flat,
    ),
}
