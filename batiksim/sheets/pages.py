"""A drawn page and the words on it, kept apart until it is painted: as one picture, or as a PDF whose words can be
selected and searched.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from PIL import Image, ImageDraw

from batiksim.sheets.drawing import picture_bytes
from batiksim.sheets.lettering import BACK, Lettering
from batiksim.sheets.typesetting import typeset
from batiksim.types import Bytes

DOTS_PER_INCH = 200
_POINT = 72 / DOTS_PER_INCH


@dataclass(frozen=True)
class Label:
    """One line of text; lengths in pixels of the page.

    place : (x, y) where its baseline starts, ends or has its middle, as the look says
    turned : it runs upwards instead of to the right
    """

    place: tuple[float, float]
    text: str
    look: Lettering
    turned: bool = False


def labels_of(place: tuple[float, float], lines: Iterable[str], look: Lettering) -> list[Label]:
    """Lines one below the other, the first one's baseline at `place`."""
    x, y = place
    return [Label((x, y + row * look.high), line, look) for row, line in enumerate(lines)]


@dataclass(frozen=True, kw_only=True)
class Page:
    """A page: what is drawn (RGB, never changed after), what is written, its title and what it shows in words."""

    drawn: Image.Image
    labels: tuple[Label, ...]
    title: str
    subject: str = ""


def page_picture(page: Page) -> Bytes:
    """The page as one picture, sRGB uint8 (rows, cols, 3)."""
    sheet = page.drawn.copy()
    draw = ImageDraw.Draw(sheet)
    for label in page.labels:
        if label.turned:
            _write_turned(sheet, label)
        else:
            label.look.write(draw, label.place, label.text)
    return np.asarray(sheet)


def _write_turned(sheet: Image.Image, label: Label) -> None:
    (x, y), look = label.place, label.look
    wide = round(look.width(label.text)) + 4
    up, below = look.size, round(look.size * 0.4)
    piece = Image.new("L", (wide, up + below))
    replace(look, fill="#ffffff", align="left").write(ImageDraw.Draw(piece), (2, up), label.text)
    piece = piece.transpose(Image.Transpose.ROTATE_90)
    foot = round(y + wide * BACK[look.align])
    sheet.paste(look.fill, (round(x) - up, foot - wide), piece)


def page_pdf(page: Page) -> bytes:
    """The page as a one-page PDF: the drawing as a picture, the words as text in the embedded typefaces."""
    wide, high = page.drawn.size
    data = {
        "title": page.title,
        "subject": page.subject,
        "wide": wide * _POINT,
        "high": high * _POINT,
        "picture": "drawn.jpg",
        "labels": list(map(_label_data, page.labels)),
    }
    drawn = picture_bytes(page.drawn, "JPEG", quality=92, subsampling=0)
    return typeset("page.typ", data, {"drawn.jpg": drawn}, accessible=False)


def _label_data(label: Label) -> dict[str, object]:
    (x, y), look = label.place, label.look
    back = look.back(label.text)
    x, y = (x, y + back) if label.turned else (x - back, y)
    size = look.size * _POINT
    place = {"x": x * _POINT, "y": y * _POINT, "turned": label.turned}
    return place | {"text": label.text, "style": look.style, "size": size, "fill": look.fill}
