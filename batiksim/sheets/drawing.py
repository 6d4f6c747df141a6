"""What every drawn sheet shares: pegs, step marks, cloth swatches, a line, a soft shadow.

Marks are drawn four times too large and reduced, so that curves are smooth. Each step's mark has a shape of its own:
a grey print still tells them apart.
"""

import io
import math
from collections.abc import Callable, Sequence
from functools import lru_cache, partial
from itertools import pairwise
from typing import Any

import numpy as np
from PIL import Image, ImageDraw, ImageFilter

from batiksim.sheets.colours import AMBER, GROUND, INK, WOOD, mixed
from batiksim.types import Bytes

_FINE = 4
Pen = Callable[[ImageDraw.ImageDraw, float], None]


def stamp(cols: int, rows: int, pen: Pen) -> Image.Image:
    """A small picture with smooth edges: `pen` gets paper some times as large, and how many times."""
    large = Image.new("RGBA", (cols * _FINE, rows * _FINE))
    pen(ImageDraw.Draw(large), _FINE)
    return large.convert("RGBa").reduce(_FINE).convert("RGBA")


def picture_bytes(picture: Image.Image, kind: str, **settings: Any) -> bytes:
    """A picture as a file of a kind, such as "PNG"."""
    file = io.BytesIO()
    picture.save(file, kind, **settings)
    return file.getvalue()


def around(x: float, y: float, radius: float) -> tuple[float, float, float, float]:
    """The box of a circle."""
    return x - radius, y - radius, x + radius, y + radius


def disc(side: int, *rounds: tuple[float, str]) -> Image.Image:
    """Rounds (radius, fill), each over the one before, in the middle of a square."""

    def pen(draw: ImageDraw.ImageDraw, k: float) -> None:
        for radius, fill in rounds:
            draw.ellipse(around(side / 2 * k, side / 2 * k, radius * k), fill=fill)

    return stamp(side, side, pen)


def put(sheet: Image.Image, piece: Image.Image, centre: tuple[float, float]) -> None:
    """Lay a stamp on the sheet with its middle at `centre` (x, y)."""
    corner = (round(centre[0] - piece.width / 2), round(centre[1] - piece.height / 2))
    sheet.paste(piece, corner, piece)


@lru_cache(maxsize=8)
def peg(size: int) -> Image.Image:
    """A small wooden clothes peg seen from the front, `size` pixels tall."""
    wide = max(9, round(size * 0.34))
    dark = mixed(WOOD, INK, 0.42)

    def pen(draw: ImageDraw.ImageDraw, k: float) -> None:
        w, h = wide * k - 1, size * k - 1
        draw.rounded_rectangle((0, 0, w, h), radius=w * 0.32, fill=dark)
        draw.rounded_rectangle((k, k, w - k, h - k), radius=w * 0.28, fill=WOOD)
        draw.rectangle((w * 0.2, h * 0.06, w * 0.34, h * 0.94), fill=mixed(WOOD, "#ffffff", 0.28))
        draw.line((w / 2, h * 0.03, w / 2, h * 0.97), fill=mixed(WOOD, INK, 0.5), width=round(k * 0.9))
        draw.rectangle((0, h * 0.4, w, h * 0.46), fill=mixed(WOOD, INK, 0.62))

    return stamp(wide, size, pen)


def _drop(draw: ImageDraw.ImageDraw, side: float) -> None:
    def outline(scale: float) -> list[tuple[float, float]]:
        turns = np.linspace(0, 2 * math.pi, 97)
        x = np.sin(turns) * np.sin(turns / 2) ** 1.5 * 0.40 * scale
        y = -np.cos(turns) * 0.48 * scale
        return [(side * (0.5 + a), side * (0.5 + b)) for a, b in zip(x, y, strict=True)]

    draw.polygon(outline(1.0), fill=mixed(AMBER, INK, 0.35))
    draw.polygon(outline(0.88), fill=AMBER)
    draw.arc((side * 0.3, side * 0.42, side * 0.74, side * 0.84), 95, 165, fill="#f2d29a", width=round(side * 0.05))


def _round(draw: ImageDraw.ImageDraw, side: float, colour: str) -> None:
    draw.ellipse((side * 0.04, side * 0.04, side * 0.96, side * 0.96), fill=mixed(colour, INK, 0.45))
    draw.ellipse((side * 0.09, side * 0.09, side * 0.91, side * 0.91), fill=colour)


def _ring(draw: ImageDraw.ImageDraw, side: float) -> None:
    draw.ellipse((side * 0.06, side * 0.06, side * 0.94, side * 0.94), outline=INK, width=round(side * 0.12))


def _steam(draw: ImageDraw.ImageDraw, side: float) -> None:
    pen = side * 0.085
    for middle, top, foot in ((0.22, 0.2, 0.92), (0.5, 0.08, 0.8), (0.78, 0.2, 0.92)):
        share = np.linspace(0, 1, 80)
        sway = 0.085 * np.sin(share * 2 * math.pi)
        for x, y in zip((middle + sway) * side, (top + (foot - top) * share) * side, strict=True):
            draw.ellipse(around(x, y, pen / 2), fill=INK)


@lru_cache(maxsize=256)
def step_mark(kind: str, size: int, colour: str = AMBER) -> Image.Image:
    """The mark of one step: "wax" a drop, "dye" a round of `colour`, "discharge" a ring, "remove_wax" steam."""
    dye = partial(_round, colour=colour)
    pens: dict[str, Pen] = {"wax": _drop, "dye": dye, "discharge": _ring, "remove_wax": _steam}
    return stamp(size, size, lambda draw, k: pens[kind](draw, size * k))


@lru_cache(maxsize=512)
def swatch(colour: str, cols: int, rows: int) -> Image.Image:
    """A piece of dyed cloth with pinked edges."""
    tooth = 5.0
    across, down = max(3, round(cols / tooth)), max(3, round(rows / tooth))
    w, h = cols - 1.0, rows - 1.0
    corners, inward = ((0, 0), (w, 0), (w, h), (0, h), (0, 0)), ((0, 1), (-1, 0), (0, -1), (1, 0))
    path = []
    for ((x0, y0), (x1, y1)), (right, below) in zip(pairwise(corners), inward, strict=True):
        teeth = across if below else down
        for s in range(2 * teeth):
            x, y = x0 + (x1 - x0) * s / (2 * teeth), y0 + (y1 - y0) * s / (2 * teeth)
            path.append((x + (s % 2) * right * 2.2, y + (s % 2) * below * 2.2))

    def pen(draw: ImageDraw.ImageDraw, k: float) -> None:
        points = [(x * k, y * k) for x, y in path]
        draw.polygon(points, fill=colour)
        draw.line([*points, points[0]], fill=mixed(colour, INK, 0.3), width=round(k * 1.1))

    return stamp(cols, rows, pen)


def string_line(sheet: Image.Image, points: Sequence[tuple[float, float]], *, thick: float = 3.0) -> None:
    """A string through the given (x, y) points."""
    fine = 3
    top = math.floor(min(y for _, y in points) - thick)
    high = math.ceil(max(y for _, y in points) + thick) - top
    strip = Image.new("L", (sheet.width * fine, high * fine))
    path = [(x * fine, (y - top) * fine) for x, y in points]
    ImageDraw.Draw(strip).line(path, fill=255, width=round(thick * fine), joint="curve")
    sheet.paste(INK, (0, top), strip.reduce(fine))


def sagging(points: Sequence[tuple[float, float]], *, sag: float) -> list[tuple[float, float]]:
    """The same points with the string hanging a little between each two."""
    path = [points[0]]
    for (x0, y0), (x1, y1) in pairwise(points):
        deep = sag * min(1.0, abs(x1 - x0) / 400)
        path += [
            (x0 + (x1 - x0) * t, y0 + (y1 - y0) * t + 4 * deep * t * (1 - t)) for t in np.linspace(0.05, 1, 20).tolist()
        ]
    return path


@lru_cache(maxsize=32)
def _shadow_mask(cols: int, rows: int, soft: int, strength: float) -> Image.Image:
    small = 4
    size = ((cols + 4 * soft) // small, (rows + 4 * soft) // small)
    mask = Image.new("L", size)
    edge = 2 * soft // small
    mask.paste(round(255 * strength), (edge, edge, size[0] - edge, size[1] - edge))
    mask = mask.filter(ImageFilter.GaussianBlur(soft / small / 1.6))
    return mask.resize((cols + 4 * soft, rows + 4 * soft), Image.Resampling.BILINEAR)


def shadow(sheet: Image.Image, box: tuple[int, int, int, int], *, soft: int = 14, strength: float = 0.3) -> None:
    """A soft shadow under the box (left, top, right, bottom), as of cloth hanging a hand before a wall."""
    left, top, right, bottom = box
    mask = _shadow_mask(right - left, bottom - top, soft, strength)
    sheet.paste(mixed(INK, WOOD, 0.25), (left - 2 * soft + soft // 3, top - 2 * soft + soft // 2), mask)


def cloth_picture(rgb: Bytes, cols: int, rows: int) -> Image.Image:
    """A picture (rows, cols, 3) brought to the wanted size; small ones grow smoothly, large ones are averaged.

    Far larger ones are thinned evenly first: still at least 9 pixels to each one left, at a fraction of the time. The
    step is odd, so that the every-other-pixel patterns of dithered pictures keep their mean.
    """
    step = max(1, min(rgb.shape[0] // (3 * rows), rgb.shape[1] // (3 * cols)))
    step -= 1 - step % 2
    picture = Image.fromarray(np.ascontiguousarray(rgb[step // 2 :: step, step // 2 :: step]))
    if picture.size == (cols, rows):
        return picture
    return picture.resize((cols, rows), Image.Resampling.HAMMING, reducing_gap=1.3)


def cloth_size(rgb: Bytes, wide: float, high: float) -> tuple[int, int]:
    """Width and height at which a picture (rows, cols, 3) fills a room, no side under 8 pixels."""
    rows, cols = rgb.shape[:2]
    scale = min(wide / cols, high / rows)
    return max(8, round(cols * scale)), max(8, round(rows * scale))


def hang(sheet: Image.Image, picture: Image.Image, corner: tuple[int, int], *, peg_size: int = 52) -> None:
    """Hang a cloth by two pegs, its top left corner at `corner` (x, y)."""
    x, y = corner
    wide, high = picture.size
    shadow(sheet, (x, y, x + wide, y + high))
    sheet.paste(mixed(INK, GROUND, 0.62), (x - 1, y - 1, x + wide + 1, y + high + 1))
    sheet.paste(picture, (x, y))
    for middle in (x + _inset(wide), x + wide - _inset(wide)):
        put(sheet, peg(peg_size), (middle, y + peg_size * 0.08))


def hang_row(sheet: Image.Image, pictures: Sequence[Image.Image], lefts: Sequence[int], line_y: int) -> None:
    """Hang cloths of one size side by side on a string across the sheet. lefts : of each; line_y : of the string."""
    wide = pictures[0].width
    knots = [(float(left + at), float(line_y)) for left in lefts for at in (_inset(wide), wide - _inset(wide))]
    string_line(sheet, sagging([(0.0, line_y - 10.0), *knots, (float(sheet.width), line_y - 10.0)], sag=10.0))
    for left, picture in zip(lefts, pictures, strict=True):
        hang(sheet, picture, (left, line_y + 8))


def _inset(wide: int) -> int:
    """How far from a cloth's sides its pegs are."""
    return min(26, wide // 4)
