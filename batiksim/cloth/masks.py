"""From a mask picture to a mask: how much of each pixel is marked.

Arrays only. A stated meaning is kept; one that is left out follows from a simple rule, and the maker is told.
"""

from dataclasses import dataclass

import numpy as np

from batiksim.errors import BatikError
from batiksim.texts.catalogue import Message, say
from batiksim.types import Bytes
from batiksim.values import Marks

AS_USUAL = say("cloth.mask.dark_marks")  # said of a mask that leaves no doubt

_BAND_ROWS = 128
_DARK_GROUND = 96
_LOOKS = 256
_NEARLY = 8  # of 255: as good as white, or as black
_FEWEST_PLAIN = 0.2  # share of pixels that are nearly white or black; drawings have most, photos next to none
_WHOLE_SIDE = 0.9  # share of a side that is marked when it is the table's edge that was photographed


@dataclass(frozen=True, kw_only=True, eq=False)
class MaskReading:
    """A mask and how it was read.

    mask : uint8 (rows, cols), 0 = not marked .. 255 = fully marked
    marks : what was taken as marked
    assumed : what was worked out because the design did not say, for the maker; None where it did
    """

    mask: Bytes
    marks: Marks
    assumed: Message | None = None


def to_mask(grey: Bytes, alpha: Bytes | None, *, marks: Marks | None = None, clean: bool = False) -> MaskReading:
    """Read a mask picture as a mask.

    grey : uint8 (rows, cols), encoded luma; the share marked is linear in it (dark marks: 1 - grey/255)
    alpha : uint8 (rows, cols), 0 = clear; or None. Dark marks are read as laid over white, light marks over black
    marks : what is marked; None = by alpha where alpha varies, else dark marks on a light ground
    clean : take it as a photo or scan of a drawing and make a clean mask of it
    Raises BatikError for marks "alpha" without transparency.
    """
    used: Marks = marks or ("alpha" if alpha is not None and _varies(alpha) else "dark")
    mask = _read(grey, alpha, used)
    assumed = None if marks else _reading_words(mask, used)
    if clean:
        from batiksim.cloth.clean_drawing import clean_mask  # scikit-image is slow to import

        mask = clean_mask(mask, light_marks=used == "light")
    return MaskReading(mask=mask, marks=used, assumed=assumed)


def mask_of_array(values: object, name: str) -> Bytes:
    """A mask, uint8 (rows, cols), from an array that says how much of each pixel is marked.

    values : (rows, cols): bool, uint8 0..255, or floating 0..1
    errors : TypeError for numbers of another kind; BatikError, naming the mask, for another shape or range
    """
    try:
        array = np.asarray(values)
    except ValueError:
        raise BatikError("cloth.error.mask_shape", field="masks", got=name, shape="?") from None
    if array.dtype != np.uint8 and array.dtype.kind not in "bf":
        raise TypeError(f"masks[{name!r}] needs bool, uint8 0..255 or floating 0..1, not {array.dtype}")
    if array.ndim != 2 or not array.size:
        raise BatikError("cloth.error.mask_shape", field="masks", got=name, shape=str(array.shape))
    if array.dtype == np.uint8:
        if array.max() == 1:  # meant as 0 and 1, most likely: as bytes it would be as good as nothing
            raise BatikError("cloth.error.mask_of_ones", field="masks", got=name)
        return array.copy()  # the caller may go on with it
    if array.dtype.kind == "f" and not (array.min() >= 0 and array.max() <= 1):  # also for NaN
        raise BatikError(
            "cloth.error.mask_range", field="masks", got=name, low=f"{array.min():g}", high=f"{array.max():g}"
        )
    levels: Bytes = np.rint(255 * array.astype(np.float64)).astype(np.uint8)
    return levels


def mask_warnings(mask: Bytes, *, clean: bool, wax: bool) -> tuple[Message, ...]:
    """What a maker may want to look at again, judged by a sample of pixels.

    mask : uint8 (rows, cols), as read; clean : it was cleaned; wax : it says where sealing wax goes, so grey is edge
    """
    if clean:
        sides = marked_sides(mask)
        if 0 < len(sides) < 4:
            edges = tuple(say(f"cloth.side.{side}") for side in sides)
            return (say("cloth.mask.marked_edges", count=len(sides), sides=edges),)
    elif wax and _looks_photographed(mask):
        return (say("cloth.mask.mostly_grey"),)
    return ()


def _looks_photographed(mask: Bytes) -> bool:
    rows, cols = (max(1, side // _LOOKS) for side in mask.shape)
    some = mask[::rows, ::cols]
    return bool(np.mean((some < _NEARLY) | (some > 255 - _NEARLY)) < _FEWEST_PLAIN)


def marked_sides(mask: Bytes) -> list[str]:
    """Sides of a mask, uint8 (rows, cols), that are marked from end to end, or nearly."""
    sides = {"left": mask[:, 0], "right": mask[:, -1], "top": mask[0], "bottom": mask[-1]}
    return [name for name, line in sides.items() if np.mean(line > 127) >= _WHOLE_SIDE]


def _varies(alpha: Bytes) -> bool:
    return bool(alpha.size) and int(alpha.min()) != int(alpha.max())


def _read(grey: Bytes, alpha: Bytes | None, marks: Marks) -> Bytes:
    if marks == "alpha":
        if alpha is None or not _varies(alpha):
            raise BatikError("cloth.error.no_transparency", field="marks")
        return alpha.copy()
    mask = np.invert(grey) if marks == "dark" else grey.copy()
    if alpha is not None:
        product(mask, alpha, out=mask)
    return mask


def area_mean(picture: Bytes, factor: int, *, rounded: bool = False) -> Bytes:
    """A picture (rows, cols, ...) reduced by a whole number; a last row or column that isn't whole repeats its edge.

    rounded : to the nearest, else down
    """
    if factor == 1:
        return picture
    short = (-picture.shape[0] % factor, -picture.shape[1] % factor)
    if any(short):
        picture = np.pad(picture, [(0, short[0]), (0, short[1]), *[(0, 0)] * (picture.ndim - 2)], mode="edge")
    shape = picture.shape[0] // factor, picture.shape[1] // factor, *picture.shape[2:]
    total = np.full(shape, factor**2 // 2 if rounded else 0, np.uint16 if factor <= 16 else np.uint32)
    for row in range(factor):
        for col in range(factor):
            total += picture[row::factor, col::factor]
    return np.asarray(total // factor**2, np.uint8)


def product(one: Bytes, other: Bytes, *, out: Bytes | None = None) -> Bytes:
    """Two masks multiplied as shares of 255, rounded, a band of rows at a time so that little memory is needed."""
    result = np.empty_like(one) if out is None else out
    for first in range(0, one.shape[0], _BAND_ROWS):
        rows = slice(first, first + _BAND_ROWS)
        whole = one[rows].astype(np.uint16) * other[rows] + np.uint16(128)
        result[rows] = (whole + (whole >> 8)) >> 8
    return result


def less(mask: Bytes, taken: Bytes) -> Bytes:
    """What is left of a mask where a share of it is taken away: the mask times 1 - taken, rounded."""
    part = product(mask, taken)
    return np.subtract(mask, part, out=part)


def _reading_words(mask: Bytes, marks: Marks) -> Message:
    if marks == "alpha":
        return say("cloth.mask.by_transparency")
    return say("cloth.mask.mostly_dark") if _on_dark_ground(mask) else AS_USUAL


def _on_dark_ground(mask: Bytes) -> bool:
    """Whether both the whole and its border are mostly dark, judged by a sample of pixels."""
    rows, cols = (max(1, side // _LOOKS) for side in mask.shape)
    some = mask[::rows, ::cols]
    border = np.concatenate([mask[0, ::cols], mask[-1, ::cols], mask[::rows, 0], mask[::rows, -1]])
    return bool(min(np.median(some), np.median(border)) > 255 - _DARK_GROUND)
