"""Photos of an invented strip through cameras whose sensitivities were measured, developed as cameras do it.

Sensitivities: M. M. Darrodi et al., J. Opt. Soc. Am. A 32 (2015), 381-391 (National Physical Laboratory); they, the
chart's spectra and the lamps come with colour-science. Step by step: light falling off with cos^4 of the angle, white
balance, shot noise, one colour a pixel and the others from its neighbours, a matrix fitted to a chart of 24 patches,
sRGB, edges sharpened, coarse JPEG.
No 3x3 matrix turns such sensitivities into an eye's, so colours come out a little wrong, each in its own way.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from functools import cache

import colour
import numpy as np
from PIL import Image, ImageFilter
from scipy.ndimage import convolve

from batiksim.colour import kubelka_munk, spaces, spectra
from batiksim.colour.viewing import seen_xyz
from batiksim.files.toml.strips import read_strip
from batiksim.photo.strip_reading import measure_strip
from tests.calibration.made_strips import made

CAMERA, EYE = "Nikon 5100 (NPL)", "an eye"
CHART = "BabelColor Average"
CELL = 90  # pixels
MARGIN = 60
CARD_WIDTH = 110


@dataclass(frozen=True, kw_only=True)
class Camera:
    """camera : whose sensitivities; lamp : of colour-science; cast : share of the lamp's cast that is left in

    meant : the light, of `spectra.LIGHTS`, in which the matrix shows colours as an eye used to it sees them
    vivid : colours drawn away from grey
    """

    camera: str = CAMERA
    lamp: str = "D65"
    cast: float = 0.0
    meant: str = "D65"
    vivid: float = 1.0
    noise: float = 0.012
    seed: int = 5


def lamp_power(lamp):
    """Power of a lamp (31,)."""
    power = colour.SDS_ILLUMINANTS[lamp]
    return np.interp(spectra.BANDS_NM, power.wavelengths, power.values)


def sensitivities(camera):
    """(31, 3) of red, green, blue; the eye's are its colour matching functions."""
    if camera == EYE:
        return spectra.light_weights() / lamp_power("D65")[:, None]
    measured = colour.MSDS_CAMERA_SENSITIVITIES[camera]
    return np.stack([np.interp(spectra.BANDS_NM, measured.wavelengths, measured.values[:, at]) for at in range(3)], 1)


@cache
def chart():
    """Reflectance (24, 31) of the chart's patches."""
    patches = colour.SDS_COLOURCHECKERS[CHART].values()
    return np.array([spectra.resample(patch.wavelengths, patch.values) for patch in patches])


def matrix(shot, weights):
    """Linear sRGB from balanced raw, (3, 3), white kept: least squares over the chart."""
    raw, wanted = chart() @ weights, spaces.xyz_to_linear_srgb(seen_xyz(chart(), light=shot.meant))
    rows = []
    for channel in range(3):
        less = wanted[:, channel] - raw[:, 2]
        pair = np.linalg.lstsq(raw[:, :2] - raw[:, 2:], less, rcond=None)[0]
        rows.append([*pair, 1 - pair.sum()])
    return np.array(rows)


def reflectance(layers, dyes):
    ks = kubelka_munk.ks_from_reflectance(made.bare_cloth(), surface=made.SURFACE)
    ks = ks + sum(strength * made.dye_ks(name, dyes) for name, strength in layers)
    return kubelka_munk.reflectance_from_ks(ks, surface=made.SURFACE)


def photo_of(shot, dyes):
    """The photo as the camera saves it, uint8 (rows, cols, 3); the strip begins at MARGIN, MARGIN."""
    rng = np.random.default_rng(shot.seed)
    lit = sensitivities(shot.camera) * lamp_power(shot.lamp)[:, None]
    by_day = sensitivities(shot.camera) * lamp_power("D65")[:, None]
    left_in = (lit.sum(0) / lit.sum(0)[1] / (by_day.sum(0) / by_day.sum(0)[1])) ** shot.cast
    weights = lit / lit.sum(0)
    scene = _scene(weights, dyes) * left_in * 0.75
    rows, cols = scene.shape[:2]
    y, x = np.mgrid[-1 : 1 : rows * 1j, -1 : 1 : cols * 1j]
    scene *= (1 / (1 + 0.11 * (x**2 + y**2)) ** 2)[..., None]  # cos^4; the corners lie 25 degrees off the axis
    raw = scene + rng.normal(0, 1, scene.shape) * shot.noise * np.sqrt(scene + 0.002)
    linear = _demosaiced(raw) @ matrix(shot, weights).T
    grey = (linear @ np.array([0.2126, 0.7152, 0.0722]))[..., None]
    linear = grey + shot.vivid * (linear - grey)
    picture = Image.fromarray(np.rint(255 * spaces.encode_srgb(np.clip(linear, 0, 1))).astype(np.uint8))
    file = io.BytesIO()
    picture.filter(ImageFilter.UnsharpMask(2, 60, 0)).save(file, format="JPEG", quality=75, subsampling=2)
    return np.asarray(Image.open(file))


def _scene(weights, dyes):
    """Balanced raw of a flat strip with a grey card to its right."""
    wide, high = made.COLUMNS * CELL, made.ROWS * CELL
    scene = np.full((high + 2 * MARGIN, wide + 3 * MARGIN + CARD_WIDTH, 3), reflectance((), dyes) @ weights)
    rim = round(CELL * made.GAP / 2)
    for place, layers in enumerate(made.CELLS):
        row, column = divmod(place, made.COLUMNS)
        top, left = MARGIN + row * CELL + rim, MARGIN + column * CELL + rim
        scene[top : top + CELL - 2 * rim, left : left + CELL - 2 * rim] = reflectance(layers, dyes) @ weights
    left, top, width, height = card_box()
    scene[top : top + height, left : left + width] = made.CARD * weights.sum(0)
    return scene


def card_box():
    return MARGIN * 2 + made.COLUMNS * CELL, MARGIN, CARD_WIDTH, 2 * CELL


def _demosaiced(raw):
    """What a sensor of one colour a pixel (red, green; green, blue) makes of it, the others bilinear."""
    row, col = np.indices(raw.shape[:2])
    kinds = (row % 2 + col % 2)[..., None] == [0, 1, 2]
    tent = np.outer([1, 2, 1], [1, 2, 1]) / 4
    return np.stack(
        [
            convolve(raw[..., at] * kinds[..., at], tent, mode="mirror")
            / convolve(kinds[..., at].astype(float), tent, mode="mirror")
            for at in range(3)
        ],
        axis=-1,
    )


def reading_of(folder, shot, dyes, *, light="D65"):
    """The photo read by its strip file, which says in which light it was taken."""
    wide, high = made.COLUMNS * CELL, made.ROWS * CELL
    corners = MARGIN + np.array([[0, 0], [wide, 0], [wide, high], [0, high]]) - 0.5
    left, top, width, height = card_box()
    at = ((left - MARGIN) / wide, (top - MARGIN) / high, width / wide, height / high)
    text = made.strip_toml(corners).replace("[photo]", f'[photo]\nlight = "{light}"')
    text = text.replace(", ".join(f"{part:g}" for part in made.CARD_AT), ", ".join(f"{part:.6f}" for part in at))
    file = folder / "strip.toml"
    file.write_text(text, encoding="utf-8")
    return measure_strip(photo_of(shot, dyes), read_strip(file))
