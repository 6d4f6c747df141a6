"""A drawn page and the words on it, kept apart until it is painted: as one picture, or as a PDF whose words can be
selected and searched.
"""

import json
import shutil
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import numpy as np
from PIL import Image, ImageDraw

from batiksim.sheets.colours import INK
from batiksim.sheets.lettering import Style, text_width, write
from batiksim.sheets.typefaces import font_paths, settable_data
from batiksim.texts.catalogue import texts
from batiksim.types import Bytes
from batiksim.values import MADE_BY
from batiksim.values.plain_data import plain_data

DOTS_PER_INCH = 200
_TEMPLATE = Path(__file__).parent / "templates" / "page.typ"
_BACK = {"left": 0.0, "middle": 0.5, "right": 1.0}


@dataclass(frozen=True, kw_only=True)
class Label:
    """One line of text; lengths in pixels of the page.

    x, y : where its baseline starts, ends or has its middle, by `align`
    turned : it runs upwards instead of to the right
    """

    x: float
    y: float
    text: str
    size: int
    style: Style = "sans"
    fill: str = INK
    align: Literal["left", "middle", "right"] = "left"
    turned: bool = False


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
            place = (label.x, label.y)
            write(draw, place, label.text, style=label.style, size=label.size, fill=label.fill, align=label.align)
    return np.asarray(sheet)


def _write_turned(sheet: Image.Image, label: Label) -> None:
    wide = round(text_width(label.text, label.style, label.size)) + 4
    up, below = label.size, round(label.size * 0.4)
    piece = Image.new("L", (wide, up + below))
    write(ImageDraw.Draw(piece), (2, up), label.text, style=label.style, size=label.size, fill="#ffffff")
    piece = piece.transpose(Image.Transpose.ROTATE_90)
    foot = round(label.y + wide * _BACK[label.align])
    sheet.paste(label.fill, (round(label.x) - up, foot - wide), piece)


def page_pdf(page: Page) -> bytes:
    """The page as a one-page PDF: the drawing as a picture, the words as text in the embedded typefaces."""
    import typst

    point = 72 / DOTS_PER_INCH
    wide, high = page.drawn.size
    data = {
        "language": texts().language,
        "made_by": MADE_BY,
        "title": page.title,
        "subject": page.subject,
        "wide": wide * point,
        "high": high * point,
        "picture": "drawn.jpg",
        "labels": [_label_data(label, point) for label in page.labels],
    }
    with tempfile.TemporaryDirectory(prefix="batiksim-") as folder:
        page.drawn.save(Path(folder, "drawn.jpg"), quality=92, subsampling=0)
        main = shutil.copy(_TEMPLATE, folder)
        return typst.compile(
            str(main),
            root=folder,
            format="pdf",
            font_paths=font_paths(data, Path(folder)),
            ignore_system_fonts=True,
            sys_inputs={"data": json.dumps(settable_data(data))},
        )


def _label_data(label: Label, point: float) -> dict[str, object]:
    back = text_width(label.text, label.style, label.size) * _BACK[label.align]
    x, y = (label.x, label.y + back) if label.turned else (label.x - back, label.y)
    return plain_data(label) | {"x": x * point, "y": y * point, "size": label.size * point}
