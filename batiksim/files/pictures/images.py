"""Pictures as people really have them, to plain 8-bit arrays; and plates to PNG files.

A picture comes out upright, in sRGB, one 8-bit value for each pixel and band, whatever it was on disk. `notes` say what
had to be decided on the way.
"""

import os
import zlib
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

import numpy as np
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from batiksim.files.disk.replacing import replacing
from batiksim.files.pictures.colour_kinds import as_rgb, grey_and_alpha
from batiksim.files.pictures.opening import MOST_PIXELS, open_picture
from batiksim.texts.catalogue import Message
from batiksim.types import Bytes, StrPath
from batiksim.values import MADE_BY

# Runs-only matching after PNG's own filters. On a 12-million-pixel plate of flat shapes with soft edges and brush
# texture it took 0.44 of the time of zlib's usual level 6, in a file 1.08 times as large (level 1: 0.43 and 1.26).
QUICK = {"compress_level": 1, "compress_type": zlib.Z_RLE}
_MM_PER_INCH = 25.4


@dataclass(frozen=True, kw_only=True, eq=False)
class Picture:
    """A mask picture as it was drawn.

    grey : uint8 (rows, cols), encoded luma 0..255 (ITU-R BT.601 weights on sRGB values), read-only
    alpha : uint8 (rows, cols), 0 clear .. 255 opaque, read-only; None where every pixel is opaque
    notes : what was decided in reading it, for the maker
    """

    grey: Bytes
    alpha: Bytes | None = None
    notes: tuple[Message, ...] = ()

    def __post_init__(self) -> None:
        for pixels in (self.grey, self.alpha):
            if pixels is not None and pixels.flags.writeable:
                pixels.flags.writeable = False


def read_picture(path: StrPath, *, most_pixels: int = MOST_PIXELS) -> Picture:
    """Read a mask picture: PNG, TIFF, JPEG or WebP of any common bit depth and colour kind.

    most_pixels : a picture with more pixels is refused before it is decoded
    errors : BatikError for a file that is missing, empty, cut short, not a picture, animated, of several pages, too
        large or too small
    """
    with open_picture(path, most_pixels=most_pixels) as (image, notes):
        grey, alpha = grey_and_alpha(image, notes)
        return Picture(grey=grey, alpha=alpha, notes=tuple(notes))


def read_rgb(path: StrPath, *, most_pixels: int = MOST_PIXELS) -> Bytes:
    """Read a photo or sketch in colour, clear parts laid over white.

    returns : uint8 (rows, cols, 3) sRGB, read-only
    errors : as `read_picture`
    """
    with open_picture(path, most_pixels=most_pixels) as (image, notes):
        return as_rgb(image, notes)


def reduced(picture: Bytes, width_px: int, height_px: int | None = None) -> Bytes:
    """A mask (rows, cols) or picture (rows, cols, 3) at a smaller width, by area means; no wider one is made.

    height_px : in proportion when left out
    """
    rows, cols = picture.shape[:2]
    if width_px >= cols:
        return picture
    size = (width_px, height_px or max(1, round(rows * width_px / cols)))
    return np.asarray(Image.fromarray(picture).resize(size, Image.Resampling.BOX))


def write_png(target: StrPath | BinaryIO, rgb: Bytes, *, width_mm: float | None = None) -> None:
    """Write a plate as PNG, marked as sRGB and as batiksim's, with its real size; same input, same bytes.

    target : a path (the file is there whole or not at all) or a binary file to write to
    rgb : uint8 (rows, cols, 3) sRGB
    width_mm : real width of the picture, kept as dots per inch
    errors : BatikError when the file can't be written
    """
    dpi = None if width_mm is None else (rgb.shape[1] / width_mm * _MM_PER_INCH,) * 2
    place: AbstractContextManager[BinaryIO]
    place = replacing(Path(target)) if isinstance(target, str | os.PathLike) else nullcontext(target)
    with place as file:
        Image.fromarray(rgb).save(file, format="PNG", pnginfo=_marked(), dpi=dpi, **QUICK)


def _marked() -> PngInfo:
    info = PngInfo()
    info.add_text("Comment", MADE_BY)
    info.add(b"sRGB", b"\0")  # rendering intent 0, perceptual (PNG specification, 11.3.2.5)
    return info
