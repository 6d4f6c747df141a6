"""Opening a picture file with care: what it is, how large, whole or not, one page or many, which way up."""

import contextlib
import os
import threading
import warnings
from collections.abc import Callable, Iterator
from typing import BinaryIO

from PIL import Image
from PIL.ImageFile import ImageFile
from PIL.JpegImagePlugin import JpegImageFile
from PIL.PngImagePlugin import PngImageFile
from PIL.TiffImagePlugin import TiffImageFile
from PIL.WebPImagePlugin import WebPImageFile

from batiksim.errors import BatikError, in_file
from batiksim.texts.catalogue import Message, say
from batiksim.types import StrPath

MOST_PIXELS = 400_000_000
"""A phone takes 12 to 50 million; a file of some kilobytes can claim to hold billions."""

_MOST_IN_MEMORY = 3_000_000_000
_BYTES_A_PIXEL = {"1": 4, "L": 4, "I;16": 7, "I;16B": 7, "I;16L": 7, "I;16N": 7, "P": 10, "CMYK": 11}
_BYTES_ANY, _BYTES_WEBP = 9, 20
"""What reading takes at its height, rounded up from what was measured (2026-11-25): a file of a few hundred bytes can
ask for gigabytes. 300 million pixels can be read in every kind but CMYK and WebP."""

_MOST_PASSES = 4_000_000_000
"""Pixels times the passes over them that a progressive JPEG asks for; cameras and programs make about ten."""

LEAST_SIDE = 8

_MOST_PAGES = 16
_SMALLER_COPY = 1  # TIFF 6.0, tag NewSubfileType (254), bit 0: a reduced-resolution version of another page
_SUBFILE, _ORIENTATION = 254, 274
_TURNS = {  # EXIF 2.3, tag Orientation
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
_quiet_lock = threading.Lock()


def _is(*starts: bytes) -> Callable[[bytes], bool]:
    return lambda head: head.startswith(starts)


_KINDS: tuple[tuple[Callable[[bytes], bool], type[ImageFile]], ...] = (
    (_is(b"\x89PNG\r\n\x1a\n"), PngImageFile),
    (_is(b"\xff\xd8\xff"), JpegImageFile),
    (_is(b"II*\0", b"MM\0*", b"II+\0", b"MM\0+"), TiffImageFile),
    (lambda head: head[:4] == b"RIFF" and head[8:12] == b"WEBP", WebPImageFile),
)
_OTHERS: tuple[tuple[Callable[[bytes], bool], str], ...] = (
    (lambda head: head[4:8] == b"ftyp", "heic"),
    (_is(b"GIF8"), "gif"),
    (_is(b"BM"), "bmp"),
    (_is(b"%PDF"), "pdf"),
    (_is(b"8BPS"), "layered"),
    (_is(b"\xff\x0a", b"\0\0\0\x0cJXL "), "jpeg_xl"),
    (_is(b"\0\0\0\x0cjP", b"\xff\x4f\xff\x51"), "jpeg_2000"),
    (_is(b"PK\x03\x04"), "zip"),
    (lambda head: b"<svg" in head, "svg"),
    (_is(b"version https://git-lfs"), "placeholder"),
)


@contextlib.contextmanager
def open_picture(path: StrPath, *, most_pixels: int) -> Iterator[tuple[Image.Image, list[Message]]]:
    """Open a picture, decoded and upright, with the notes made so far; the file is closed at the end.

    errors : BatikError naming the file
    """
    with in_file(path), _file(path) as file:
        head = file.read(256)
        _check_kind(head)
        file.seek(0)
        image = _header(file, head)
        _check_size(image.size, min(most_pixels, _most_in_memory(image)))
        _check_passes(image, file)
        _check_pages(image)
        _decode(image)
        notes: list[Message] = []
        yield _turned(image, notes), notes


def _file(path: StrPath) -> BinaryIO:
    try:
        return open(path, "rb")
    except IsADirectoryError:
        raise BatikError("files.error.folder_not_picture") from None
    except FileNotFoundError:
        raise BatikError("files.error.no_such_picture") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise BatikError("files.error.unreadable", got=reason) from None


def _check_kind(head: bytes) -> None:
    if not head:
        raise BatikError("files.error.empty_picture", got=say("files.bytes", count=0))
    if any(matches(head) for matches, _ in _KINDS):
        return
    kind = next((name for matches, name in _OTHERS if matches(head)), None)
    if kind:
        raise BatikError("files.error.other_picture", got=say(f"files.found.{kind}"))
    raise BatikError("files.error.not_a_picture")


def _header(file: BinaryIO, head: bytes) -> ImageFile:
    kind = next(kind for matches, kind in _KINDS if matches(head))
    try:
        with quiet():
            return kind(file)
    except Exception as error:  # a mangled header ends in almost any exception; each means the same to the maker
        if "unknown" in str(error):
            raise BatikError("files.error.pixel_kind") from None
        size = say("files.bytes", count=os.fstat(file.fileno()).st_size)
        raise BatikError("files.error.broken_picture", got=size) from None


def _check_size(size: tuple[int, int], most_pixels: int) -> None:
    width, height = size
    pixels = say("files.pixel_size", width=width, height=height)
    if width * height > most_pixels:
        raise BatikError("files.error.too_many_pixels", got=pixels, most=float(f"{most_pixels / 1e6:.3g}"))
    if min(size) < LEAST_SIDE:
        raise BatikError("files.error.too_few_pixels", got=pixels, least=LEAST_SIDE)


def _most_in_memory(image: ImageFile) -> int:
    """How many pixels of this kind can be read in the memory that reading may take."""
    each = _BYTES_WEBP if isinstance(image, WebPImageFile) else _BYTES_A_PIXEL.get(image.mode, _BYTES_ANY)
    return _MOST_IN_MEMORY // each


def _check_passes(image: ImageFile, file: BinaryIO) -> None:
    """Refuse a progressive JPEG that asks for so many passes over so many pixels that it would take minutes."""
    if not isinstance(image, JpegImageFile) or "progressive" not in image.info:
        return
    at, passes, last = file.tell(), 0, b""
    file.seek(0)
    while piece := file.read(1 << 20):
        passes += (last + piece).count(b"\xff\xda")  # a scan's marker; it can't stand within a scan
        last = piece[-1:]
    file.seek(at)
    if image.width * image.height * passes > _MOST_PASSES:
        raise BatikError("files.error.too_many_scans", got=say("files.scans", count=passes))


def _check_pages(image: ImageFile) -> None:
    pages = _tiff_pages(image) if isinstance(image, TiffImageFile) else getattr(image, "n_frames", 1)
    if pages > 1:
        what = "pages" if isinstance(image, TiffImageFile) else "frames"
        many = say(f"files.{what}", count=pages) if pages < _MOST_PAGES else say(f"files.many_{what}")
        raise BatikError("files.error.several_pictures", got=many)


def _tiff_pages(image: TiffImageFile) -> int:
    """Pages of a TIFF, small copies that scanners add left out."""
    pages = 0
    try:
        with quiet():
            for number in range(_MOST_PAGES):
                image.seek(number)
                pages += not int(image.tag_v2.get(_SUBFILE, 0)) & _SMALLER_COPY
    except EOFError:
        pass
    except Exception:  # a mangled second page does not spoil the first
        pages = max(pages, 1)
    with quiet():
        image.seek(0)
    return pages


def _decode(image: ImageFile) -> None:
    try:
        image.load()
    except MemoryError:
        raise BatikError("files.error.memory") from None
    except Exception as error:  # decoders raise almost anything on bad bytes
        cut = "truncated" in str(error) or "eof" in str(error).lower()
        raise BatikError(f"files.error.{'cut_short' if cut else 'broken_picture'}") from None


def _turned(image: ImageFile, notes: list[Message]) -> Image.Image:
    """The picture the right way up. TIFF files have been turned by the decoder."""
    try:
        with quiet():
            turn = image.getexif().get(_ORIENTATION, 1)
    except Exception:  # camera data is a courtesy; a mangled one is left out
        notes.append(say("files.note.taken_as_upright"))
        return image
    if turn not in _TURNS:
        return image
    notes.append(say("files.note.turned_upright"))
    return image.transpose(_TURNS[turn])


@contextlib.contextmanager
def quiet() -> Iterator[None]:
    """Keep Pillow's remarks about odd headers from the maker; one thread at a time, as warnings are shared."""
    with _quiet_lock, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield
