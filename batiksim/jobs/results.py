"""What all results of jobs have in common: what `--json` prints of them, and pictures for a notebook."""

import abc
import io
from typing import Any

from batiksim.files.pictures import images
from batiksim.types import Bytes


class Result(abc.ABC):
    """What a job gives."""

    def data(self) -> dict[str, Any]:
        """The result as plain data: what `--json` prints, and a .json file holds.

        Returns
        -------
        dict
            Of texts, numbers, lists and further dicts.
        """
        return self._data()

    @abc.abstractmethod
    def _data(self) -> dict[str, Any]:
        """What is to be told of it, besides what every result tells."""


def png_bytes(picture: Bytes) -> bytes:
    """A picture, sRGB uint8 (rows, cols, 3), as the bytes of a PNG file."""
    file = io.BytesIO()
    images.write_png(file, picture)
    return file.getvalue()
