"""The cloths in a folder: which one was saved last, their titles, and a small picture of each."""

from pathlib import Path

from batiksim import jobs
from batiksim.document.frames.rgba import rgba
from batiksim.errors import BatikError
from batiksim.files.starter import STARTER
from batiksim.files.toml import designs
from batiksim.types import Bytes

MOST_DESIGNS = 200
SMALL_PX = 200  # width of a cloth's picture in the list of cloths


def newest_in(home: Path) -> list[Path]:
    """The folders of the cloths in a folder, the one that was saved last first."""

    def saved(file: Path) -> float:
        try:
            return file.stat().st_mtime
        except OSError:
            return 0.0

    return [file.parent for file in sorted(home.glob(f"*/{designs.DESIGN_NAME}"), key=saved, reverse=True)]


def designs_in(home: Path, *, but: Path | None = None) -> list[dict[str, str]]:
    """The cloths in a folder, each {name, title}, by name; `but` : the file of one to leave out."""
    listed = []
    for file in sorted(home.glob(f"*/{designs.DESIGN_NAME}"))[:MOST_DESIGNS]:
        if but is not None and file.resolve() == but.resolve():
            continue
        try:
            listed.append({"name": file.parent.name, "title": designs.read_design(file).title})
        except BatikError:
            continue  # not one that can be opened
    return listed


def small_cloth(folder: Path | None) -> Bytes:
    """The finished cloth of a design, or of the sample (None), small: RGBA uint8 (rows, cols, 4).

    errors : BatikError where it can't be read
    """
    project = jobs.open_design(folder or STARTER, width_px=SMALL_PX)
    return rgba(jobs.finished_cloth(project.design, project.masks, project.dyes))
