"""Cracks drawn into pixels, against distances and shares worked out over the whole plane with numpy."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from batiksim.cloth.effects.crackle_drawing import draw_cracks
from tests.cloth.noise_twin import noise_over

KEY = 5
Crack = tuple[list[tuple[float, float]], list[float], list[float], float]  # points, widths, wide, shown


def drawn(cracks: list[Crack], shape: tuple[int, int], px: float, bleed_mm: float) -> np.ndarray:
    plane = np.zeros(shape, np.uint8)
    x, y = np.array([point for points, *_ in cracks for point in points]).T
    width = np.array([width for _, widths, *_ in cracks for width in widths])
    wide = np.array([share for _, _, wide, _ in cracks for share in wide], np.float32)
    starts = np.cumsum([0, *(len(points) for points, *_ in cracks)])
    shown = np.array([shown for *_, shown in cracks])
    draw_cracks(x.copy(), y.copy(), width, starts, shown, wide, px, bleed_mm, KEY, plane)
    return plane


def away(points: np.ndarray, start: np.ndarray, end: np.ndarray) -> np.ndarray:
    """How far points (..., 2) lie from a straight piece of line."""
    line = end - start
    share = np.clip(((points - start) @ line) / (line @ line), 0, 1)
    return np.linalg.norm(points - start - share[..., None] * line, axis=-1)


def share_opened(far: np.ndarray, width_mm: float, size: float, px: float, bleed_mm: float) -> np.ndarray:
    """What a piece of crack opens so many mm from its middle, the weave left aside."""
    broad = max(width_mm, 0.26)  # a finer crack soaks that much of a thread, the weaker for it
    full = min(1.0, width_mm / 0.45)
    through = (0.1 + 0.9 * full) * min(1.0, 3 * size) * width_mm / broad
    core = through * np.clip((broad / 2 - far) * px + 0.5, 0, min(1.0, broad * px))
    soft = bleed_mm * min(1.0, width_mm / 0.45 + 0.25)
    beside = np.maximum(far - broad / 2, 0)
    seam = 0.11 * full * through * min(1.0, broad * px) * np.exp(-beside / soft) if soft > 0 else 0 * far
    value = np.where(far * px > broad / 2 * px + max(1.0, 3 * soft * px), 0, np.maximum(core, seam))
    return np.where(value * 255 < 1, 0, value)  # less than one level isn't drawn, however it would round


@cache
def weave(shape: tuple[int, int], px: float) -> np.ndarray:
    """How much less threads let through, by noise with their grain of .42 mm; in a coarse picture they hardly show."""
    rows, cols = np.mgrid[: shape[0], : shape[1]]
    at = 0.42 * px
    return 1 - 0.22 * min(1.0, at / 2) * (0.5 + 0.5 * noise_over(cols / at, rows / at, KEY))


def wanted(cracks: list[Crack], shape: tuple[int, int], px: float, bleed_mm: float) -> np.ndarray:
    rows, cols = np.mgrid[: shape[0], : shape[1]]
    middles = np.stack([(cols + 0.5) / px, (rows + 0.5) / px], axis=-1)
    value = np.zeros(shape)
    for points, widths, wide, shown in cracks:
        for n in range(len(points) - 1):
            size = shown * (wide[n] + wide[n + 1]) / 2
            width_mm = (widths[n] + widths[n + 1]) / 2 * (0.4 + 0.6 * size)
            far = away(middles, np.array(points[n]), np.array(points[n + 1]))
            value = np.maximum(value, share_opened(far, width_mm, size, px, bleed_mm))
    return np.floor(255 * value * weave(shape, px) + 0.5)


def zigzag(seed: int, high_mm: float, wide_mm: float, shown: float = 1.0) -> Crack:
    """A crack of eight points, some of them off the cloth, of widths from hair to half a millimetre and more."""
    random = np.random.default_rng(seed)
    points = [(float(x), float(y)) for x, y in random.uniform((-0.5, -0.5), (wide_mm + 0.5, high_mm + 0.5), (8, 2))]
    return points, random.uniform(0.05, 0.9, 8).tolist(), (random.integers(1, 5, 8) / 4).tolist(), shown


@pytest.mark.parametrize("bleed_mm", [0.0, 0.22])
@pytest.mark.parametrize("px", [1.0, 3.0, 5.0, 10.0])
def test_cracks_are_drawn_by_their_distances(px, bleed_mm):
    """One piece at a time, so that pieces that lie over each other hide nothing."""
    shape = (24, 31)
    for seed in range(3):
        points, widths, wide, shown = zigzag(seed, shape[0] / px, shape[1] / px, (1.0, 0.6, 0.2)[seed])
        for n in range(7):
            piece = (points[n : n + 2], widths[n : n + 2], wide[n : n + 2], shown)
            assert (drawn([piece], shape, px, bleed_mm) == wanted([piece], shape, px, bleed_mm)).all()


@pytest.mark.parametrize("shape", [(1, 40), (40, 1), (30, 30)])
def test_several_cracks_open_as_much_as_the_strongest(shape):
    px = 6.0
    cracks = [zigzag(seed, shape[0] / px, shape[1] / px, shown) for seed, shown in ((4, 1.0), (5, 0.5), (6, 0.8))]
    made = drawn(cracks, shape, px, 0.22)
    assert made.any()
    assert (made == wanted(cracks, shape, px, 0.22)).all()
    hidden = [(*cracks[0][:3], 0.0), *cracks[1:]]
    assert (drawn(hidden, shape, px, 0.22) == wanted(cracks[1:], shape, px, 0.22)).all()


@pytest.mark.parametrize("turns", range(4))
def test_a_crack_beside_the_cloth_still_bleeds_into_it(turns):
    """A line 0.1 mm off each border in turn, .6 mm wide: it covers the first two pixels and bleeds beyond."""
    shape, px = (20, 20), 10.0
    line = [[(0.5, -0.1), (1.5, -0.1)], [(-0.1, 0.5), (-0.1, 1.5)], [(0.5, 2.1), (1.5, 2.1)], [(2.1, 0.5), (2.1, 1.5)]]
    crack = (line[turns], [0.6, 0.6], [1.0, 1.0], 1.0)
    made = drawn([crack], shape, px, 0.3)
    assert (made == wanted([crack], shape, px, 0.3)).all()
    inwards = (made, made.T, made[::-1], made.T[::-1])[turns]
    assert inwards[:2, 7:13].min() > 190
    assert 0 < inwards[5, 7:13].max() < 30


def level(width: float, wide: float, shown: float = 1.0) -> int:
    """The strongest level of a straight crack along pixels."""
    return int(drawn([([(0.2, 1.05), (2.8, 1.05)], [width] * 2, [wide] * 2, shown)], (20, 30), 10.0, 0.0).max())


def test_the_finest_cracks_are_left_out():
    """A hundredth of a millimetre lets through (.1 + .02) * .01 / .26 of a thread: a level and a fifth."""
    assert level(0.01, 1.0) == 1
    assert level(0.0099, 1.0) == 0
    # shown to a fiftieth and no more it's closed; past that it shows thrice as much as it is allowed
    assert level(3.0, 1.0, shown=0.02) == 0
    assert level(3.0, 0.0205) in range(int(0.78 * 15), 17)
    assert level(3.0, 1.0, shown=0.0) == 0
    assert level(3.0, 1.0, shown=0.0205) in range(int(0.78 * 15), 17)


def test_a_point_is_drawn_as_a_dot():
    """Two points in the same place: the dot of their width."""
    made = drawn([([(1.05, 1.05), (1.05, 1.05)], [0.6, 0.6], [1.0, 1.0], 1.0)], (21, 21), 10.0, 0.0)
    y, x = np.mgrid[:21, :21]
    far = np.hypot(y - 10, x - 10)
    assert ((made > 0) == (far < 3.5)).all()
    assert made[far <= 2.5].min() > 195
