"""What each request of the page gets: plain functions of the desk and what was asked, run off the event loop."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

from batiksim import jobs
from batiksim.colour.spectra import LIGHTS
from batiksim.document.design_data import design_data, state_data, story_data, troubles_data
from batiksim.document.frames.frames import Frames, View
from batiksim.document.own_dyes import own_dyes, with_own_dyes
from batiksim.document.request_fields import Asked
from batiksim.document.touchup import TOOL_WIDTHS_MM
from batiksim.document.uploads import new_cloth, pictures
from batiksim.document.verbs import blank, changed
from batiksim.errors import BatikError
from batiksim.files.starter import starter_folder
from batiksim.files.toml import dyebooks
from batiksim.types import Bytes, Look
from batiksim.values import Cloth, Design
from batiksim.worktable import long_jobs
from batiksim.worktable.session import Desk

__all__ = ["ANSWERS", "frame", "small", "thumbnails"]

Answer = Callable[[Desk, Asked], dict[str, Any]]
ASK_PX = 2000  # a spot is asked about on masks no wider than this


def design_of(desk: Desk, asked: Asked) -> Design:
    """The design meant: as it is, or the kept one, with changes that are only tried."""
    kept = asked.flag("kept")
    base = desk.table.kept if kept else desk.table.design
    if base is None:
        raise BatikError("nothing is kept to compare with", fix="keep an arrangement first")
    return changed(base, with_own_dyes(desk.table, asked.listed("changes")))


def view_of(asked: Asked) -> View:
    """How it is to be seen."""
    step = asked.whole("step", 0, 1000) if "step" in asked else None
    look: Look = "wet" if asked.flag("wet") else "dry"
    light = asked.choice("light", LIGHTS) if "light" in asked else "D65"
    width = asked.whole("width", 16, 30_000)
    return View(step=step, width=width, look=look, light=light, wax_off=asked.flag("wax_off"))


def frame(desk: Desk, asked: Asked) -> Bytes:
    """One frame, RGBA uint8 (rows, cols, 4). Raises Superseded when a newer one was asked for."""
    page, place = asked.text("page"), asked.text("place")
    number = asked.whole("number", 0, 2**53)
    desk.newest.check(page, place, number)
    design, view = design_of(desk, asked), view_of(asked)
    if asked.flag("kept") and view.step is not None:
        view = replace(view, step=min(view.step, len(design.steps)))  # it may have fewer
    made = desk.table.frames.frame(design, view).pixels
    desk.newest.check(page, place, number)
    return made


def thumbnails(desk: Desk, asked: Asked) -> Bytes:
    """All plates, small: RGBA uint8 (plates, rows, cols, 4)."""
    return desk.table.frames.thumbnails(design_of(desk, asked), asked.whole("width", 16, 400))


def _state(desk: Desk, asked: Asked) -> dict[str, Any]:
    del asked
    desk.take_over()
    desk.look_at_books()
    return state_data(desk.table) | {"pages": desk.pages}


def _trial(desk: Desk, asked: Asked) -> dict[str, Any]:
    """The design as some changes would make it, as data; nothing is kept."""
    design = design_of(desk, asked)
    table = desk.table
    return design_data(design, table.frames.dyes(design), *table.shelf.size(design))


def _story(desk: Desk, asked: Asked) -> dict[str, Any]:
    return _marked(desk, asked, story_data)


def _troubles(desk: Desk, asked: Asked) -> dict[str, Any]:
    return _marked(desk, asked, partial(troubles_data, own=own_dyes(desk.table)))


def _marked(desk: Desk, asked: Asked, tell: Callable[[Frames, Design], dict[str, Any]]) -> dict[str, Any]:
    """Something told of the design of this moment, with what the page knows it by."""
    table = desk.table
    with table.lock:
        revision, design = table.revision, design_of(desk, asked)
    return tell(table.frames, design) | {"table": table.number, "revision": revision}


def _change(desk: Desk, asked: Asked) -> dict[str, Any]:
    desk.table.change(with_own_dyes(desk.table, asked.listed("changes")))
    return _state(desk, asked)


def _undo(desk: Desk, asked: Asked) -> dict[str, Any]:
    desk.table.undo()
    return _state(desk, asked)


def _redo(desk: Desk, asked: Asked) -> dict[str, Any]:
    desk.table.redo()
    return _state(desk, asked)


def _touch(desk: Desk, asked: Asked) -> dict[str, Any]:
    paint = asked.whole("paint", 1, 200) if "paint" in asked else None
    step = asked.whole("step", 1, 1000)
    desk.table.touch(step, paint, asked.points("points"), asked.number("width_mm", 0.1, 200), asked.flag("erase"))
    return _state(desk, asked)


def _keep(desk: Desk, asked: Asked) -> dict[str, Any]:
    """Keep the arrangement as it is, to compare with; or let it go."""
    desk.table.kept = None if asked.flag("let_go") else desk.table.design
    return _state(desk, asked)


def _spot(desk: Desk, asked: Asked) -> dict[str, Any]:
    design = design_of(desk, asked)
    frames = desk.table.frames
    width = min(ASK_PX, frames.size(design)[1])
    x, y = asked.number("x", 0, 1), asked.number("y", 0, 1)
    step = asked.whole("step", 0, len(design.steps)) if "step" in asked else None
    levels = jobs.levels_at(frames.planes(design, width), x, y)
    told = jobs.spot_story(design, frames.dyes(design), levels, step=step)
    return told | {"x": x, "y": y, "x_mm": x * design.cloth.width_mm, "y_mm": y * _height_mm(desk, design)}


def _height_mm(desk: Desk, design: Design) -> float:
    rows, cols = desk.table.frames.size(design)
    return design.cloth.width_mm * rows / cols


def _history(desk: Desk, asked: Asked) -> dict[str, Any]:
    del asked
    today = datetime.datetime.now().date()
    shown = desk.table.versions()[:100]
    return {"versions": [{"key": one.key, "what": one.what, "when": _when(one.when, today)} for one in shown]}


def _when(when: datetime.datetime, today: datetime.date) -> str:
    return when.strftime("%H:%M:%S") if when.date() == today else when.strftime("%d %b, %H:%M")


def _restore(desk: Desk, asked: Asked) -> dict[str, Any]:
    desk.table.restore(asked.text("key"))
    return _state(desk, asked)


def _begin(desk: Desk, asked: Asked) -> dict[str, Any]:
    """A new cloth, with steps by dropped pictures; nothing is made unless all of it can be."""
    colour = asked.text("colour") if "colour" in asked else None
    cloth = Cloth(width_mm=asked.number("width_mm", 10, 20_000), colour=colour)
    title = asked.text("title", longest=200)
    changes, masks = new_cloth.steps_of(desk.dropped, asked.listed("changes"))
    design = changed(blank(title, cloth), changes)  # an error here leaves all as it was
    desk.begin(design, masks)
    return _state(desk, asked)


def _designs(desk: Desk, asked: Asked) -> dict[str, Any]:
    """The cloths in the folder that the worktable was started in, but the one on the table."""
    del asked
    but = None if desk.table.sample else desk.table.keeper.file
    return {"designs": new_cloth.designs_in(desk.home, but=but), "sample": not desk.table.sample}


def small(desk: Desk, asked: Asked) -> Bytes:
    """A cloth of that folder, or the sample, finished and small: RGBA uint8 (rows, cols, 4)."""
    return new_cloth.small_cloth(starter_folder() if asked.flag("sample") else _listed(desk, asked))


def _listed(desk: Desk, asked: Asked) -> Path:
    """The folder of a cloth in the list."""
    name = asked.text("name")
    if not any(one["name"] == name for one in new_cloth.designs_in(desk.home)):
        raise BatikError("there is no such cloth", got=name, fix="choose one from the list")
    return desk.home / name


def _open(desk: Desk, asked: Asked) -> dict[str, Any]:
    """Another cloth of that folder, or the sample, onto the table."""
    if asked.flag("sample"):
        desk.open_sample()
    else:
        desk.open(_listed(desk, asked))
    return _state(desk, asked)


def _book(desk: Desk, asked: Asked) -> dict[str, Any]:
    """The dyes of the maker's own book and of the built-in one, as they dry on this cloth."""
    del asked
    own = own_dyes(desk.table)
    demo = [dye for dye in dyebooks.read_book(dyebooks.DEMO).dyes if dye.name not in own]
    held = Design(title="book", cloth=desk.table.design.cloth, dyes=(*own.values(), *demo))
    return {"dyes": [{"name": n, "hex": hexed, "own": n in own} for n, hexed in jobs.dye_hexes(held).items()]}


def _match(desk: Desk, asked: Asked) -> dict[str, Any]:
    """The pots nearest to a wanted colour, out of the design's own dyes."""
    design = desk.table.design
    dyes = desk.table.frames.dyes(design)
    if not dyes.dyes:
        raise BatikError("has no dyes to mix", field="dyes", fix="add a dye first")
    return jobs.pots_like(dyes, asked.text("colour"), count=4)


def _pot(desk: Desk, asked: Asked) -> dict[str, Any]:
    """One pot looked at."""
    design = design_of(desk, asked)
    name = asked.text("pot")
    return jobs.pot_looked_at(desk.table.frames.dyes(design), design.pot(desk.table.new_names.get(name, name)))


def _use_picture(desk: Desk, asked: Asked) -> dict[str, Any]:
    """Lay a dropped picture on the shelf, for the next change to use."""
    dropped = desk.dropped.get(asked.text("key"))
    marks = asked.text("marks") if "marks" in asked else None
    read = pictures.read_dropped(dropped, marks=marks, clean=asked.flag("clean"), off_table=asked.flag("off_table"))
    table = desk.table
    size = table.shelf.size(table.design) if any(True for _ in table.design.mask_uses()) else None
    name = asked.text("name", longest=60) if "name" in asked else dropped.name
    use = table.shelf.put_new(name, pictures.fitted(name, read, size), folder=pictures.MASKS)
    return {"where": {"picture": use.picture, "marks": use.marks}}


def _start(desk: Desk, asked: Asked) -> dict[str, Any]:
    """Begin a piece of work that takes a while."""
    return long_jobs.start(desk, asked).told()


def _cancel(desk: Desk, asked: Asked) -> dict[str, Any]:
    desk.tasks.cancel(asked.text("key"))
    return {}


def _lay_order(desk: Desk, asked: Asked) -> dict[str, Any]:
    long_jobs.lay_order(desk, asked.text("key"), asked.whole("rank", 1, 1000))
    return _state(desk, asked)


def _tools(desk: Desk, asked: Asked) -> dict[str, Any]:
    del desk, asked
    return {"tools": [{"name": name, "kind": kind, "width_mm": width} for name, kind, width in TOOL_WIDTHS_MM]}


ANSWERS: dict[str, Answer] = {
    "state": _state,
    "trial": _trial,
    "story": _story,
    "troubles": _troubles,
    "change": _change,
    "undo": _undo,
    "redo": _redo,
    "touch": _touch,
    "keep": _keep,
    "spot": _spot,
    "history": _history,
    "restore": _restore,
    "begin": _begin,
    "designs": _designs,
    "open": _open,
    "book": _book,
    "match": _match,
    "pot": _pot,
    "use": _use_picture,
    "tools": _tools,
    "start": _start,
    "cancel": _cancel,
    "lay_order": _lay_order,
}
