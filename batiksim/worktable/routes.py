"""What each request of the page gets: functions of the session and the request's fields, run off the event loop."""

import datetime
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

from babel.dates import format_datetime

from batiksim import jobs
from batiksim.changes.new_masks import MASKS
from batiksim.changes.request_fields import RequestFields
from batiksim.changes.verbs import apply_changes
from batiksim.document.cloth_list import designs_in, small_cloth
from batiksim.document.design_data import findings_data, regions_data, state_data
from batiksim.document.frames.frames import Frames, View
from batiksim.document.own_dyes import all_dyes, own_dyes, with_own_dyes
from batiksim.document.touchup import TOOL_WIDTHS_MM
from batiksim.document.uploads import pictures
from batiksim.errors import BatikError
from batiksim.texts.catalogue import say, texts
from batiksim.types import Bytes, Look
from batiksim.values import LIGHTS, Cloth, Design
from batiksim.worktable import long_jobs
from batiksim.worktable.session import Session

Describe = Callable[[Frames, Design], dict[str, Any]]
Route = Callable[[Session, RequestFields], dict[str, Any]]
Change = Callable[[Session, RequestFields], object]  # whatever it gives, the page gets the state
ASK_PX = 2000  # a spot is asked about on masks no wider than this


def design_of(session: Session, fields: RequestFields) -> Design:
    """The design meant: as it is, or the one set aside, with changes that are only tried."""
    base = session.document.set_aside if fields.flag("set_aside") else session.document.design
    if base is None:
        raise BatikError("worktable.error.nothing_saved")
    return apply_changes(base, with_own_dyes(session.document, fields.sequence("changes")))


def is_of_before(session: Session, fields: RequestFields) -> bool:
    """Whether what is asked is about the document and revision that a page shows, and these aren't any more."""
    document = session.document
    return "of" in fields and fields.text("of") != f"{document.number} {document.revision}"


def view_of(fields: RequestFields) -> View:
    """How it is to be seen."""
    step = fields.integer("step", 0, 1000) if "step" in fields else None
    look: Look = "wet" if fields.flag("wet") else "dry"
    light = fields.choice("light", LIGHTS) if "light" in fields else "D65"
    width = fields.integer("width", 16, 30_000)
    return View(step=step, width=width, look=look, light=light, wax_off=fields.flag("wax_off"))


def frame_asked(fields: RequestFields) -> tuple[str, str, int]:
    """The page that asks for a frame, the place on it, and the how manieth it is."""
    return fields.text("page"), fields.text("place"), fields.integer("number", 0, 2**53)


def frame(session: Session, fields: RequestFields) -> Bytes:
    """One frame, RGBA uint8 (rows, cols, 4). Raises Superseded when a newer one was asked for."""
    asked = frame_asked(fields)
    session.latest.check(*asked)
    design, view = design_of(session, fields), view_of(fields)
    if fields.flag("set_aside") and view.step is not None:
        view = replace(view, step=min(view.step, len(design.steps)))  # it may have fewer
    pixels = session.document.frames.frame(design, view)
    session.latest.check(*asked)
    return pixels


def thumbnails(session: Session, fields: RequestFields) -> Bytes:
    """All plates, small: RGBA uint8 (plates, rows, cols, 4)."""
    return session.document.frames.thumbnails(design_of(session, fields), fields.integer("width", 16, 400))


def shown(session: Session, fields: RequestFields) -> Bytes:
    """A dropped picture, as it is, as read, or cleaned."""
    how = fields.choice("how", ("picture", "mask", "clean"))
    marks = fields.text("marks") if "marks" in fields else None
    dropped = session.dropped.get(fields.text("key"))
    return pictures.picture_preview(dropped, how, marks, off_table=fields.flag("off_table"))


def _state(session: Session, fields: RequestFields) -> dict[str, Any]:
    del fields
    session.take_over()
    session.reread_books()
    return state_data(session.document) | {"pages": session.pages}


def _of_now(session: Session, fields: RequestFields, describe: Describe) -> dict[str, Any]:
    """Data about the design as it is now, with what the page knows it by."""
    document = session.document
    with document.lock:
        revision, design = document.revision, design_of(session, fields)
    return describe(document.frames, design) | {"document": document.number, "revision": revision}


def _then_state(change: Change) -> Route:
    """What makes a change, then answers with the state."""

    def work(session: Session, fields: RequestFields) -> dict[str, Any]:
        change(session, fields)
        return _state(session, fields)

    return work


def _change(session: Session, fields: RequestFields) -> None:
    session.document.change(with_own_dyes(session.document, fields.sequence("changes")))


def _touch_up(session: Session, fields: RequestFields) -> None:
    paint = fields.integer("paint", 1, 200) if "paint" in fields else None
    step = fields.integer("step", 1, 1000)
    session.document.touch_up(
        step, paint, fields.points("points"), fields.number("width_mm", 0.1, 200), fields.flag("erase")
    )


def _set_aside(session: Session, fields: RequestFields) -> None:
    """Set the design aside as it is, to compare with; or clear what was."""
    session.document.set_aside = None if fields.flag("clear") else session.document.design


def _spot(session: Session, fields: RequestFields) -> dict[str, Any]:
    design = design_of(session, fields)
    frames = session.document.frames
    rows, cols = frames.size(design)
    height_mm = design.cloth.width_mm * rows / cols
    x, y = fields.number("x", 0, 1), fields.number("y", 0, 1)
    step = fields.integer("step", 0, len(design.steps)) if "step" in fields else None
    levels = jobs.levels_at(frames.planes(design, min(ASK_PX, cols)), x, y)
    data = jobs.spot_data(design, frames.dyes(design), levels, step=step)
    return data | {"x": x, "y": y, "x_mm": x * design.cloth.width_mm, "y_mm": y * height_mm}


def _history(session: Session, fields: RequestFields) -> dict[str, Any]:
    del fields
    today = datetime.datetime.now().date()
    shown = session.document.versions()[:100]
    return {"versions": [{"key": each.key, "what": str(each.what), "when": _when(each.when, today)} for each in shown]}


def _when(when: datetime.datetime, today: datetime.date) -> str:
    pattern = "HH:mm:ss" if when.date() == today else "dd MMM, HH:mm"
    return format_datetime(when, pattern, locale=texts().locale)


def _create(session: Session, fields: RequestFields) -> None:
    """A new cloth, with steps by dropped pictures; nothing is made unless all of it can be."""
    cloth = Cloth(width_mm=fields.setting(Cloth, "width_mm"), **fields.settings(Cloth, without=("width_mm",)))
    title = fields.text("title", longest=200)
    changes, masks = pictures.steps_of(session.dropped, fields.sequence("changes"))
    design = apply_changes(Design(title=title, cloth=cloth), changes)  # an error here leaves all as it was
    session.create(design, masks)


def _designs(session: Session, fields: RequestFields) -> dict[str, Any]:
    """The cloths in the folder that the worktable was started in, but the one on the table."""
    del fields
    but = None if session.document.sample else session.document.autosave.file
    return {"designs": designs_in(session.home, but=but), "sample": not session.document.sample}


def small(session: Session, fields: RequestFields) -> Bytes:
    """A cloth of that folder, or the sample, finished and small: RGBA uint8 (rows, cols, 4)."""
    return small_cloth(None if fields.flag("sample") else _listed(session, fields))


def _listed(session: Session, fields: RequestFields) -> Path:
    """The folder of a cloth in the list."""
    name = fields.text("name")
    if name not in [listed["name"] for listed in designs_in(session.home)]:
        raise BatikError("worktable.error.no_such_cloth", got=name)
    return session.home / name


def _open(session: Session, fields: RequestFields) -> None:
    """Another cloth of that folder, or the sample, onto the table."""
    if fields.flag("sample"):
        session.open_sample()
    else:
        session.open(_listed(session, fields))


def _match(session: Session, fields: RequestFields) -> dict[str, Any]:
    """The pots nearest to a wanted colour, out of the design's own dyes."""
    design = session.document.design
    dyes = session.document.frames.dyes(design)
    if not dyes.dyes:
        raise BatikError("worktable.error.no_dyes")
    return jobs.pots_like(dyes, fields.text("colour"), count=4)


def _pot(session: Session, fields: RequestFields) -> dict[str, Any]:
    """One pot looked at."""
    design = design_of(session, fields)
    name = fields.text("pot")
    return jobs.pot_on_cloth(
        session.document.frames.dyes(design), design.pot(session.document.new_names.get(name, name))
    )


def _use_picture(session: Session, fields: RequestFields) -> dict[str, Any]:
    """Hold the mask of a dropped picture, for the next change to use."""
    dropped = session.dropped.get(fields.text("key"))
    marks = fields.text("marks") if "marks" in fields else None
    read = pictures.read_dropped(dropped, marks=marks, clean=fields.flag("clean"), off_table=fields.flag("off_table"))
    document = session.document
    size = document.masks.size(document.design) if any(document.design.mask_uses()) else None
    name = fields.text("name", longest=60) if "name" in fields else dropped.name
    use = document.masks.put_new(name, pictures.fit_to_cloth(name, read, size), folder=MASKS)
    return {"where": {"picture": use.picture, "marks": use.marks}}


def _cancel(session: Session, fields: RequestFields) -> dict[str, Any]:
    session.tasks.cancel(fields.text("key"))
    return {}


def _tools(session: Session, fields: RequestFields) -> dict[str, Any]:
    del session, fields
    return {
        "tools": [
            {"name": name, "says": str(say(f"document.tool.{name}")), "kind": kind, "width_mm": width}
            for name, kind, width in TOOL_WIDTHS_MM
        ]
    }


CHANGES: dict[str, Change] = {
    "change": _change,
    "undo": lambda session, _: session.document.undo(),
    "redo": lambda session, _: session.document.redo(),
    "touch_up": _touch_up,
    "set_aside": _set_aside,
    "restore": lambda session, fields: session.document.restore(fields.text("key")),
    "create": _create,
    "open": _open,
    "open_order": lambda session, fields: long_jobs.open_order(
        session, fields.text("key"), fields.integer("rank", 1, 1000)
    ),
}
ROUTES: dict[str, Route] = {
    "state": _state,
    "regions": lambda session, fields: _of_now(session, fields, regions_data),
    "findings": lambda session, fields: _of_now(
        session, fields, partial(findings_data, own=own_dyes(session.document))
    ),
    "spot": _spot,
    "history": _history,
    "designs": _designs,
    "book": lambda session, _: {"dyes": all_dyes(session.document)},
    "match": _match,
    "pot": _pot,
    "use_picture": _use_picture,
    "tools": _tools,
    "start": lambda session, fields: long_jobs.start(session, fields).data(),
    "cancel": _cancel,
} | {name: _then_state(change) for name, change in CHANGES.items()}
RAW: dict[str, Callable[[Session, RequestFields], Bytes]] = {
    "frame": frame,
    "thumbnails": thumbnails,
    "small": small,
    "shown": shown,
    "photo": lambda session, fields: session.photos.get(fields.text("key")).shown,
}
