"""Lines as a hand draws them: curves through points, uneven widths, wobble. Lengths are in mask pixels."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.interpolate import CubicSpline, PchipInterpolator

Points = NDArray[np.float64]
Numbers = NDArray[np.float64]


def curve(points: ArrayLike, *, step: float = 3.0, closed: bool = False) -> Points:
    """Dense points (n, 2) on a smooth curve through `points`, about `step` apart."""
    knots = np.asarray(points, dtype=float)
    if closed:
        knots = np.vstack([knots, knots[:1]])
    gaps = np.sqrt(np.maximum(np.hypot(*np.diff(knots, axis=0).T), 1e-6))
    at = np.concatenate([[0.0], np.cumsum(gaps)])
    spline = CubicSpline(at, knots, bc_type="periodic" if closed else "natural")
    rough = spline(np.linspace(0, at[-1], 40 * len(knots)))
    return respace(rough, step=step)


def respace(path: Points, *, step: float = 3.0) -> Points:
    """The same line with points evenly `step` apart."""
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])
    count = max(int(run[-1] / step), 4)
    even = np.linspace(0, run[-1], count)
    return np.column_stack([np.interp(even, run, path[:, 0]), np.interp(even, run, path[:, 1])])


def length(path: Points) -> float:
    """How long the line is."""
    return float(np.hypot(*np.diff(path, axis=0).T).sum())


def normals(path: Points) -> Points:
    """Unit normals (n, 2), to the left of travel."""
    along = np.gradient(path, axis=0)
    size = np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-9)
    return np.column_stack([along[:, 1], -along[:, 0]]) / size[:, None]


def shift(path: Points, by: ArrayLike) -> Points:
    """The line moved sideways by `by` (one number, or one a point)."""
    return path + normals(path) * np.broadcast_to(np.asarray(by, dtype=float), len(path))[:, None]


def part(path: Points, start: float, end: float) -> Points:
    """The stretch of the line from share `start` to share `end`."""
    last = len(path) - 1
    low, high = round(start * last), max(round(end * last), round(start * last) + 2)
    return path[low : high + 1]


def at(path: Points, share: float) -> tuple[Points, float]:
    """Point at that share of the line, and the heading there in radians."""
    here = min(max(round(share * (len(path) - 1)), 0), len(path) - 1)
    along = path[min(here + 2, len(path) - 1)] - path[max(here - 2, 0)]
    return path[here], math.atan2(along[1], along[0])


def noise(rng: np.random.Generator, count: int, *, every: float) -> Numbers:
    """Smooth unevenness (count,), about -1..1, with a bump every `every` points."""
    knots = max(int(count / max(every, 1.0)) + 3, 4)
    bumps = rng.uniform(-1, 1, knots)
    return PchipInterpolator(np.arange(knots), bumps)(np.linspace(0, knots - 1.001, count))


def wobble(rng: np.random.Generator, path: Points, *, by: float, every: float = 25.0) -> Points:
    """The line with a hand's unsteadiness of `by` pixels."""
    return shift(path, by * noise(rng, len(path), every=every))


def profile(count: int, shares: Sequence[tuple[float, float]]) -> Numbers:
    """Widths (count,) through (share of the way, width) pairs, smoothly."""
    where, wide = np.array(shares, dtype=float).T
    return PchipInterpolator(where, wide)(np.linspace(where[0], where[-1], count))


def polar(centre: ArrayLike, angle: float, distance: float) -> Points:
    """Point at `distance` from `centre` in the direction `angle` (radians, y downward)."""
    return np.asarray(centre, dtype=float) + distance * np.array([math.cos(angle), math.sin(angle)])


def bow(start: ArrayLike, end: ArrayLike, bend: float, *, step: float = 3.0) -> Points:
    """A bowed line from start to end; `bend` is the sideways swing as a share of its length."""
    first, last = np.asarray(start, dtype=float), np.asarray(end, dtype=float)
    along = last - first
    side = np.array([along[1], -along[0]]) * bend
    return curve([first, first + along * 0.5 + side, last], step=step)
