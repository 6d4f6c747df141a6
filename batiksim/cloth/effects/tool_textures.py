"""The compiled loops behind `tools.py`: what wax looks like at its edges, from smooth noise in mm of cloth."""

from math import ceil, cos, exp, floor, pi, sin, sqrt

import numpy as np

from batiksim.cloth.compiling import compiled_function
from batiksim.cloth.effects.noise import smooth_noise


@compiled_function()
def _share(low, high, value):  # type: ignore[no-untyped-def]
    """0 at low, 1 at high, smooth between."""
    t = min(1.0, max(0.0, (value - low) / (high - low)))
    return t * t * (3.0 - 2.0 * t)


@compiled_function()
def creep_edges(soft, result, sigma, creep, px_per_mm, key):  # type: ignore[no-untyped-def]
    """Raise result uint8 to where wax creeps; soft : the mask blurred by sigma pixels; creep : in sigmas."""
    rows, cols = soft.shape
    for row in range(rows):
        for col in range(cols):
            if soft[row, col] < 6 or result[row, col] == 255:
                continue
            x = col / px_per_mm
            y = row / px_per_mm
            uneven = 0.6 * smooth_noise(x / 2.6, y / 2.6, key) + 0.25 * smooth_noise(x / 0.9, y / 0.9, key + 3)
            z = max(creep * (0.75 + uneven), 0.0)
            # the blurred edge is a normal curve: its level and slope z sigmas out (Abramowitz and Stegun 26.2.18)
            level = 0.5 / (1.0 + 0.196854 * z + 0.115194 * z**2 + 0.000344 * z**3 + 0.019527 * z**4) ** 4
            slope = exp(-0.5 * z * z) / (sqrt(2.0 * pi) * sigma)
            value = 0.5 + (soft[row, col] / 255.0 - level) / slope
            whole = int(min(1.0, max(0.0, value)) * 255.0 + 0.5)
            if whole > result[row, col]:
                result[row, col] = whole


@compiled_function()
def chances(x, y, size, key):  # type: ignore[no-untyped-def]
    """A number 0..1 for each place, float64 (places,), the same all over a patch of that size."""
    found = np.empty(len(x))
    for k in range(len(x)):
        # the noise at whole numbers is evenly spread over -1..1
        found[k] = 0.5 + 0.5 * smooth_noise(floor(x[k] / size), floor(y[k] / size), key)
    return found


@compiled_function()
def draw_drop(plane, x, y, radius):  # type: ignore[no-untyped-def]
    """Raise plane uint8 to a round drop, its edge soft over one pixel."""
    rows, cols = plane.shape
    for row in range(max(0, int(floor(y - radius))), min(rows, int(ceil(y + radius)))):
        for col in range(max(0, int(floor(x - radius))), min(cols, int(ceil(x + radius)))):
            far = sqrt((col + 0.5 - x) ** 2 + (row + 0.5 - y) ** 2)
            level = int(min(1.0, max(0.0, radius + 0.5 - far)) * 255.0 + 0.5)
            if level > plane[row, col]:
                plane[row, col] = level


@compiled_function()
def dry_brush(soft, plane, edges, px_per_mm, key):  # type: ignore[no-untyped-def]
    """Break up plane uint8 in streaks where the brush ran dry: at its edges, and in patches.

    soft : the mask blurred over the depth to which edges break up; half of it at an edge, all of it inside
    """
    rows, cols = plane.shape
    blur = min(1.0, 0.35 * px_per_mm)  # bristles finer than a pixel only lighten it
    for row in range(rows):
        for col in range(cols):
            if plane[row, col] == 0:
                continue
            x = col / px_per_mm
            y = row / px_per_mm
            edge = min(1.0, 2.0 * (1.0 - soft[row, col] / 255.0))
            patch = smooth_noise(x / 24.0, y / 24.0, key + 11) + 0.5 * smooth_noise(x / 9.0, y / 9.0, key + 12)
            dry = edges * (0.85 * edge * (0.7 + 0.5 * patch) + 0.55 * max(0.0, patch - 0.25))
            if dry <= 0.01:
                continue
            angle = pi * (smooth_noise(0.5, 0.5, key + 13) + 0.45 * smooth_noise(x / 60.0, y / 60.0, key + 14))
            along = x * cos(angle) + y * sin(angle)
            across = y * cos(angle) - x * sin(angle)
            bristle = 0.62 * smooth_noise(along / 5.0, across / 0.55, key + 15)
            thread = 0.5 * smooth_noise(x / 0.42, y / 0.42, key + 16)
            open_share = _share(1.0 - 0.28 / blur, 1.0 + 0.28 / blur, bristle + thread + 1.45 * dry)
            plane[row, col] = int(plane[row, col] * (1.0 - open_share) + 0.5)


@compiled_function()
def patchy_stamp(plane, edges, px_per_mm, key):  # type: ignore[no-untyped-def]
    """Open plane uint8 where a stamp touched lightly: little bubbles, more of them where it was pressed less."""
    rows, cols = plane.shape
    blur = min(1.0, 0.5 * px_per_mm)
    for row in range(rows):
        for col in range(cols):
            if plane[row, col] == 0:
                continue
            x = col / px_per_mm
            y = row / px_per_mm
            light = 0.5 * smooth_noise(x / 45.0, y / 45.0, key + 21) + 0.3 * smooth_noise(x / 11.0, y / 11.0, key + 22)
            u = 0.8 * x - 0.6 * y  # off the threads, so that the bubbles' own grain doesn't show
            v = 0.6 * x + 0.8 * y
            bubble = 0.7 * smooth_noise(u / 1.2, v / 1.2, key + 23) + 0.45 * smooth_noise(v / 0.7, u / 0.7, key + 24)
            open_share = _share(1.0 - 0.15 / blur, 1.0 + 0.15 / blur, bubble + 0.75 * edges * (0.5 + light))
            plane[row, col] = int(plane[row, col] * (1.0 - 0.9 * open_share) + 0.5)


@compiled_function()
def cool_patches(plane, cool, px_per_mm, key):  # type: ignore[no-untyped-def]
    """Lower plane uint8 to how much cool wax holds back: here it still seals, there dye comes under it."""
    rows, cols = plane.shape
    for row in range(rows):
        for col in range(cols):
            if plane[row, col] == 0:
                continue
            x = col / px_per_mm
            y = row / px_per_mm
            u = 0.8 * x - 0.6 * y  # each grain turned otherwise, so that none of them shows
            v = 0.6 * x + 0.8 * y
            s = 0.4 * x - 0.9 * y
            t = 0.9 * x + 0.4 * y
            patch = 0.55 * smooth_noise(u / 17.0, v / 17.0, key + 31) + 0.35 * smooth_noise(s / 7.0, t / 7.0, key + 32)
            patch += 0.25 * smooth_noise(x / 2.6, y / 2.6, key + 33) + 0.15 * smooth_noise(u / 1.1, v / 1.1, key + 34)
            lost = min(1.0, max(0.0, cool * (0.8 + (3.0 - 2.8 * cool) * patch)))
            plane[row, col] = int(plane[row, col] * (1.0 - lost) + 0.5)
