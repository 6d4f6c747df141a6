"""What all results of jobs have in common: what `--json` prints of them, and how a notebook shows them."""

import abc
import io
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, ClassVar

from batiksim.cloth.program import design_masks
from batiksim.files.pictures import images
from batiksim.jobs.envelope import Origin, envelope
from batiksim.types import Bytes
from batiksim.values import Design
from batiksim.values.plain_data import LEFT_OUT, plain_data

NOTEBOOK_PX = 1200  # width of a picture in a notebook


class Result(abc.ABC):
    """What a job gives."""

    def data(self) -> dict[str, Any]:
        """The result as plain data: what `--json` prints, and a .json file holds.

        Returns
        -------
        dict
            Of texts, numbers, lists and further dicts.
        """
        return envelope(self.origin, light=getattr(self, "light", self.COLOURS_BY)) | self._data()

    COLOURS_BY: ClassVar[str | None] = None  # the light of its colours where it has no `light`; None: no colours

    @property
    @abc.abstractmethod
    def origin(self) -> Origin:
        """The design or dye book that it is of."""

    @abc.abstractmethod
    def _data(self) -> dict[str, Any]:
        """What is to be told of it, besides what every result tells."""


@dataclass(frozen=True, kw_only=True)
class Written(Result):
    """What a job wrote."""

    of: Origin = field(metadata=LEFT_OUT)

    @property
    def origin(self) -> Origin:
        """The design or dye book that it is of."""
        return self.of

    def _data(self) -> dict[str, Any]:
        return plain_data(self)


class ShownResult(Result):
    """What a job gives that a notebook shows."""

    @abc.abstractmethod
    def words(self) -> str:
        """The result in a sentence: what stands in the picture's stead for whoever can't see it.

        Returns
        -------
        str
            In the language that is spoken.
        """

    @abc.abstractmethod
    def _repr_png_(self) -> bytes:
        """The picture as a notebook shows it."""

    def _repr_html_(self) -> str:
        return self._html_with(self._repr_png_())

    def _repr_mimebundle_(self, **_: object) -> dict[str, str | bytes]:
        """Both forms, for whoever asks for both: the picture is drawn once."""
        png = self._repr_png_()
        return {"text/html": self._html_with(png), "image/png": png}

    def _html_with(self, png: bytes) -> str:
        from batiksim.sheets.notebook import picture_html  # which a command never needs

        return picture_html(png, alt=self.words()) + self._more_html()

    def _more_html(self) -> str:
        """What a notebook shows below the picture."""
        return ""


class PictureResult(ShownResult):
    """What a job gives that can be shown as one picture."""

    @abc.abstractmethod
    def picture(self) -> Bytes:
        """The result as one picture.

        Returns
        -------
        ndarray
            The picture, sRGB uint8 (rows, cols, 3).
        """

    def _repr_png_(self) -> bytes:
        picture = self.picture()
        return png_bytes(images.reduced(picture, NOTEBOOK_PX) if picture.shape[1] > NOTEBOOK_PX else picture)


def masks_by_name(design: Design, masks: Sequence[Bytes] | Bytes) -> dict[str, Bytes]:
    """Masks (rows, cols) in the order of `design_masks`, read-only, by the names of their pictures.

    A picture that the design reads in two ways is left out: one array can't be both.
    """
    uses = design_masks(design)
    ways = Counter(use.picture for use in uses)
    return {use.picture: read_only(mask) for use, mask in zip(uses, masks, strict=True) if ways[use.picture] == 1}


def read_only(array: Bytes) -> Bytes:
    """The same array, as one that can't be written to."""
    view = array.view()
    view.setflags(write=False)
    return view


def png_bytes(picture: Bytes) -> bytes:
    """A picture, sRGB uint8 (rows, cols, 3), as the bytes of a PNG file."""
    file = io.BytesIO()
    images.write_png(file, picture)
    return file.getvalue()
