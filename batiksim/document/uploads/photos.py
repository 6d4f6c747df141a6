"""Photos and sketches in colour that were sent to be worked on: kept as files while the worktable runs."""

import secrets
from collections import OrderedDict
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from batiksim.document.frames.rgba import rgba
from batiksim.errors import BatikError
from batiksim.files.pictures import images
from batiksim.types import Bytes

MOST_PIXELS = 60_000_000
MOST_KEPT = 6
SHOWN_PX = 2000  # looked at closely while patches are clicked


@dataclass(frozen=True, kw_only=True, eq=False)
class Photo:
    """A photo that was sent. name : as sent; size : rows and columns; shown : reduced, RGBA uint8 (rows, cols, 4)."""

    file: Path
    name: str
    size: tuple[int, int]
    shown: Bytes


class Photos:
    """The last photos that were sent. folder : where they are kept."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._kept: OrderedDict[str, Photo] = OrderedDict()

    def take(self, file: Path, name: str) -> dict[str, Any]:
        """Check and keep a photo; returns its data for the page. Raises BatikError for what is no picture."""
        try:
            rgb = images.read_rgb(file, most_pixels=MOST_PIXELS)
        except BatikError as error:
            raise BatikError(error.problem, file=name, field=error.field, got=error.got, fix=error.fix) from None
        key = secrets.token_hex(8)
        kept = file.rename(self._folder / f"photo-{key}{_ending(name)}")
        rows, cols = rgb.shape[:2]
        shown = rgba(images.reduced(rgb, SHOWN_PX))
        self._kept[key] = Photo(file=kept, name=name, size=(rows, cols), shown=shown)
        while len(self._kept) > MOST_KEPT:
            self._kept.popitem(last=False)[1].file.unlink(missing_ok=True)
        return {"key": key, "name": name, "rows": rows, "cols": cols}

    def get(self, key: str) -> Photo:
        """A photo. Raises BatikError when it is gone."""
        photo = self._kept.get(key)
        if photo is None:
            raise BatikError("document.error.photo_gone", field="photo")
        return photo


def _ending(name: str) -> str:
    ending = Path(name).suffix.lower()
    return ending if ending in (".png", ".jpg", ".jpeg", ".webp", ".tif", ".tiff") else ".png"
