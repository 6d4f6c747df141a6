"""Makes README's pictures anew from the samples beside this folder.

`python sample_designs/pictures/make_pictures.py` makes all of them, or those that are named: stages,
mistake-and-remedy, orders, timetable, worktable. The worktable is photographed in Chromium by playwright (the `test`
extra), on a copy of the sample, so that nothing is saved into it. Look at each afterwards. `growth.svg` is another's:
`tests/bench/curve.py` measures and draws it.
"""

from __future__ import annotations

import io
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

from PIL import Image

HERE = Path(__file__).resolve().parent
SAMPLES = HERE.parent
GAP, GROUND = 20, "#f4efe4"
QUALITIES = range(92, 40, -2)  # the first that keeps within a picture's bytes is taken


def batiksim(*words: str | Path) -> None:
    """Run one command."""
    subprocess.run([sys.executable, "-m", "batiksim", *map(str, words)], check=True, stdout=subprocess.DEVNULL)


def reduced(file: Path, width: int) -> Image.Image:
    """A picture at so many pixels across."""
    picture = Image.open(file).convert("RGB")
    return picture.resize((width, round(width * picture.height / picture.width)), Image.Resampling.LANCZOS)


def stages(folder: Path) -> Image.Image:
    """Every stage of the estuary."""
    batiksim("stages", SAMPLES / "estuary_geese", "--out", folder / "stages.png")
    return reduced(folder / "stages.png", 1300)


def mistake_and_remedy(folder: Path) -> Image.Image:
    """The poppies with brown leaves and with green ones, side by side."""
    both = Image.new("RGB", (2 * 640 + GAP, 640), GROUND)
    for place, design in enumerate(("design.toml", "remedy.toml")):
        batiksim("preview", SAMPLES / "garden_poppies" / design, "--out", folder / design)
        both.paste(reduced(folder / design / "cloth.png", 640), (place * (640 + GAP), 0))
    return both


def orders(folder: Path) -> Image.Image:
    """The poppies in other orders."""
    batiksim("orders", SAMPLES / "garden_poppies", "--masks", "derive", "--out", folder)
    return reduced(folder / "orders.png", 1100)


def timetable(folder: Path) -> Image.Image:
    """Three evenings with twelve makers."""
    how = ("--makers", "12", "--sessions", "three evenings of 3 hours", "--room", "21")
    batiksim("workshop", SAMPLES / "estuary_geese", *how, "--out", folder / "timetable.png")
    return reduced(folder / "timetable.png", 1400)


def worktable(folder: Path) -> Image.Image:
    """The poppies on the worktable, the remedy that waxes the leaves in time tried beside them."""
    from playwright.sync_api import sync_playwright

    cloth = shutil.copytree(SAMPLES / "garden_poppies", folder / "garden_poppies")
    command = [sys.executable, "-u", "-m", "batiksim", "worktable", cloth, "--home", folder, "--no-browser"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as running, sync_playwright() as player:
        try:
            assert running.stdout is not None
            address = next(found[0] for line in running.stdout if (found := re.search(r"http://\S+#\S+", line)))
            chromium = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
            page = player.chromium.launch(executable_path=chromium).new_page(viewport={"width": 1440, "height": 900})
            page.set_default_timeout(60_000)
            page.goto(address)
            page.wait_for_selector("canvas.now[data-shown^=full]")
            page.locator("button", has_text="Try: Wax").first.click()
            page.wait_for_selector("canvas.other[data-shown^=full]")
            page.mouse.move(2, 740)
            page.wait_for_timeout(1500)
            shot = page.screenshot()
        finally:
            running.terminate()
    (folder / "shot.png").write_bytes(shot)
    return reduced(folder / "shot.png", 1200)


# Each with the bytes that it may take: all pictures of the project together stay under 4 MB.
PICTURES: dict[str, tuple[Callable[[Path], Image.Image], int]] = {
    "stages": (stages, 219_000),
    "mistake-and-remedy": (mistake_and_remedy, 283_000),
    "orders": (orders, 234_000),
    "timetable": (timetable, 70_000),
    "worktable": (worktable, 148_000),
}


def packed(picture: Image.Image, most: int) -> bytes:
    """A WebP of at most so many bytes, as good as that allows."""
    for quality in QUALITIES:
        file = io.BytesIO()
        picture.save(file, format="WEBP", quality=quality, method=6)
        if file.tell() <= most:
            break
    return file.getvalue()


def main(names: list[str]) -> None:
    """Make all pictures, or those named."""
    for name in names or list(PICTURES):
        make, most = PICTURES[name]
        with tempfile.TemporaryDirectory() as folder:
            picture = make(Path(folder))
        data = packed(picture, most)
        (HERE / f"{name}.webp").write_bytes(data)
        print(f"{name}.webp: {picture.width} x {picture.height} pixels, {len(data)} bytes")


if __name__ == "__main__":
    main(sys.argv[1:])
