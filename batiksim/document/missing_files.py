"""Files that have gone from a design's folder: looked for at each save; masks that have gone are written again."""

import contextlib
from collections.abc import Callable
from pathlib import Path

import numpy as np

from batiksim import jobs
from batiksim.errors import BatikError
from batiksim.files.disk.resolve import file_beside
from batiksim.files.pictures import images
from batiksim.files.toml.designs import named_pictures
from batiksim.files.toml.dyebooks import DEMO
from batiksim.types import Bytes
from batiksim.values import Design, MaskUse

NEARLY = 1.0  # mean difference, of 255, by which a mask that is cleaned once more may change


def restore_masks(design: Design, folder: Path, held: Callable[[MaskUse], Bytes | None]) -> None:
    """Write those masks of a design again that are gone from its folder. BatikError for one that can't be.

    held : a mask that is still in memory, uint8 (rows, cols), 255 = fully marked; None = it isn't
    """
    for use in dict.fromkeys(use for _, use in named_pictures(design)):
        if _exists(folder, use.picture):
            continue
        mask = held(use)
        if mask is None or not _write_mask(folder, use, mask, width_mm=design.cloth.width_mm):
            raise _missing("picture", use.picture, folder)


def check_books(design: Design, folder: Path) -> None:
    """BatikError for a dye book or a measured reflectance that a design names and that is gone from its folder."""
    for dye in design.dyes:
        if dye.book is not None and dye.book != DEMO and not _exists(folder, dye.book):
            raise _missing("book", dye.book, folder)
        if dye.spectrum is not None and not _exists(folder, dye.spectrum):
            raise _missing("reflectance", dye.spectrum, folder)


def _missing(kind: str, name: str, folder: Path) -> BatikError:
    return BatikError(f"document.error.{kind}_gone", fix="document.error.put_back", name=name, folder=str(folder))


def _exists(folder: Path, name: str) -> bool:
    try:
        file_beside(folder, name, kind="picture", endings=())
    except BatikError:
        return False
    return True


def _write_mask(folder: Path, use: MaskUse, mask: Bytes, *, width_mm: float) -> bool:
    """Write a mask under its old name; whether it is read from there as the same mask. If not, it is taken away."""
    path = folder / use.picture
    if path.suffix.lower() != ".png" or ".." in path.parts or Path(use.picture).is_absolute():
        return False
    path.parent.mkdir(parents=True, exist_ok=True)
    for pixels in (np.invert(mask), mask):  # dark marks, light marks
        images.write_png(path, pixels, width_mm=width_mm)
        with contextlib.suppress(BatikError):
            again = jobs.read_mask(folder, use)[0]
            if again.shape == mask.shape:
                off, most = float(np.abs(again.astype(np.int16) - mask).mean()), NEARLY if use.clean else 0.0
                if off <= most:
                    return True
    path.unlink(missing_ok=True)
    return False
