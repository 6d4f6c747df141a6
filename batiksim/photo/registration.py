"""A photo of a finished cloth laid over its prediction, by the cloth's own pattern.

First guesses come from phase correlation (turn and size from the spectra's log-polar pictures, then the shift), from
corner-like features, and from taking the cloth to fill the photo. Each is refined by least squares on lightness and
colour, coarse to fine; brightness and contrast may differ, so dyes that came out otherwise do little harm. The guess
whose pattern agrees best is taken.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from batiksim.colour import spaces
from batiksim.errors import BatikError
from batiksim.photo.homography import frame_corners, from_corners, moved, reduced, turns, warped
from batiksim.photo.registration_guesses import first_guesses
from batiksim.types import Bools, Bytes, Floats

__all__ = ["Registration", "register"]


SIZE = 384  # the longer side of the prediction while registering
LEAST_AGREEMENT = 0.45  # correlation of pattern below which a match is not believed; set on made photos
CORNERS_MAY_MOVE = 0.03  # share of the longer side by which given corners are refined
SURE = 0.75  # once refined coarsely: no other guess is looked at
_STAGES = ((4, 5.0, 30), (2, 2.5, 20), (1, 1.2, 15))  # every how many pixels, blur in pixels, rounds at most
_HUBER = 1.5
RIM = 2.0  # of the blur: how far inside its edge the cloth is compared
_FIX = 'give the cloth\'s corners in the photo: --corners "x,y x,y x,y x,y"'


@dataclass(frozen=True, kw_only=True)
class Registration:
    """Where the prediction lies in the photo.

    matrix : (3, 3), pixels of the prediction (x, y, 1) to pixels of the photo
    agreement : correlation of their patterns, up to 1
    how : the first guess that led there, in words
    """

    matrix: Floats
    agreement: float
    how: str


def register(predicted: Bytes, photo: Bytes, *, corners: Sequence[tuple[float, float]] | None = None) -> Registration:
    """Find the cloth in a photo.

    predicted, photo : sRGB uint8 (rows, cols, 3)
    corners : of the cloth in the photo, top left first, clockwise; only refined a little then
    errors : BatikError when the patterns can't be brought together
    """
    small, to_small = reduced(predicted, SIZE)
    seen, to_seen = reduced(photo, round(1.5 * SIZE))
    wanted, found = _channels(small), _channels(seen)
    size = np.array([small.shape[1], small.shape[0]], dtype=np.float64)
    if corners is not None:
        start = from_corners(size, moved(np.asarray(corners, dtype=np.float64), to_seen))
        best = _refined(wanted, found, start, stages=_STAGES[1:])
        if _corner_shift(best, start, size) > CORNERS_MAY_MOVE * size.max():
            best = start
        return Registration(
            matrix=np.linalg.inv(to_seen) @ best @ to_small, agreement=_agreement(wanted, found, best), how="corners"
        )
    tried: list[tuple[float, str, Floats]] = []
    for how, start in first_guesses(small, seen, wanted, found):
        matrix = _refined(wanted, found, start, stages=_STAGES[:1])
        if _sound(matrix, size, seen.shape):
            tried.append((_agreement(wanted, found, matrix), how, matrix))
        if tried and tried[-1][0] > SURE:
            break
    tried = [
        (_agreement(wanted, found, better), how, better)
        for _, how, matrix in sorted(tried, key=lambda one: -one[0])[:2]
        if _sound(better := _refined(wanted, found, matrix, stages=_STAGES[1:]), size, seen.shape)
    ]
    agreement, how, matrix = max(tried, key=lambda one: one[0], default=(0.0, "", np.eye(3)))
    if agreement < LEAST_AGREEMENT:
        got = f"best agreement {agreement:.2f} of 1"
        raise BatikError("the cloth can't be found in the photo by its pattern", got=got, fix=_FIX)
    return Registration(matrix=np.linalg.inv(to_seen) @ matrix @ to_small, agreement=agreement, how=how)


def _channels(rgb: Bytes) -> Floats:
    """OKLab, about -1..1 each: lightness, and colour at about the same weight."""
    lab = spaces.xyz_to_oklab(spaces.linear_srgb_to_xyz(spaces.decode_srgb(rgb / 255.0)))
    return np.asarray(lab * np.array([1.0, 2.5, 2.5]))


def _corner_shift(one: Floats, other: Floats, size: Floats) -> float:
    return float(np.abs(moved(frame_corners(size), one) - moved(frame_corners(size), other)).max())


def _sound(matrix: Floats, size: Floats, shape: tuple[int, ...]) -> bool:
    """Whether the cloth's frame lands in the photo as a four-sided figure of sensible size, not mirrored."""
    frame = moved(frame_corners(size), matrix)
    area = 0.5 * abs(np.sum(frame[:, 0] * np.roll(frame[:, 1], -1) - frame[:, 1] * np.roll(frame[:, 0], -1)))
    reach = np.array([shape[1], shape[0]])
    return bool(
        np.all(turns(frame) > 0)
        and 0.05 * shape[0] * shape[1] < area < 2.0 * shape[0] * shape[1]
        and np.all(frame > -0.3 * reach)
        and np.all(frame < 1.3 * reach)
    )


def _agreement(wanted: Floats, found: Floats, matrix: Floats) -> float:
    """Correlation where the pictures overlap, each channel by how much it tells; half of them must overlap.

    Its sign doesn't count: green where red was planned still shows the same pattern.
    """
    from scipy.ndimage import gaussian_filter

    shown = warped(gaussian_filter(found, (1.0, 1.0, 0)), matrix, (wanted.shape[0], wanted.shape[1]))
    inside = np.isfinite(shown[..., 0])
    if inside.mean() < 0.5:
        return 0.0
    one, other = wanted[inside] - wanted[inside].mean(axis=0), shown[inside] - shown[inside].mean(axis=0)
    power = np.sum(one * one, axis=0)
    alike = np.abs(np.sum(one * other, axis=0)) / np.sqrt(power * np.sum(other * other, axis=0) + 1e-12)
    return float(np.sum(alike * power) / (np.sum(power) + 1e-12)) * float(inside.mean())


def _refined(wanted: Floats, found: Floats, matrix: Floats, *, stages: Sequence[tuple[int, float, int]]) -> Floats:
    """The projective matrix made better, coarse to fine."""
    from scipy.ndimage import gaussian_filter

    for step, blur, rounds in stages:
        soft = gaussian_filter(wanted, (blur, blur, 0))[::step, ::step]
        seen = gaussian_filter(found, (blur, blur, 0))
        slopes = np.gradient(seen, axis=(0, 1))
        layers = np.concatenate([seen, slopes[0], slopes[1]], axis=-1)
        matrix = _least_squares(soft, layers, matrix, step, rounds, rim=math.ceil(RIM * blur / step))
    return matrix


def _least_squares(wanted: Floats, layers: Floats, matrix: Floats, step: int, rounds: int, *, rim: int) -> Floats:
    """Gauss-Newton on the eight free numbers of the matrix; gain and bias of each channel are fitted along."""
    grid = np.diag([float(step), float(step), 1.0])
    x, y = np.meshgrid(np.arange(wanted.shape[1]) * float(step), np.arange(wanted.shape[0]) * float(step))
    middle = np.zeros(wanted.shape[:2], np.bool_)  # beyond, the table has been blurred into the photo's cloth
    middle[rim:-rim, rim:-rim] = True
    for _ in range(rounds):
        shown = warped(layers, matrix @ grid, (wanted.shape[0], wanted.shape[1]))
        inside: Bools = np.isfinite(shown).all(axis=-1) & middle
        if inside.sum() < 200:
            return matrix
        value, by_row, by_col = shown[inside][:, :3], shown[inside][:, 3:6], shown[inside][:, 6:]
        change = _change(wanted[inside], value, by_row, by_col, x[inside], y[inside], matrix)
        matrix = matrix + change
        matrix = matrix / matrix[2, 2]
        if np.abs(change[:2] @ np.array([x.max(), y.max(), 1.0])).max() < 0.02:
            break
    return matrix


def _evened(seen: Floats, goal: Floats, across: Floats, down: Floats) -> tuple[Floats, Floats]:
    """The photo's gain against the plan at each pixel, and what it misses: gain and bias may change over the cloth."""
    some = slice(None, None, max(1, len(seen) // 4000))
    field = np.stack([np.ones_like(seen), across, down, across**2, across * down, down**2], axis=1)
    terms = np.concatenate([field, field[:, :3] * seen[:, None]], axis=1)
    square = terms[some].T @ terms[some]  # nine terms of about one size: as good as the long table, and much quicker
    found = np.linalg.lstsq(square, terms[some].T @ goal[some], rcond=1e-12)[0]
    return np.asarray(field[:, :3] @ found[6:]), goal - terms @ found


def _change(
    wanted: Floats,
    value: Floats,
    by_row: Floats,
    by_col: Floats,
    x: Floats,
    y: Floats,
    matrix: Floats,
) -> Floats:
    depth = matrix[2, 0] * x + matrix[2, 1] * y + matrix[2, 2]
    u = (matrix[0, 0] * x + matrix[0, 1] * y + matrix[0, 2]) / depth
    v = (matrix[1, 0] * x + matrix[1, 1] * y + matrix[1, 2]) / depth
    square, right = np.zeros((8, 8)), np.zeros(8)
    across, down = x / max(float(x.max()), 1.0) - 0.5, y / max(float(y.max()), 1.0) - 0.5
    for channel in range(3):
        gain, off = _evened(value[:, channel], wanted[:, channel], across, down)
        weight = np.minimum(1.0, _HUBER * off.std() / np.maximum(np.abs(off), 1e-9))
        du, dv = gain * by_col[:, channel] / depth, gain * by_row[:, channel] / depth
        back = -(du * u + dv * v)
        slope = np.stack([du * x, du * y, du, dv * x, dv * y, dv, back * x, back * y], axis=1)
        square += slope.T @ (weight[:, None] * slope)
        right += slope.T @ (weight * off)
    scale = np.sqrt(np.maximum(np.diag(square), 1e-12))
    solved = np.linalg.solve(square / np.outer(scale, scale) + 1e-6 * np.eye(8), right / scale) / scale
    return np.append(solved, 0.0).reshape(3, 3)
