"""First guesses of where a cloth lies in a photo: it fills the photo, phase correlation, features of both pictures."""

from collections.abc import Iterator
from typing import Any

import numpy as np

from batiksim.photo.homography import frame_corners, homography_from_corners, warp
from batiksim.types import Bytes, Floats

LEAST_PX = 16  # of the shorter side, for features and spectra


def first_guesses(small: Bytes, seen: Bytes, reference: Floats, moving: Floats) -> Iterator[tuple[str, Floats]]:
    """First guesses, the quickest first; later ones are only worked out when they are needed."""
    size = np.array([small.shape[1], small.shape[0]], dtype=np.float64)
    frame = frame_corners(np.array([seen.shape[1], seen.shape[0]], dtype=np.float64))
    middle = frame.mean(axis=0)
    for inset in (0.0, 0.1, 0.2):
        yield "filling", homography_from_corners(size, middle + (1 - inset) * (frame - middle))
    if min(*small.shape[:2], *seen.shape[:2]) < LEAST_PX:
        return
    for how, found in (("phase", _by_phase), ("features", _by_features)):
        for matrix in found(reference[..., 0], moving[..., 0]):
            yield how, matrix


def _by_features(reference: Floats, moving: Floats) -> list[Floats]:
    """A perspective from features that both pictures have."""
    from skimage.feature import SIFT, match_descriptors
    from skimage.measure import ransac
    from skimage.transform import ProjectiveTransform

    features: list[tuple[Floats, Any]] = []
    for picture in (reference, moving):
        sift = SIFT(upsampling=1)
        try:
            sift.detect_and_extract(picture)
        except RuntimeError:  # a picture without any feature
            return []
        features.append((np.asarray(sift.keypoints)[:, ::-1], sift.descriptors))
    pairs = match_descriptors(features[0][1], features[1][1], max_ratio=0.85, cross_check=True)
    if len(pairs) < 8:
        return []
    here, there = features[0][0][pairs[:, 0]], features[1][0][pairs[:, 1]]
    fitted: Any = ransac(
        (here, there), ProjectiveTransform, min_samples=4, residual_threshold=4.0, max_trials=800, rng=1
    )
    model, inside = fitted
    return [np.asarray(model.params)] if model and inside is not None and inside.sum() >= 6 else []


def _by_phase(reference: Floats, moving: Floats) -> list[Floats]:
    """Turn, size and shift by phase correlation of the pictures' edges."""
    from skimage.registration import phase_cross_correlation
    from skimage.transform import warp_polar

    side = 2 ** int(np.ceil(np.log2(max(*reference.shape, *moving.shape))))
    both = [_edges_in_square(picture, side) for picture in (reference, moving)]
    if not all(picture.any() for picture in both):  # one without any pattern
        return []
    radius = side // 2
    polar = []
    for picture in both:
        spectrum = np.abs(np.fft.fftshift(np.fft.fft2(picture)))
        ring = np.hypot(*np.meshgrid(np.arange(side) - radius, np.arange(side) - radius))
        spectrum = np.log1p(spectrum) * np.clip(ring / 12, 0, 1)
        polar.append(warp_polar(spectrum, radius=radius, output_shape=(360, side), scaling="log")[:180])
    shift, _, _ = phase_cross_correlation(polar[0], polar[1], upsample_factor=4, normalization=None)
    scale = float(np.exp(shift[1] / (side / np.log(radius))))
    guesses = []
    for turn in (shift[0], shift[0] + 180) if 0.3 < scale < 3.5 else ():
        turned = _similarity(-np.radians(turn), scale, side)
        shown = np.nan_to_num(warp(both[1][..., None], turned, (side, side))[..., 0])
        if not shown.any():
            continue
        step, _, _ = phase_cross_correlation(both[0], shown, normalization=None)
        move = np.array([[1.0, 0.0, -step[1]], [0.0, 1.0, -step[0]], [0.0, 0.0, 1.0]])
        guesses.append(_unpadded(turned @ move, reference.shape, moving.shape, side))
    return guesses


def _edges_in_square(picture: Floats, side: int) -> Floats:
    from scipy.ndimage import gaussian_gradient_magnitude

    edges = gaussian_gradient_magnitude(picture, 2.0)
    edges *= np.hanning(picture.shape[0])[:, None] ** 0.3 * np.hanning(picture.shape[1]) ** 0.3
    square = np.zeros((side, side))
    top, left = (side - picture.shape[0]) // 2, (side - picture.shape[1]) // 2
    square[top : top + picture.shape[0], left : left + picture.shape[1]] = edges
    return square


def _similarity(angle: float, scale: float, side: int) -> Floats:
    """About the middle of a square: places of the one picture to places of the other."""
    cos, sin, middle = np.cos(angle) / scale, np.sin(angle) / scale, (side - 1) / 2
    there = np.array([[cos, -sin, 0.0], [sin, cos, 0.0], [0.0, 0.0, 1.0]])
    to, back = np.eye(3), np.eye(3)
    to[:2, 2], back[:2, 2] = -middle, middle
    return np.asarray(back @ there @ to)


def _unpadded(matrix: Floats, reference: tuple[int, ...], moving: tuple[int, ...], side: int) -> Floats:
    into, out = np.eye(3), np.eye(3)
    into[:2, 2] = (side - reference[1]) // 2, (side - reference[0]) // 2
    out[:2, 2] = -((side - moving[1]) // 2), -((side - moving[0]) // 2)
    return np.asarray(out @ matrix @ into)
