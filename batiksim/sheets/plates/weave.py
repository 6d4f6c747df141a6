"""Dyed cloth drawn as cloth: bands of dye across each other on a woven ground with loose ends in the bands' colours.

The texture multiplies linear light by factors of mean 1, so that a patch seen from a step back has exactly its colour.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageColor, ImageDraw

from batiksim.colour.spaces import decode_srgb, encode_srgb
from batiksim.types import Bytes, Floats, Ints, Singles

YARN = 6.2  # pixels from one yarn to the next, on average: a coarse cotton seen close
DEPTH = 0.30  # the texture spans 1 - DEPTH to 1 + DEPTH
EDGE = 0.09  # dye gathers at the edge of a brushed band as it dries: so much darker, over about three pixels
_GREY = np.arange(256)
_FACTORS = 1.0 + DEPTH * (_GREY - 128) / 127.0


@dataclass(frozen=True, kw_only=True)
class Plaid:
    """A cloth of bands. All colours "#rrggbb".

    bare : the cloth
    down : colours of the bands from top to bottom; across : of those from left to right, each alone
    cells : cells[i][j] where band j across lies over band i down
    pitch : pixels from one band to the next; band : width of a band; hem : pixels of cloth around the crossings
    fringe : length of the loose ends
    """

    bare: str
    down: tuple[str, ...]
    across: tuple[str, ...]
    cells: tuple[tuple[str, ...], ...]
    pitch: int
    band: int
    hem: int
    fringe: int

    @property
    def cols(self) -> int:
        """Width of the woven part."""
        return self.pitch * len(self.down) - (self.pitch - self.band) + 2 * self.hem

    @property
    def rows(self) -> int:
        """Height of the woven part."""
        return self.pitch * len(self.across) - (self.pitch - self.band) + 2 * self.hem


def plaid_picture(plaid: Plaid, *, seed: int = 5) -> Image.Image:
    """The cloth with its fringe on clear ground, RGBA (rows + 2 fringe, cols + 2 fringe); one seed, one picture."""
    random = np.random.default_rng(seed)
    warp, weft = _yarns(random, plaid.cols), _yarns(random, plaid.rows)
    grain = _weave(random, warp, weft)
    cell = np.zeros(grain.shape, np.int32)
    _lay_bands(random, plaid, grain.T, cell.T, count=len(plaid.down), mark=256 * (len(plaid.across) + 1))
    _lay_bands(random, plaid, grain, cell, count=len(plaid.across), mark=256)
    grain -= 1.0
    grain *= 127.0 / DEPTH
    grain += 128.5
    cell += np.clip(grain, 0, 255, out=grain).astype(np.uint8)
    table = _textured(_colours(plaid)).reshape(-1, 3)
    picture = Image.new("RGBA", (plaid.cols + 2 * plaid.fringe, plaid.rows + 2 * plaid.fringe))
    _fringe(picture, plaid, random, warp, weft)
    picture.paste(Image.fromarray(np.take(table, cell, axis=0)), (plaid.fringe, plaid.fringe))
    return picture


def _colours(plaid: Plaid) -> list[str]:
    """Colours by (band down or none) and (band across or none), none first."""
    rows = [(plaid.bare, *plaid.across)]
    rows += [(alone, *cells) for alone, cells in zip(plaid.down, plaid.cells, strict=True)]
    return [colour for row in rows for colour in row]


def _textured(colours: Sequence[str]) -> Bytes:
    """Every "#rrggbb" colour at all 256 levels of the texture, (n, 256, 3)."""
    linear = decode_srgb(np.array([ImageColor.getrgb(colour)[:3] for colour in colours]) / 255.0)
    lit = np.clip(linear[:, None, :] * _FACTORS[None, :, None], 0.0, 1.0)
    return (encode_srgb(lit) * 255.0 + 0.5).astype(np.uint8)


@dataclass(frozen=True, eq=False)
class _Yarns:
    """Yarns side by side. starts : first pixel of each; number (n,), height (n,) 0..1 and shade (n,) per pixel."""

    starts: Ints
    number: Ints
    height: Floats
    shade: Floats


def _yarns(random: np.random.Generator, length: int) -> _Yarns:
    widths = YARN * random.uniform(0.82, 1.18, int(length / YARN / 0.8) + 2)
    ends = np.cumsum(widths)
    at = np.arange(length) + 0.5
    number = np.searchsorted(ends, at)
    place = (at - (ends - widths)[number]) / widths[number]
    slubs = random.normal(0.0, 0.022, len(widths))
    starts = np.flatnonzero(np.diff(number, prepend=-1))
    return _Yarns(starts, number, np.sin(np.pi * np.clip(place, 0, 1)), slubs[number])


def _weave(random: np.random.Generator, warp: _Yarns, weft: _Yarns) -> Singles:
    """Light factors (rows, cols) of a plain weave, mean 1."""
    tall, flat = 0.17, 0.07
    warp_top = (warp.number[None, :] + weft.number[:, None]) % 2 == 0
    high, low = warp.height.astype(np.float32), weft.height.astype(np.float32)
    upper = tall * high[None, :] + flat * low[:, None]
    lower = flat * high[None, :] + tall * low[:, None]
    grain: Singles = np.where(warp_top, upper, lower)
    grain += warp.shade.astype(np.float32)[None, :]
    grain += weft.shade.astype(np.float32)[:, None]
    noise = random.normal(0.0, 0.018, (257, 263)).astype(np.float32)
    reps = (grain.shape[0] // 257 + 1, grain.shape[1] // 263 + 1)
    grain += np.tile(noise, reps)[: grain.shape[0], : grain.shape[1]]
    grain += np.float32(1.0) - grain.mean()
    return grain


def _lay_bands(
    random: np.random.Generator, plaid: Plaid, grain: Singles, cell: NDArray[np.int32], *, count: int, mark: int
) -> None:
    """Add the band's number times `mark` to `cell` where it lies, darken its edges in `grain`; edges waver as brushed.

    grain, cell : (width, length) of the cloth across and along the bands, changed in place
    """
    reach = min(4, (plaid.pitch - plaid.band) // 2)
    at = np.arange(-reach, plaid.band + reach, dtype=np.float32)[:, None]
    length = grain.shape[1]
    for band in range(count):
        first = plaid.hem + band * plaid.pitch - reach
        rows = slice(first, first + len(at))
        low, high = _waver(random, length), plaid.band + _waver(random, length)
        inside = np.minimum(at - low[None, :], high[None, :] - at)
        cell[rows] += np.int32(mark * (band + 1)) * (inside >= 0)
        for edge in (slice(0, 20), slice(-20, None)):  # further in nothing darkens
            near = inside[edge]
            grain[rows][edge] *= np.where(near >= 0, 1.0 - EDGE * np.exp(-near / 3.0), 1.0)


def _waver(random: np.random.Generator, length: int) -> Singles:
    """A line that wanders by a pixel or two, with the small steps of single yarns, (length,)."""
    knots = random.normal(0.0, 0.9, length // 37 + 3)
    slow = np.interp(np.arange(length) / 37.0, np.arange(len(knots)), knots)
    steps = np.repeat(random.normal(0.0, 0.45, length // 6 + 1), 6)[:length]
    return np.clip(slow + steps, -3.5, 3.5).astype(np.float32)


def _fringe(picture: Image.Image, plaid: Plaid, random: np.random.Generator, warp: _Yarns, weft: _Yarns) -> None:
    """Loose ends around the cloth, each in the colour of the band it comes out of."""
    for colours, yarns, turned in ((plaid.down, warp, False), (plaid.across, weft, True)):
        strip = _loose_ends(random, plaid, colours, yarns)
        flip = Image.Transpose.FLIP_LEFT_RIGHT if turned else Image.Transpose.FLIP_TOP_BOTTOM
        strip = strip.transpose(Image.Transpose.TRANSPOSE) if turned else strip
        far = (plaid.cols if turned else plaid.rows) + plaid.fringe
        for place, piece in ((0, strip), (far, strip.transpose(flip))):
            picture.paste(piece, (place, plaid.fringe) if turned else (plaid.fringe, place))


def _loose_ends(random: np.random.Generator, plaid: Plaid, colours: Sequence[str], yarns: _Yarns) -> Image.Image:
    """A strip of ends hanging upwards, RGBA (fringe, length of the edge): each yarn opens into three plies."""
    fine = 3
    strip = Image.new("RGBA", (len(yarns.number) * fine, plaid.fringe * fine))
    draw = ImageDraw.Draw(strip)
    ends = np.append(yarns.starts[1:], len(yarns.number))
    shades = _textured([plaid.bare, *colours])
    heights = np.linspace(0.0, 1.0, 7)
    for start, end in zip(yarns.starts.tolist(), ends.tolist(), strict=True):
        place = (start + end) / 2 - plaid.hem
        band = int(place // plaid.pitch) + 1 if place % plaid.pitch < plaid.band and place >= 0 else 0
        lean, long = random.normal(0, 2.2), random.uniform(0.7, 0.97) * plaid.fringe
        for ply in (0.2, 0.8, 0.5):
            colour = shades[band if band <= len(colours) else 0, int(np.clip(random.normal(100, 20), 30, 170))]
            foot = start + (end - start) * ply
            bend = lean * heights**1.6 + random.normal(0, 0.9) * np.sin(2.4 * heights)
            up = plaid.fringe - heights * long * random.uniform(0.86, 1.0)
            points = [(x * fine, y * fine) for x, y in zip(foot + bend, up, strict=True)]
            draw.line(points, fill=(*colour.tolist(), 255), width=6, joint="curve")
    return strip.convert("RGBa").reduce(fine).convert("RGBA")
