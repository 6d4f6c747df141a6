"""A photo of a finished cloth laid over its prediction, by the cloth's own pattern.

First guesses come from phase correlation (turn and size from the spectra's log-polar pictures, then the shift), from
corner-like features, and from taking the cloth to fill the photo. Each is refined by least squares on lightness and
colour, coarse to fine; brightness and contrast may differ, so dyes that came out otherwise do little harm. The guess
whose pattern agrees best is taken.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from batiksim.colour import spaces
from batiksim.errors import BatikError
from batiksim.photo.homography import (
    frame_corners,
    homography_from_corners,
    polygon_area,
    reduced,
    signed_turns,
    transform_points,
    warp,
)
from batiksim.photo.registration_guesses import first_guesses
from batiksim.texts.phrases import percent
from batiksim.types import Bools, Bytes, Floats

SIZE = 384  # the longer side of the prediction while registering
LEAST_AGREEMENT = 0.45  # correlation of pattern below which a match is not believed; set on made photos
CORNERS_MAY_MOVE = 0.03  # share of the longer side by which given corners are refined
SURE = 0.75  # once refined coarsely: no other guess is looked at
_STAGES = ((4, 5.0, 30), (2, 2.5, 20), (1, 1.2, 15))  # every how many pixels, blur in pixels, rounds at most
_HUBER = 1.5
RIM = 2.0  # of the blur: how far inside its edge the cloth is compared


@dataclass(frozen=True, eq=False, kw_only=True)
class Registration:
    """Where the prediction lies in the photo.

    matrix : (3, 3), pixels of the prediction (x, y, 1) to pixels of the photo
    agreement : correlation of their patterns, up to 1
    how : the first guess that led there: "filling", "phase", "features" or "corners"
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
    reference, moving = _channels(small), _channels(seen)
    size = np.array([small.shape[1], small.shape[0]], dtype=np.float64)

    def registration(matrix: Floats, how: str) -> Registration:
        full_size = np.linalg.inv(to_seen) @ matrix @ to_small
        return Registration(matrix=full_size, agreement=_agreement(reference, moving, matrix), how=how)

    if corners is not None:
        start = homography_from_corners(size, transform_points(np.asarray(corners, dtype=np.float64), to_seen))
        refined = _refine(reference, moving, start, stages=_STAGES[1:])
        frame = frame_corners(size)
        shift = np.abs(transform_points(frame, refined) - transform_points(frame, start)).max()
        moved_too_far = shift > CORNERS_MAY_MOVE * size.max()
        return registration(start if moved_too_far else refined, "corners")
    candidates: list[tuple[float, str, Floats]] = []
    for how, start in first_guesses(small, seen, reference, moving):
        matrix = _refine(reference, moving, start, stages=_STAGES[:1])
        if _is_plausible(matrix, size, seen.shape):
            candidates.append((_agreement(reference, moving, matrix), how, matrix))
        if candidates and candidates[-1][0] > SURE:
            break
    best_two = sorted(candidates, key=lambda candidate: -candidate[0])[:2]
    refined_two = [(how, _refine(reference, moving, matrix, stages=_STAGES[1:])) for _, how, matrix in best_two]
    results = [registration(matrix, how) for how, matrix in refined_two if _is_plausible(matrix, size, seen.shape)]
    best = max(results, key=lambda result: result.agreement, default=None)
    if best is None or best.agreement < LEAST_AGREEMENT:
        agreement = percent(best.agreement if best else 0, whole=True)
        raise BatikError("photo.error.cloth_not_found", agreement=agreement)
    return best


def _channels(rgb: Bytes) -> Floats:
    """OKLab, about -1..1 each: lightness, and colour at about the same weight."""
    lab = spaces.xyz_to_oklab(spaces.linear_srgb_to_xyz(spaces.decode_srgb(rgb / 255.0)))
    return np.asarray(lab * np.array([1.0, 2.5, 2.5]))


def _is_plausible(matrix: Floats, size: Floats, shape: tuple[int, ...]) -> bool:
    """Whether the cloth's frame lands in the photo as a four-sided figure of sensible size, not mirrored."""
    frame = transform_points(frame_corners(size), matrix)
    area = polygon_area(frame)
    reach = np.array([shape[1], shape[0]])
    return bool(
        np.all(signed_turns(frame) > 0)
        and 0.05 * shape[0] * shape[1] < area < 2.0 * shape[0] * shape[1]
        and np.all(frame > -0.3 * reach)
        and np.all(frame < 1.3 * reach)
    )


def _agreement(reference: Floats, moving: Floats, matrix: Floats) -> float:
    """Correlation where the pictures overlap, each channel by how much it varies; half of them must overlap.

    Its sign doesn't count: green where red was planned still shows the same pattern.
    """
    from scipy.ndimage import gaussian_filter

    shown = warp(gaussian_filter(moving, (1.0, 1.0, 0)), matrix, (reference.shape[0], reference.shape[1]))
    inside = np.isfinite(shown[..., 0])
    if inside.mean() < 0.5:
        return 0.0
    first, second = (values[inside] - values[inside].mean(axis=0) for values in (reference, shown))
    power = np.sum(first * first, axis=0)
    correlation = np.abs(np.sum(first * second, axis=0)) / np.sqrt(power * np.sum(second * second, axis=0) + 1e-12)
    return float(np.sum(correlation * power) / (np.sum(power) + 1e-12)) * float(inside.mean())


def _refine(reference: Floats, moving: Floats, matrix: Floats, *, stages: Sequence[tuple[int, float, int]]) -> Floats:
    """The projective matrix made better, coarse to fine."""
    from scipy.ndimage import gaussian_filter

    for step, blur, rounds in stages:
        soft = gaussian_filter(reference, (blur, blur, 0))[::step, ::step]
        seen = gaussian_filter(moving, (blur, blur, 0))
        layers = np.concatenate([seen, *np.gradient(seen, axis=(0, 1))], axis=-1)
        matrix = _gauss_newton(soft, layers, matrix, step, rounds, rim=math.ceil(RIM * blur / step))
    return matrix


def _gauss_newton(reference: Floats, layers: Floats, matrix: Floats, step: int, rounds: int, *, rim: int) -> Floats:
    """Gauss-Newton with Huber's weights on the matrix's eight free numbers; each channel's gain and bias fitted along.

    layers : (rows, cols, 9) of the moving picture: its channels, their gradients by row, those by column
    """
    grid = np.diag([float(step), float(step), 1.0])
    x, y = np.meshgrid(np.arange(reference.shape[1]) * float(step), np.arange(reference.shape[0]) * float(step))
    middle = np.zeros(reference.shape[:2], np.bool_)  # beyond, the table has been blurred into the photo's cloth
    middle[rim:-rim, rim:-rim] = True
    for _ in range(rounds):
        shown = warp(layers, matrix @ grid, (reference.shape[0], reference.shape[1]))
        inside: Bools = np.isfinite(shown).all(axis=-1) & middle
        if inside.sum() < 200:
            return matrix
        change = _update(reference[inside], shown[inside], x[inside], y[inside], matrix)
        matrix = matrix + change
        matrix = matrix / matrix[2, 2]
        if np.abs(change[:2] @ np.array([x.max(), y.max(), 1.0])).max() < 0.02:
            break
    return matrix


def _update(goal: Floats, shown: Floats, x: Floats, y: Floats, matrix: Floats) -> Floats:
    """What one round adds to the matrix: the weighted normal equations of all channels, solved."""
    normal, right = np.zeros((8, 8)), np.zeros(8)
    across, down = x / max(float(x.max()), 1.0) - 0.5, y / max(float(y.max()), 1.0) - 0.5
    for channel in range(3):
        gain, residual = _gain_bias(shown[:, channel], goal[:, channel], across, down)
        weight = np.minimum(1.0, _HUBER * residual.std() / np.maximum(np.abs(residual), 1e-9))
        jacobian = _jacobian(gain * shown[:, 6 + channel], gain * shown[:, 3 + channel], x, y, matrix)
        normal += jacobian.T @ (weight[:, None] * jacobian)
        right += jacobian.T @ (weight * residual)
    scale = np.sqrt(np.maximum(np.diag(normal), 1e-12))
    solution = np.linalg.solve(normal / np.outer(scale, scale) + 1e-6 * np.eye(8), right / scale) / scale
    return np.append(solution, 0.0).reshape(3, 3)


def _gain_bias(shown: Floats, goal: Floats, across: Floats, down: Floats) -> tuple[Floats, Floats]:
    """The photo's gain against the plan at each pixel, and the residual: gain and bias may change over the cloth."""
    sample = slice(None, None, max(1, len(shown) // 4000))
    field = np.stack([np.ones_like(shown), across, down, across**2, across * down, down**2], axis=1)
    terms = np.concatenate([field, field[:, :3] * shown[:, None]], axis=1)
    square = terms[sample].T @ terms[sample]  # nine terms of about one size: as good as the long table, much quicker
    fitted = np.linalg.lstsq(square, terms[sample].T @ goal[sample], rcond=1e-12)[0]
    return np.asarray(field[:, :3] @ fitted[6:]), goal - terms @ fitted


def _jacobian(by_col: Floats, by_row: Floats, x: Floats, y: Floats, matrix: Floats) -> Floats:
    """How values at pixels x, y change with the matrix's eight free numbers: (n, 8).

    by_col, by_row : the moving picture's gradients where these pixels land
    """
    depth = matrix[2, 0] * x + matrix[2, 1] * y + matrix[2, 2]
    u = (matrix[0, 0] * x + matrix[0, 1] * y + matrix[0, 2]) / depth
    v = (matrix[1, 0] * x + matrix[1, 1] * y + matrix[1, 2]) / depth
    du, dv = by_col / depth, by_row / depth
    back = -(du * u + dv * v)
    return np.stack([du * x, du * y, du, dv * x, dv * y, dv, back * x, back * y], axis=1)
