"""The compiled loop that draws cracks into a plane of openings."""

from math import ceil, exp, floor, sqrt

from batiksim.cloth.compiling import compiled_function
from batiksim.cloth.effects.noise import smooth_noise

SOAKED_MM = 0.26  # a finer crack still soaks about this much of a thread, the weaker the finer it is: assumption
BLEED_AT = 0.11  # opening just beside a crack of full width
BLEED_WIDTHS = 3.0  # past this many bleed lengths nothing is left
FULL_MM = 0.45  # a crack this wide lets dye through in full; finer ones less
HAIR = 0.1  # what the finest lets through
THREAD_MM = 0.42  # grain of the weave along which dye catches: common practice, 24 threads to a cm


@compiled_function()
def draw_cracks(x, y, width, starts, shown, wide, px_per_mm, bleed_mm, key, plane):  # type: ignore[no-untyped-def]
    """Draw cracks as the share of each pixel that they open, 0..255, into plane uint8 (rows, cols).

    x, y, width : of the points, mm; starts, shown : first point and size, 0..1, of each crack
    wide : float32 (points,), 0..1, how much of each point the wax around it allows
    """
    rows, cols = plane.shape
    grain = min(1.0, px_per_mm * THREAD_MM / 2.0)
    for c in range(len(starts) - 1):
        if shown[c] <= 0.0:
            continue
        for p in range(starts[c] + 1, starts[c + 1]):
            size = shown[c] * 0.5 * (wide[p] + wide[p - 1])
            w_mm = 0.5 * (width[p] + width[p - 1]) * (0.4 + 0.6 * size)
            if size <= 0.02 or w_mm < 0.01:
                continue
            x0 = x[p - 1] * px_per_mm - 0.5
            y0 = y[p - 1] * px_per_mm - 0.5
            dx = x[p] * px_per_mm - 0.5 - x0
            dy = y[p] * px_per_mm - 0.5 - y0
            through = min(1.0, HAIR + (1.0 - HAIR) * w_mm / FULL_MM) * min(1.0, 3.0 * size)
            broad = max(w_mm, SOAKED_MM)
            through *= w_mm / broad
            w = broad * px_per_mm
            soft = bleed_mm * min(1.0, w_mm / FULL_MM + 0.25) * px_per_mm
            side = through * BLEED_AT * min(1.0, w_mm / FULL_MM)
            reach = 0.5 * w + max(1.0, BLEED_WIDTHS * soft)
            top = max(0, int(floor(min(y0, y0 + dy) - reach)))
            bottom = min(rows - 1, int(ceil(max(y0, y0 + dy) + reach)))
            left = max(0, int(floor(min(x0, x0 + dx) - reach)))
            right = min(cols - 1, int(ceil(max(x0, x0 + dx) + reach)))
            squared = max(dx * dx + dy * dy, 1e-9)
            for row in range(top, bottom + 1):
                for col in range(left, right + 1):
                    t = ((col - x0) * dx + (row - y0) * dy) / squared
                    t = min(1.0, max(0.0, t))
                    far = sqrt((col - x0 - t * dx) ** 2 + (row - y0 - t * dy) ** 2)
                    if far > reach:
                        continue
                    core = through * min(min(1.0, w), max(0.0, 0.5 * w + 0.5 - far))
                    beside = max(0.0, far - 0.5 * w)
                    halo = side * min(1.0, w) * exp(-beside / max(soft, 1e-3)) if soft > 0.0 else 0.0
                    value = max(core, halo)
                    if value * 255.0 < 1.0 or value * 255.0 <= plane[row, col]:
                        continue
                    at = THREAD_MM * px_per_mm
                    value *= 1.0 - 0.22 * grain * (0.5 + 0.5 * smooth_noise(col / at, row / at, key))
                    level = int(value * 255.0 + 0.5)
                    if level > plane[row, col]:
                        plane[row, col] = level
