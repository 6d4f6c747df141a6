"""A sheet to draw on, the tools that mark it, and the finishing that makes the marks look like melted wax."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike, NDArray
from PIL import Image, ImageDraw
from scipy.ndimage import gaussian_filter, zoom

from _brushes.paths import Points, length, noise, normals, respace, shift, wobble

Grey = NDArray[np.float32]
FINER = 2
"""The sheet is drawn this many times finer than the mask."""


class Sheet:
    """One mask being drawn. Coordinates are mask pixels; marks are 1, bare cloth is 0."""

    def __init__(self, width: int, height: int) -> None:
        self.width, self.height = width, height
        self.image = Image.new("L", (width * FINER, height * FINER), 0)
        self.pen = ImageDraw.Draw(self.image)

    def trace(self, path: Points, half: ArrayLike, *, ink: int = 255) -> None:
        """A line with half width `half` (one number or one a point) and round ends."""
        fine = path * FINER
        wide = np.broadcast_to(np.asarray(half, dtype=float) * FINER, len(path))
        side = normals(fine) * wide[:, None]
        left, right = fine + side, fine - side
        for a, b, c, d in zip(left[:-1], left[1:], right[1:], right[:-1], strict=True):
            self.pen.polygon([*a, *b, *c, *d], fill=ink)
        for (x, y), r in zip(fine, wide, strict=True):
            if r > 0.4:
                self.pen.ellipse([x - r, y - r, x + r, y + r], fill=ink)

    def fill(self, outline: Points, *, ink: int = 255) -> None:
        """A closed shape, filled."""
        self.pen.polygon([tuple(point) for point in outline * FINER], fill=ink)

    def hair(self, path: Points, width: float, *, ink: int = 255) -> None:
        """A plain thin line, as one bristle leaves it."""
        if len(path) > 1:
            points = [tuple(point) for point in path * FINER]
            self.pen.line(points, fill=ink, width=max(round(width * FINER), 1))

    def marks(self) -> Grey:
        """What is drawn so far, 0..1, at the finer size."""
        return np.asarray(self.image, dtype=np.float32) / 255


def canting(
    sheet: Sheet, rng: np.random.Generator, path: Points, width: float, *, drop: float = 1.5, ink: int = 255
) -> None:
    """A line of hot wax from a spout: swells where it starts and rests, thins where it hurries."""
    path = wobble(rng, respace(path, step=2.5), by=min(1.6, 0.5 + width * 0.15), every=14)
    count = len(path)
    half = width / 2 * (1 + 0.22 * noise(rng, count, every=22) + 0.13 * noise(rng, count, every=6))
    run = np.arange(count) * 2.5
    half += width / 2 * (drop - 1) * np.exp(-((run / (width * 1.3)) ** 2)) * rng.uniform(0.5, 1.2)
    half += width / 2 * (drop - 1) * np.exp(-(((run[-1] - run) / (width * 1.1)) ** 2)) * rng.uniform(0.1, 0.8)
    for _ in range(rng.poisson(length(path) / 520)):
        half += width / 2 * rng.uniform(0.25, 0.6) * np.exp(-(((run - rng.uniform(0, run[-1])) / (width * 0.9)) ** 2))
    sheet.trace(path, np.maximum(half, 0.8), ink=ink)


def dot(sheet: Sheet, rng: np.random.Generator, centre: ArrayLike, radius: float, *, ink: int = 255) -> None:
    """One drop of wax, never quite round."""
    angle = np.linspace(0, 2 * np.pi, 18, endpoint=False)
    lean, turn = rng.uniform(0, 0.22), rng.uniform(0, np.pi)
    reach = radius * (1 + lean * np.cos(2 * (angle - turn)) + 0.09 * rng.uniform(-1, 1, 18))
    ring = np.column_stack([np.cos(angle), np.sin(angle)]) * reach[:, None]
    sheet.fill(np.asarray(centre, dtype=float) + ring, ink=ink)


def brush(
    sheet: Sheet, rng: np.random.Generator, path: Points, half: ArrayLike, *, rough: float = 0.1, ink: int = 255
) -> None:
    """A full, wet brush mark whose edge wavers."""
    path = wobble(rng, respace(path), by=1.2, every=18)
    given = np.asarray(half, dtype=float)
    wide = np.interp(np.linspace(0, 1, len(path)), np.linspace(0, 1, given.size), np.atleast_1d(given))
    wide = wide * (1 + rough * noise(rng, len(path), every=16) + rough * 0.5 * noise(rng, len(path), every=5))
    sheet.trace(path, np.maximum(wide, 0), ink=ink)


def dry_brush(
    sheet: Sheet,
    rng: np.random.Generator,
    path: Points,
    half: ArrayLike,
    *,
    wet: float = 0.5,
    bristle: float = 3.0,
    ink: int = 255,
) -> None:
    """A mark of a brush running out of wax: full at first, then split into bristle streaks.

    wet : share of the stroke before it breaks, about; 1 = hardly breaks at all.
    """
    path = wobble(rng, respace(path, step=4), by=1.5, every=22)
    count = len(path)
    given = np.atleast_1d(np.asarray(half, dtype=float))
    wide = np.interp(np.linspace(0, 1, count), np.linspace(0, 1, given.size), given)
    hairs = max(int(2 * wide.max() / (bristle * 0.62)), 4)
    patchy = noise(rng, count, every=30)
    for place in np.linspace(-1, 1, hairs):
        lie = np.clip(place + rng.normal(0, 0.6 / hairs) + 0.03 * noise(rng, count, every=40), -1, 1)
        line = shift(path, lie * wide)
        full = wet + 0.35 * rng.normal() * (0.4 + abs(place)) - 0.18 * abs(place) ** 3
        flow = full - np.linspace(0, 1, count) + 0.22 * noise(rng, count, every=12) + 0.16 * patchy
        start = int(abs(rng.normal(0, 0.012)) * count)
        for first, last in _runs(flow > 0):
            if last - max(first, start) > 2:
                sheet.hair(line[max(first, start) : last], bristle * rng.uniform(0.6, 1.35), ink=ink)


def _runs(on: NDArray[np.bool_]) -> Iterator[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate([[0], on.astype(np.int8), [0]])))
    return zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True)


def spatter(
    sheet: Sheet, rng: np.random.Generator, count: int, *, where: ArrayLike, spread: float, ink: int = 255
) -> None:
    """Drops flicked from the brush: many small, a few large."""
    middle = np.asarray(where, dtype=float)
    for place in rng.normal(0, 1, (count, 2)) * spread + middle:
        dot(sheet, rng, place, min(1.3 + rng.pareto(2.6) * 1.5, 7.5), ink=ink)


def field(rng: np.random.Generator, height: int, width: int, *, every: float) -> Grey:
    """A smooth uneven field, about -1..1, with bumps `every` pixels apart."""
    rows, cols = int(height / every) + 4, int(width / every) + 4
    coarse = rng.normal(0, 1, (rows, cols)).astype(np.float32)
    scale = (height / (rows - 3), width / (cols - 3))
    smooth = zoom(gaussian_filter(coarse, 0.6), scale, order=3)[:height, :width]
    return np.asarray(np.clip(smooth / (2 * smooth.std() + 1e-9), -1.5, 1.5), dtype=np.float32)


def weave(rng: np.random.Generator, height: int, width: int) -> Grey:
    """Threads: unevenness along the warp and along the weft, standard deviation 1."""
    grain = rng.normal(0, 1, (height, width)).astype(np.float32)
    both = gaussian_filter(grain, (1.0, 5.0)) + gaussian_filter(grain[::-1, ::-1], (5.0, 1.0))
    return np.asarray(both / both.std(), dtype=np.float32)


def melt(marks: Grey, rng: np.random.Generator, *, flow: float = 1.1, soft: float = 1.1, grain: float = 0.03) -> Grey:
    """Marks at the finer size -> mask (rows, cols) 0..1: corners filled, hairs joined, edge on threads.

    flow : how far melted wax rounds its own corners; soft : width of the edge; both in mask pixels
    grain : how far the weave pulls the edge about
    """
    lain = gaussian_filter(marks, flow * FINER)
    if grain:
        lain = lain + grain * weave(rng, *lain.shape)
    slope = 2.5 * flow / soft
    sharp = np.clip((lain - 0.46) * slope + 0.5, 0, 1)
    rows, cols = sharp.shape[0] // FINER, sharp.shape[1] // FINER
    return np.asarray(sharp.reshape(rows, FINER, cols, FINER).mean(axis=(1, 3)), dtype=np.float32)


def save(mask: Grey, path: Path, *, levels: int = 10) -> None:
    """Write a mask (rows, cols) 0..1 as a grey PNG, dark marks on white, few levels so that it stays small."""
    steps = np.round(np.clip(1 - mask, 0, 1) * (levels - 1))
    grey = np.round(steps * 255 / (levels - 1)).astype(np.uint8)
    path.parent.mkdir(parents=True, exist_ok=True)
    Image.fromarray(grey).save(path, optimize=True)
