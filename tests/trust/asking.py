"""Requests to the worktable without a network: the whole application, its threads' work done at once in this one.

An input is a path on its first line and the body after it.
"""

from __future__ import annotations

import asyncio
import json
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

from PIL import Image

from batiksim.document import autosave
from batiksim.document.undo import UndoStack
from batiksim.files.toml.designs import write_design
from batiksim.values import Cloth, Design, Discharge, Dye, DyeBath, MaskUse, Paint, Pot, Wax
from batiksim.worktable.server import make_app
from batiksim.worktable.session import Session

__all__ = ["SEEDS", "Asking"]

HOST, TOKEN = "127.0.0.1:8000", "token"
MASK = MaskUse(picture="mask.png", marks="dark")
WHERE = {"picture": "mask.png", "marks": "dark"}
VERBS: list[dict[str, Any]] = [
    {"do": "set_title", "title": "Tide"},
    {"do": "set_cloth", "width_mm": 300, "colour": "#f1ede2", "grams_per_m2": 120},
    {"do": "set_strength", "pot": "pale", "strength": 0.7},
    {"do": "set_strength", "pot": "ink", "strength": 0.7},
    {"do": "set_parts", "pot": "pale", "parts": {"ink": 2, "leaf": 1}},
    {"do": "set_drops", "pot": "pale", "drops": {"ink": 2}, "ml": 100},
    {"do": "set_recipe", "pot": "pale", "parts": {"ink": 2}, "strength": 1},
    {"do": "add_pot", "name": "mix", "parts": {"ink": 2}, "strength": 1},
    {"do": "rename_pot", "pot": "pale", "to": "pale ink"},
    {"do": "remove_pot", "pot": "spare"},
    {"do": "add_dye", "name": "sea", "colour": "#1aa7b8"},
    {"do": "swap_dye", "dye": "ink", "name": "sea", "colour": "#1aa7b8"},
    {"do": "swap_dye", "dye": "ink", "name": "leaf", "colour": "#1aa7b8"},
    {"do": "remove_dye", "dye": "unused"},
    {"do": "move_step", "step": 1, "to": 2},
    {"do": "remove_step", "step": 1},
    {"do": "add_step", "at": 1, "step": {"kind": "wax", "where": WHERE}},
    {"do": "add_step", "at": 4, "step": {"kind": "dye", "pot": "pale", "where": WHERE}},
    {"do": "add_step", "at": 2, "step": {"kind": "discharge", "where": WHERE}},
    {"do": "add_step", "at": 2, "step": {"kind": "remove_wax"}},
    {
        "do": "set_wax",
        "step": 2,
        "grey": "thin",
        "tool": "brush",
        "crackle": 0.5,
        "paraffin": 0.3,
        "edges": 0.2,
        "cool": 0,
    },
    {"do": "set_discharge", "step": 4, "strength": 0.5},
    {"do": "set_paint", "step": 1, "paint": 1, "pot": "pale", "spread": True, "reach_mm": 2, "everywhere": False},
    {"do": "add_paint", "step": 1, "pot": "ink", "where": WHERE},
    {"do": "remove_paint", "step": 3, "paint": 2},
    {"do": "set_mask", "step": 1, "paint": 1, "where": WHERE},
]
VIEW = {"page": "p", "place": "cloth", "number": 1, "step": 2, "width": 40, "wet": True, "light": "A", "wax_off": True}
PATCH = {"x": 0.5, "y": 0.5, "side": 0.1, "dyes": {"ink": 1}}
ASKED: list[tuple[str, dict[str, Any]]] = [
    *(("change", {"changes": [verb]}) for verb in VERBS),
    ("frame", VIEW | {"changes": VERBS[:2], "set_aside": False}),
    ("thumbnails", {"width": 32, "changes": [VERBS[19]]}),
    ("state", {}), ("undo", {}), ("redo", {}), ("history", {}), ("designs", {}), ("tools", {}),
    ("regions", {"changes": []}),
    ("touch_up", {"step": 2, "paint": 1, "points": [[1, 2], [50, 60.5]], "width_mm": 3, "erase": False}),
    ("set_aside", {"clear": False}),
    ("spot", {"x": 0.5, "y": 0.25, "step": 3}),
    ("restore", {"key": "20261125T120000-00000f"}),
    ("create", {"title": "New", "width_mm": 300, "colour": "#ffffff", "changes": [VERBS[10]]}),
    ("open", {"name": "cloth"}), ("open", {"sample": True}), ("small", {"name": "cloth"}), ("small", {"sample": True}),
    ("match", {"colour": "#884422"}), ("match", {"colour": "strong yellow green"}),
    ("pot", {"pot": "pale"}),
    ("use_picture", {"key": "0123", "marks": "dark", "clean": True, "off_table": True, "name": "x"}),
    ("start", {"kind": "orders", "derive": True, "tune": False}),
    ("start", {"kind": "workshop", "makers": 12, "room_c": 21, "sessions": "10:00-16:00", "measures": "metric"}),
    ("start", {"kind": "handout", "paper": "a4", "makers": 12, "room_c": 21, "one_page": True, "learner": False}),
    ("start", {"kind": "from-picture", "photo": "1", "steps": 3, "pots": 2, "width_mm": 300, "colour": "#ffffff"}),
    ("start", {"kind": "calibrate", "photo": "1", "cloth": "#ffffff", "patches": [PATCH], "dry_run": True}),
    ("cancel", {"key": "1"}), ("open_order", {"key": "1", "rank": 1}),
    ("shown", {"key": "1", "how": "clean", "marks": "dark"}), ("photo", {"key": "1"}),
]  # fmt: skip
SEEDS = [f"/api/{name}\n{json.dumps(body)}".encode() for name, body in ASKED]
SEEDS += [b"/api/made/1/x.pdf\n", b"/api/pictures?name=x.png\nGIF8"]


class AtOnce(asyncio.SelectorEventLoop):
    """Work for threads is done where it is asked for, so that one clock and one coverage count see all of it."""

    def run_in_executor(self, executor: Any, func: Callable[..., Any], *args: Any) -> Any:
        future = self.create_future()
        try:
            future.set_result(func(*args))
        except Exception as error:
            future.set_exception(error)
        return future


class Asking:
    """A worktable with a small cloth; a call asks one thing and then puts the cloth back as it was.

    Long work is read and checked but not begun. Any answer is well but one of 500 and above; then what was raised is.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        home = folder / "home"
        write_design(_cloth(), home / "cloth")
        picture = Image.new("L", (32, 24), 255)
        picture.paste(0, (4, 4, 20, 12))
        picture.save(home / "cloth" / "mask.png")
        self._keep = autosave.Autosave.save_soon
        autosave.Autosave.save_soon = lambda *ignored, **keys: None  # type: ignore[method-assign] # saving has its own tests
        self.loop = AtOnce()
        self.session = Session(home, home / "cloth")
        task = SimpleNamespace(data=dict)
        self.session.tasks.start = lambda kind, work, **of: task  # type: ignore[method-assign, assignment, return-value]
        self.app = make_app(self.session, hosts=[HOST], token=TOKEN)
        self.document = self.session.document
        self.first = self.document.design

    def __call__(self, data: bytes) -> int:
        first, _, body = data.partition(b"\n")
        path, _, query = first.decode("latin-1").partition("?")
        if not path.startswith("/api/") or path.startswith("/api/events"):
            return 0  # files of the page, which test_guard tries; and what goes on for as long as a page listens
        status = self.loop.run_until_complete(self._asked(path, query.encode("latin-1"), body))
        self._back()
        assert status < 500
        return status

    async def _asked(self, path: str, query: bytes, body: bytes) -> int:
        headers = [(b"host", HOST.encode()), (b"x-worktable-token", TOKEN.encode())]
        method = "GET" if path.startswith("/api/made") else "POST"
        scope = {"type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": method, "path": path,
                 "raw_path": path.encode("latin-1"), "query_string": query, "headers": headers, "scheme": "http",
                 "server": ("127.0.0.1", 8000), "client": ("127.0.0.1", 1), "root_path": ""}  # fmt: skip
        statuses = []

        async def receive() -> dict[str, Any]:
            return {"type": "http.request", "body": body, "more_body": False}

        async def send(message: Any) -> None:
            if message["type"] == "http.response.start":
                statuses.append(message["status"])

        await self.app(scope, receive, send)
        return statuses[0]

    def _back(self) -> None:
        """The cloth as it was at first, nothing waiting to be saved."""
        if self.session.document is not self.document:
            self.session.document.close()
            self.session.document = self.document
        self.document.stack, self.document.set_aside = UndoStack(self.first), None

    def close(self) -> None:
        """Clear up, and let the worktable save again."""
        self.session.close()
        self.loop.close()
        autosave.Autosave.save_soon = self._keep  # type: ignore[method-assign]


def _cloth() -> Design:
    return Design(
        title="Cloth",
        cloth=Cloth(width_mm=200),
        dyes=(
            Dye(name="leaf", colour="#4f9a3a"),
            Dye(name="ink", colour="#2a2c55"),
            Dye(name="unused", colour="#d6246e"),
        ),
        pots=(Pot(name="pale", parts={"ink": 1.0}, strength=0.5), Pot(name="spare", parts={"leaf": 1.0})),
        steps=(
            DyeBath(paints=(Paint(pot="leaf", where=MASK),)),
            Wax(mask=MASK, tool="brush"),
            DyeBath(paints=(Paint(pot="pale"), Paint(pot="ink", where=MASK, spread=True))),
            Discharge(where=MASK),
        ),
    )
