"""Beginning a cloth from dropped pictures, and the cloths that lie in a folder already."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from batiksim import jobs
from batiksim.cloth import render
from batiksim.cloth.effects.effective_masks import effective_planes
from batiksim.cloth.program import Emit, compile_design
from batiksim.document.frames.mask_cache import mask_use
from batiksim.document.frames.rgba import rgba
from batiksim.document.request_fields import Asked
from batiksim.document.uploads.pictures import MASKS, DroppedPictures, Read, fitted, read_dropped
from batiksim.errors import BatikError
from batiksim.files.toml import designs
from batiksim.types import Bytes

__all__ = ["designs_in", "newest_in", "small_cloth", "steps_of"]

MOST_DESIGNS = 200
SMALL_PX = 200  # width of a cloth's picture in the list of cloths


def steps_of(dropped: DroppedPictures, changes: Sequence[Any]) -> tuple[list[Any], list[tuple[str, Bytes]]]:
    """Changes whose steps name dropped pictures, with masks in their place; and the masks, each by its name.

    The first picture sets the size in pixels, one whose shape is known if there is any. Raises BatikError for a picture
    of another shape, or one that is gone.
    """
    made: list[tuple[str, Bytes]] = []
    found = [_read(dropped, its) for one in changes if (its := _dropped_where(one)) is not None]
    known = [one.mask.shape for _, one in found if not one.paper] or [one.mask.shape for _, one in found]
    waiting = iter(found)

    def where() -> Any:
        name, read = next(waiting)
        made.append((name, fitted(name, read, (known[0][0], known[0][1]))))
        use = mask_use(*made[-1], folder=MASKS)
        return {"picture": use.picture, "marks": use.marks}

    def change(entries: Any) -> Any:
        if _dropped_where(entries) is None:
            return entries
        return entries | {"step": entries["step"] | {"where": where()}}

    return [change(entries) for entries in changes], made


def _dropped_where(entries: Any) -> dict[str, Any] | None:
    """What a change says of the dropped picture of its step; None where it has none."""
    step = entries.get("step") if isinstance(entries, dict) else None
    where = step.get("where") if isinstance(step, dict) else None
    return where if isinstance(where, dict) and "dropped" in where else None


def _read(dropped: DroppedPictures, where: dict[str, Any]) -> tuple[str, Read]:
    """A dropped picture by its name, and as it is meant to be read."""
    asked = Asked(where).inner("dropped")
    one = dropped.get(asked.text("key"))
    marks = asked.text("marks") if "marks" in asked else None
    return one.name, read_dropped(one, marks=marks, clean=asked.flag("clean"), off_table=asked.flag("off_table"))


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
    found = []
    for file in sorted(home.glob(f"*/{designs.DESIGN_NAME}"))[:MOST_DESIGNS]:
        if but is not None and file.resolve() == but.resolve():
            continue
        try:
            found.append({"name": file.parent.name, "title": designs.read_design(file).title})
        except BatikError:
            continue  # not one that can be opened
    return found


def small_cloth(folder: Path) -> Bytes:
    """The finished cloth of a design, small: RGBA uint8 (rows, cols, 4). Raises BatikError where it can't be read."""
    project = jobs.open_design(folder, width_px=SMALL_PX)
    finished = (Emit(step=len(project.design.steps), finished=True),)
    program = compile_design(project.design, project.dyes, plates=finished)
    return rgba(render.render(program, effective_planes(project.design, project.masks))[0])
