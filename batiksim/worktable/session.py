"""The session: the document on the table, the dropped pictures, the pages that look on, and the events they hear.

Of the frames that a page asks for in one place, only the newest is worth making.
"""

import asyncio
import contextlib
import tempfile
from collections.abc import Sequence
from pathlib import Path
from threading import Lock, RLock
from typing import Any

from batiksim.document.cloth_list import newest_in
from batiksim.document.document import Document, NamedMask
from batiksim.document.own_dyes import BookWatch
from batiksim.document.uploads.photos import Photos
from batiksim.document.uploads.pictures import DroppedPictures
from batiksim.errors import BatikError
from batiksim.types import StrPath
from batiksim.values import Design
from batiksim.worktable.tasks import Tasks

MOST_WAITING = 200  # events for a page that doesn't listen; then it has to ask anew
MOST_PLACES = 500  # of frames that are asked for


class Superseded(Exception):
    """A newer frame was asked for in the same place, or the design has changed since it was asked for."""


class LatestOnly:
    """The newest number asked for in each place of each page."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._numbers: dict[tuple[str, str], int] = {}

    def ask(self, page: str, place: str, number: int) -> None:
        """A frame is asked for."""
        with self._lock:
            while len(self._numbers) >= MOST_PLACES:
                self._numbers.pop(next(iter(self._numbers)))
            newest = self._numbers.pop((page, place), number)
            self._numbers[page, place] = max(newest, number)

    def check(self, page: str, place: str, number: int) -> None:
        """Raise Superseded when a newer one was asked for since."""
        with self._lock:
            if self._numbers.get((page, place), number) > number:
                raise Superseded


class Session:
    """Everything that a running worktable holds.

    home : where new designs get their folders
    design : what is opened; None = the cloth in `home` that was saved last, or a sample where there is none
    """

    def __init__(self, home: Path, design: StrPath | None) -> None:
        self.home = home
        self.latest = LatestOnly()
        self.dropped = DroppedPictures()
        self.loop: asyncio.AbstractEventLoop | None = None
        self._pages: dict[str, asyncio.Queue[dict[str, Any]]] = {}
        self.document = self._last_cloth() if design is None else Document.open(design, notify=self.notify)
        self._scratch = tempfile.TemporaryDirectory(prefix="batiksim-worktable-")
        self.tasks = Tasks(self.scratch, self.notify)
        self.photos = Photos(self.scratch)
        self._opening = RLock()
        self._books = BookWatch()

    @property
    def scratch(self) -> Path:
        """A folder for what is being sent, gone when the worktable ends."""
        return Path(self._scratch.name)

    @property
    def pages(self) -> int:
        """How many pages look on."""
        return len(self._pages)

    def _last_cloth(self) -> Document:
        for folder in newest_in(self.home):
            with contextlib.suppress(BatikError):  # not one that can be opened
                return Document.open(folder, notify=self.notify)
        return Document.open_sample(self.home, notify=self.notify)

    def create(self, design: Design, masks: Sequence[NamedMask] = ()) -> None:
        """Open a new design, with the masks that it names; the old one is saved first."""
        self._show(Document.create(self.home, design, masks, notify=self.notify))

    def open(self, design: Path) -> None:
        """Open another design; the old one is saved first. Raises BatikError when it can't be read."""
        with self._opening:
            if not self.document.is_of(design):
                self._show(Document.open(design, notify=self.notify))

    def open_sample(self) -> None:
        """Open the sample; it becomes a cloth of its own with the first change."""
        with self._opening:
            if not self.document.sample:
                self._show(Document.open_sample(self.home, notify=self.notify))

    def take_over(self) -> None:
        """Read the cloth anew if it was open in another worktable and isn't any more."""
        with self._opening:
            if self.document.autosave.is_free_again():
                self.open(self.document.autosave.file)

    def reread_books(self) -> None:
        """Show the dyes of a book that was changed elsewhere as they are now, and say so."""
        dyes = self._books.reread(self.document)
        if dyes:
            self.notify({"kind": "learnt", "document": self.document.number, "dyes": dyes})

    def _show(self, document: Document) -> None:
        with self._opening:
            self.document.close()
            self.document = document
        self.notify({"kind": "changed", "document": document.number, "revision": document.revision})

    def notify(self, event: dict[str, Any]) -> None:
        """Tell every page; from any thread."""
        if self.loop is not None:
            with contextlib.suppress(RuntimeError):  # the loop has ended
                self.loop.call_soon_threadsafe(self._queue, event)

    def _queue(self, event: dict[str, Any]) -> None:
        for queue in self._pages.values():
            if queue.qsize() < MOST_WAITING:
                queue.put_nowait(event)

    def enter(self, page: str) -> asyncio.Queue[dict[str, Any]]:
        """A page begins to listen."""
        queue: asyncio.Queue[dict[str, Any]] = asyncio.Queue()
        self._pages[page] = queue
        self._queue({"kind": "pages", "count": self.pages})
        return queue

    def leave(self, page: str, queue: asyncio.Queue[dict[str, Any]]) -> None:
        """A page has gone."""
        if self._pages.get(page) is queue:
            del self._pages[page]
        self._queue({"kind": "pages", "count": self.pages})

    def close(self) -> None:
        """Save what waits and clear up."""
        self.tasks.close()
        self.document.close()
        self._scratch.cleanup()
