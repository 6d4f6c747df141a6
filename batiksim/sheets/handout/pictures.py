"""The pictures of a handout as files in memory: plates, maps of where to work, plates to colour in, marks.

Maps are told apart in grey: wax to lay is hatched dark, each pot has a pattern of its own, wax that lies already is
a flat pale grey, open cloth is white.
"""

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from PIL import Image, ImageColor

from batiksim.sheets.colours import INK, mixed
from batiksim.sheets.drawing import picture_bytes, step_mark
from batiksim.sheets.handout.maps import StepMap
from batiksim.types import Bools, Bytes

PATTERNS = 4  # after so many pots the patterns begin anew
_PERIOD = 16  # pixels from one stroke of a pattern to the next
_CLOSED, _CLOSED_RIM = "#d5d1c6", "#98958c"
NOWHERE = 255
_LEAST_PX = 9  # about 1 mm in print: narrower strips of colour get no letter
_TINT, _EDGE = 236, 70


def plate_jpegs(plates: Sequence[Bytes], *, most_bytes: int) -> list[bytes]:
    """Plates (rows, cols, 3) as JPEGs: as fine as their number allows."""
    pictures = [Image.fromarray(np.ascontiguousarray(plate)) for plate in plates]
    for share, quality in ((1.0, 88), (1.0, 80), (0.8, 75), (0.6, 70), (0.4, 70)):
        sizes = [[max(1, round(side * share)) for side in picture.size] for picture in pictures]
        made = [_jpeg(picture.resize(size), quality) for picture, size in zip(pictures, sizes, strict=True)]
        if sum(map(len, made)) <= most_bytes:
            break
    return made


def _jpeg(picture: Image.Image, quality: int) -> bytes:
    return picture_bytes(picture, "JPEG", quality=quality, subsampling=0 if quality > 80 else 2)


def cloth_jpeg(cloth: Image.Image) -> bytes:
    """A cloth on clear ground as a JPEG on white paper."""
    sheet = Image.new("RGB", cloth.size, "#ffffff")
    sheet.paste(cloth, (0, 0), cloth)
    return _jpeg(sheet, 88)


def mark_png(kind: str, colour: str) -> bytes:
    """The mark of a kind of step, as it hangs on the line."""
    return picture_bytes(step_mark(kind, 144, colour), "PNG")


def map_png(one: StepMap, colours: Sequence[str]) -> bytes:
    """Where a step works: its wax or paints in patterns, wax that lies already grey, outlines of what is there.

    colours : "#rrggbb" for each of `one.worked`
    """
    rows, cols = one.closed.shape
    inks = ["#ffffff", _CLOSED, _CLOSED_RIM]
    picture = np.zeros((rows, cols), np.uint8)
    picture[one.closed] = 1
    picture[_outline(one.closed)] = 2
    for place, (where, colour) in enumerate(zip(one.worked, colours, strict=True)):
        dark = _dark(colour)
        new = [mixed(colour, "#ffffff", 0.72), dark, mixed(dark, INK, 0.5)]
        first = len(inks) if len(inks) + len(new) <= 256 else 3
        inks += new if first == len(inks) else []
        picture[where] = first
        picture[where & pattern(rows, cols, place % PATTERNS)] = first + 1
        picture[_outline(where)] = first + 2
    sheet = Image.fromarray(picture)
    sheet.putpalette([part for ink in inks for part in ImageColor.getrgb(ink)[:3]])
    return picture_bytes(sheet, "PNG")


def chip_png(place: int | None, colour: str) -> bytes:
    """A small piece of a map's pattern for its key; place None is wax that lies already."""
    rows, cols = 48, 72
    picture = np.full((rows, cols, 3), 255, np.uint8)
    if place is None:
        picture[...] = ImageColor.getrgb(_CLOSED)
    else:
        picture[...] = ImageColor.getrgb(mixed(colour, "#ffffff", 0.72))
        picture[pattern(rows, cols, place % PATTERNS)] = ImageColor.getrgb(_dark(colour))
    picture[:2] = picture[-2:] = ImageColor.getrgb(INK)
    picture[:, :2] = picture[:, -2:] = ImageColor.getrgb(INK)
    return picture_bytes(Image.fromarray(picture), "PNG")


def blank_png(labels: Bytes, waxed: Bools) -> tuple[bytes, Bytes]:
    """A plate to colour in; and its labels, with `NOWHERE` where there is no room for a letter.

    Fine lines go around every colour; what lies under wax has a pale tint.
    labels : uint8 (rows, cols); waxed : (rows, cols)
    """
    picture = np.where(waxed, _TINT, 255).astype(np.uint8)
    picture[:, 1:][labels[:, 1:] != labels[:, :-1]] = _EDGE
    picture[1:][labels[1:] != labels[:-1]] = _EDGE
    return picture_bytes(Image.fromarray(picture), "PNG"), _cores(labels)


def _cores(labels: Bytes) -> Bytes:
    """Labels where a square of `_LEAST_PX` and of that colour alone has room, `NOWHERE` on all that is narrower."""
    from scipy import ndimage  # only sheets to colour in need it, and it is slow to import

    cores = np.full(labels.shape, NOWHERE, np.uint8)
    for one in np.unique(labels).tolist():
        where = labels == one
        inner = ndimage.minimum_filter(where.view(np.uint8), _LEAST_PX, mode="nearest")
        cores[(ndimage.maximum_filter(inner, _LEAST_PX + 4) > 0) & where] = one
    return cores


@lru_cache(maxsize=16)
def pattern(rows: int, cols: int, kind: int) -> Bools:
    """The strokes of a pattern, 0 to 3: slanting, slanting the other way, dots, upright lines."""
    y, x = np.arange(rows, dtype=np.int16)[:, None], np.arange(cols, dtype=np.int16)[None]
    if kind == 2:
        shifted = x + (y // _PERIOD % 2) * (_PERIOD // 2)
        return ((shifted % _PERIOD - _PERIOD / 2) ** 2 + (y % _PERIOD - _PERIOD / 2) ** 2) < (_PERIOD * 0.3) ** 2
    line = (x + y, x - y, x, x)[kind] % _PERIOD
    return np.broadcast_to(line < _PERIOD * (0.3 if kind < 2 else 0.25), (rows, cols))


def _dark(colour: str) -> str:
    """The colour, dark enough to be seen on white when printed grey."""
    red, green, blue = (part / 255 for part in ImageColor.getrgb(colour)[:3])
    grey = 0.3 * red + 0.59 * green + 0.11 * blue
    return colour if grey < 0.5 else mixed(colour, INK, min(0.75, 2 * (grey - 0.5) + 0.25))


def _outline(where: Bools) -> Bools:
    """The rim of an area, inside it, one pixel wide."""
    grown = np.pad(where, 1, mode="edge")
    return where & ~(grown[:-2, 1:-1] & grown[2:, 1:-1] & grown[1:-1, :-2] & grown[1:-1, 2:])
