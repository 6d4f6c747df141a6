"""Draws the invented photo of a dyed strip: `python sample_designs/strip/make_photo.py`.

No such cloth was dyed. Each dye is a few bell-shaped absorption bands; the photo then gets what real ones have: a
slant, uneven light, a colour cast, cloth weave, blotchy dye, noise, JPEG. The tests make harder ones with it.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageFilter

from batiksim.colour import kubelka_munk, spaces, spectra
from batiksim.colour.reflectance_recovery import smooth_reflectance

Array = NDArray[np.float64]
Layers = tuple[tuple[str, float], ...]

# Invented: (middle nm, width nm, K/S at full strength) of each band.
DYES: dict[str, tuple[tuple[float, float, float], ...]] = {
    "primrose": ((415.0, 34.0, 5.5), (455.0, 22.0, 2.6)),
    "bottle blue": ((640.0, 52.0, 7.0), (590.0, 36.0, 2.2), (400.0, 40.0, 0.7)),
    "strong pink": ((535.0, 30.0, 6.0), (505.0, 26.0, 3.2), (410.0, 50.0, 0.5)),
    "blackcurrant": ((570.0, 70.0, 11.0), (470.0, 80.0, 4.0)),
}
CLOTH, SURFACE, CARD = "#f0eadb", 0.02, 0.18
ROWS, COLUMNS, GAP = 5, 5, 0.24
CARD_AT = (1.06, 0.08, 0.12, 0.36)
CELLS: tuple[Layers, ...] = (
    *((("primrose", s),) for s in (1.0, 0.5, 0.25)),
    (("primrose", 1.0), ("bottle blue", 0.5)),
    (("primrose", 1.0), ("strong pink", 1.0)),
    *((("bottle blue", s),) for s in (1.0, 0.5, 0.25)),
    (("bottle blue", 1.0), ("strong pink", 0.5)),
    (),
    *((("strong pink", s),) for s in (1.0, 0.5, 0.25)),
    (),
    (("strong pink", 0.5), ("bottle blue", 0.5)),
    *((("blackcurrant", s),) for s in (1.0, 0.5, 0.25)),
    (("primrose", 0.5), ("blackcurrant", 0.25)),
    (("strong pink", 1.0), ("blackcurrant", 0.5)),
    (),
    (("primrose", 0.5), ("bottle blue", 1.0)),
    (("strong pink", 0.5), ("primrose", 0.5)),
    (("bottle blue", 0.5), ("blackcurrant", 0.25)),
    (),
)


@dataclass(frozen=True, kw_only=True)
class Shot:
    """How the photo is taken. uneven : light at the edges against the middle; cast : gains of red, green, blue."""

    width_px: int = 1400
    height_px: int = 1000
    exposure: float = 0.82
    cast: tuple[float, float, float] = (1.09, 1.0, 0.84)
    uneven: float = 0.3
    noise: float = 0.006
    blotch: float = 0.02
    blur_px: float = 0.8
    quality: int = 90
    seed: int = 3


def dye_ks(name: str, dyes: dict[str, tuple[tuple[float, float, float], ...]]) -> Array:
    """K/S (31,) of load 1."""
    bands = (height * np.exp(-0.5 * ((spectra.BANDS_NM - middle) / width) ** 2) for middle, width, height in dyes[name])
    return np.asarray(sum(bands, np.full(31, 0.004)))


@cache
def bare_cloth() -> Array:
    """Reflectance (31,) of the undyed cloth."""
    return smooth_reflectance(spaces.hex_to_xyz(CLOTH), surface=0.0)[0]


def true_xyz(layers: Layers, *, dyes: dict[str, tuple[tuple[float, float, float], ...]] = DYES) -> Array:
    """XYZ (3,) of cloth dyed so."""
    ks = kubelka_munk.ks_from_reflectance(bare_cloth(), surface=SURFACE)
    for name, strength in layers:
        ks = ks + strength * dye_ks(name, dyes)
    return spectra.reflectance_to_xyz(kubelka_munk.reflectance_from_ks(ks, surface=SURFACE))


def corners_px(shot: Shot) -> Array:
    """Where the strip's corners lie in the photo (4, 2), as a hand-held camera sees them."""
    share = np.array([[0.085, 0.115], [0.80, 0.06], [0.825, 0.93], [0.055, 0.875]])
    return share * [shot.width_px, shot.height_px]


def take_photo(cells: tuple[Layers, ...] = CELLS, *, shot: Shot, rows: int = ROWS, columns: int = COLUMNS, **truth):
    """The photo, uint8 (rows, cols, 3), before JPEG."""
    rng = np.random.default_rng(shot.seed)
    u, v = _strip_places(shot)
    linear = _table(u, v, rng)
    linear *= 1 - 0.45 * np.exp(-(((_outside(u - 0.012) + _outside(v - 0.02)) / 0.018) ** 2))[..., None]  # its shadow
    on_strip = (u > -0.015) & (u < 1.015) & (v > -0.02) & (v < 1.02)
    bare = spaces.xyz_to_linear_srgb(true_xyz((), **truth))
    weave = 1 + 0.02 * np.sin(u * 900) * np.sin(v * 640) + rng.normal(0, 0.012, u.shape)
    linear[on_strip] = bare * weave[on_strip, None]
    blotches = shot.blotch * _cloudy(rng, u.shape)
    cell = np.where(
        on_strip & (u >= 0) & (u < 1) & (v >= 0) & (v < 1), np.floor(v * rows) * columns + np.floor(u * columns), -1
    )
    for place, layers in enumerate(cells):
        row, column = divmod(place, columns)
        at = np.nonzero(cell == place)
        inside = _painted(u[at] * columns - column, v[at] * rows - row, rng, place)
        at = at[0][inside], at[1][inside]
        if layers:
            linear[at] = _dyed(layers, blotches[at], **truth) * weave[at][:, None]
    left, top, width, height = CARD_AT
    for rim, grey in ((0.018, 0.8), (0.0, CARD)):  # a grey card with a white rim
        card = (u > left - rim) & (u < left + width + rim) & (v > top - rim) & (v < top + height + rim)
        linear[card] = grey
    return _developed(linear, shot, rng)


def _strip_places(shot: Shot) -> tuple[Array, Array]:
    from skimage.transform import ProjectiveTransform

    square = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    back = ProjectiveTransform.from_estimate(corners_px(shot), square)
    x, y = np.meshgrid(np.arange(shot.width_px), np.arange(shot.height_px))
    shares = back(np.stack([x.ravel(), y.ravel()], axis=1)).reshape(*x.shape, 2)
    return shares[..., 0], shares[..., 1]


def _table(u: Array, v: Array, rng: np.random.Generator) -> Array:
    """A wooden table with a grain."""
    grain = np.sin(v * 34 + 2.2 * np.sin(u * 2.1) + 0.6 * np.sin(u * 9 + v * 5))
    grain = 1 + 0.10 * grain + 0.05 * np.sin(v * 171 + 3 * np.sin(u * 3.7)) + rng.normal(0, 0.02, u.shape)
    return grain[..., None] * np.array([0.36, 0.235, 0.125])


def _outside(share: Array) -> Array:
    """How far a share lies outside 0..1."""
    return np.maximum(np.maximum(-share, share - 1), 0)


def _cloudy(rng: np.random.Generator, shape: tuple[int, ...]) -> Array:
    """Slow random clouds, about -2..2, of one look at any size."""
    small = Image.fromarray(rng.normal(0, 1, (40, 56)).astype(np.float32))
    return np.asarray(small.resize((shape[1], shape[0]), Image.Resampling.BICUBIC), dtype=np.float64)


def _painted(x: Array, y: Array, rng: np.random.Generator, place: int) -> NDArray[np.bool_]:
    """A brushed square in the middle of its cell: nearly straight along the strokes, ragged where they end."""
    phase = rng.uniform(0, 6, 5)
    along = 0.010 * np.sin(5 * x + phase[0]) + 0.006 * np.sin(13 * x + phase[1]) + 0.003 * np.sin(41 * x + place)
    stroke = np.floor(y * 15 + phase[2])
    ends = 0.012 * np.sin(stroke * 2.4 + phase[3]) + 0.006 * np.sin(47 * y + phase[4])
    half = 0.5 - GAP / 2
    return (np.abs(y - 0.5) < half + along) & (np.abs(x - 0.5) < half + ends)


def _dyed(layers: Layers, blotch: Array, **truth) -> Array:
    """Linear sRGB of one patch, its load blotchy: between a little less and a little more of all its dyes."""
    less, more = (
        np.clip(spaces.xyz_to_linear_srgb(true_xyz(tuple((n, s * k) for n, s in layers), **truth)), 1e-5, None)
        for k in (0.9, 1.1)
    )
    share = np.clip(0.5 + blotch / 0.2, 0, 1)[:, None]
    return np.exp((1 - share) * np.log(less) + share * np.log(more))


def _developed(linear: Array, shot: Shot, rng: np.random.Generator) -> NDArray[np.uint8]:
    """Light, cast, blur, noise and sRGB."""
    y, x = np.mgrid[0 : shot.height_px, 0 : shot.width_px]
    x, y = 2 * x / shot.width_px - 1, 2 * y / shot.height_px - 1
    light = 1 - shot.uneven * (0.45 * x + 0.15 * y + 0.4 * (x**2 + y**2) / 2)
    seen = linear * light[..., None] * shot.exposure * np.array(shot.cast)
    seen = seen + rng.normal(0, 1, seen.shape) * shot.noise * np.sqrt(np.maximum(seen, 0) + 0.002)
    encoded = np.rint(255 * spaces.encode_srgb(np.clip(seen, 0, 1))).astype(np.uint8)
    picture = Image.fromarray(encoded)
    return np.asarray(picture.filter(ImageFilter.GaussianBlur(shot.blur_px)) if shot.blur_px else picture)


def as_jpeg(rgb: NDArray[np.uint8], quality: int) -> bytes:
    """The photo as a camera saves it."""
    out = io.BytesIO()
    Image.fromarray(rgb).save(out, format="JPEG", quality=quality, subsampling=2)
    return out.getvalue()


def strip_toml(
    corners: Array, cells: tuple[Layers, ...] = CELLS, *, rows: int = ROWS, columns: int = COLUMNS, card: bool = True
) -> str:
    """The strip file."""
    points = ", ".join(f"[{x:.0f}, {y:.0f}]" for x, y in corners.tolist())
    lines = ["format = 1", 'title = "Invented strip of four dyes"', "", "[cloth]"]
    lines += [f'colour = "{CLOTH}"            # undyed, by daylight', "", "[photo]"]
    lines += ["# the strip's corners in the photo, in pixels: top left, top right, bottom right, bottom left"]
    lines += [f"corners = [{points}]", "", "[strip]", "# patches lie in rows, and are listed in reading order"]
    lines += [f"rows = {rows}", f"columns = {columns}"]
    lines += [f"gap = {GAP}                    # share of each cell that is bare cloth between the patches"]
    lines += ['ground = "undyed"             # so that bare cloth can tell how even the light was', ""]
    if card:
        at = ", ".join(f"{part:g}" for part in CARD_AT)
        lines += ["[[card]]", f"reflectance = {CARD}            # a grey card, beside the strip"]
        lines += [f"at = [{at}]  # left, top, width, height; the strip is 1 wide and 1 high", ""]
    for layers in cells:
        lines += ["[[patch]]", *_patch_lines(layers), ""]
    return "\n".join(lines).rstrip() + "\n"


def _patch_lines(layers: Layers) -> list[str]:
    if not layers:
        return ["undyed = true"]
    if len(layers) > 1:
        inside = ", ".join(f'"{name}" = {strength:g}' for name, strength in layers)
        return [f"dyes = {{ {inside} }}  # one over the other"]
    name, strength = layers[0]
    return [f'dye = "{name}"', *([] if strength == 1 else [f"strength = {strength:g}"])]


def main() -> None:
    """Write photo.jpg and strip.toml beside this file."""
    folder, shot = Path(__file__).parent, Shot()
    (folder / "photo.jpg").write_bytes(as_jpeg(take_photo(shot=shot), shot.quality))
    (folder / "strip.toml").write_text(strip_toml(corners_px(shot)), encoding="utf-8")


if __name__ == "__main__":
    main()
