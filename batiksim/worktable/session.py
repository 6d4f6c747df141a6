"""The desk: the table on it, the dropped pictures, the pages that look on, and what they are told."""

from __future__ import annotations

import asyncio
import contextlib
import os
import tempfile
from collections.abc import Sequence
from pathlib import Path
from threading import RLock
from typing import Any

from batiksim.document.changed_books import BookWatch
from batiksim.document.document import NamedMask, Table
from batiksim.document.uploads.new_cloth import newest_in
from batiksim.document.uploads.photos import Photos
from batiksim.document.uploads.pictures import DroppedPictures
from batiksim.errors import BatikError
from batiksim.files.disk.locking import Hold
from batiksim.files.toml import designs
from batiksim.values import Design
from batiksim.worktable.newest import Newest
from batiksim.worktable.tasks import Tasks

__all__ = ["Desk"]

MOST_WAITING = 200  # events for a page that doesn't listen; then it has to ask anew


class Desk:
    """Everything that a running worktable holds.

    home : where new designs get their folders
    design : what is laid on the table; None = the cloth in `home` that was saved last, or a sample where there is none
    """

    def __init__(self, home: Path, design: str | os.PathLike[str] | None) -> None:
        self.home = home
        self.newest = Newest()
        self.dropped = DroppedPictures()
        self.loop: asyncio.AbstractEventLoop | None = None
        self._pages: dict[str, asyncio.Queue[dict[str, Any]]] = {}
        self.table = self._last_cloth() if design is None else Table.open(design, told=self.tell)
        self._scratch = tempfile.TemporaryDirectory(prefix="batiksim-worktable-")
        self.tasks = Tasks(self.scratch, self.tell)
        self.photos = Photos(self.scratch)
        self._laying = RLock()
        self._books = BookWatch()

    @property
    def scratch(self) -> Path:
        """A folder for what is being sent, gone when the worktable ends."""
        return Path(self._scratch.name)

    @property
    def pages(self) -> int:
        """How many pages look on."""
        return len(self._pages)

    def _last_cloth(self) -> Table:
        for folder in newest_in(self.home):
            with contextlib.suppress(BatikError):  # not one that can be opened
                return Table.open(folder, told=self.tell)
        return Table.open_sample(self.home, told=self.tell)

    def begin(self, design: Design, masks: Sequence[NamedMask] = ()) -> None:
        """Lay a new design on the table, with the masks that it names; the old one is saved first."""
        self._lay(Table.begin(self.home, design, masks, told=self.tell))

    def open(self, design: Path) -> None:
        """Lay another design on the table; the old one is saved first. Raises BatikError when it can't be read."""
        with self._laying:
            keeper = self.table.keeper
            if self.table.sample or keeper.elsewhere or designs.design_file(design).resolve() != keeper.file.resolve():
                self._lay(Table.open(design, told=self.tell))

    def open_sample(self) -> None:
        """Lay the sample on the table; it becomes a cloth of its own with the first change."""
        with self._laying:
            if not self.table.sample:
                self._lay(Table.open_sample(self.home, told=self.tell))

    def take_over(self) -> None:
        """Read the cloth anew if it was open in another worktable and isn't any more."""
        with self._laying:
            keeper = self.table.keeper
            hold = Hold.take(keeper.file) if keeper.elsewhere else None
            if hold is not None:
                hold.let_go()
                self.open(keeper.file)

    def look_at_books(self) -> None:
        """Show the dyes of a book that was changed elsewhere as they are now, and say so."""
        learnt = self._books.look(self.table)
        if learnt:
            self.tell({"kind": "learnt", "table": self.table.number, "dyes": learnt})

    def _lay(self, new: Table) -> None:
        with self._laying:
            self.table.close()
            self.table = new
        self.tell({"kind": "changed", "table": new.number, "revision": new.revision})

    def tell(self, event: dict[str, Any]) -> None:
        """Tell every page; from any thread."""
        loop = self.loop
        if loop is not None and not loop.is_closed():
            with contextlib.suppress(RuntimeError):  # the loop ends just now
                loop.call_soon_threadsafe(self._tell, event)

    def _tell(self, event: dict[str, Any]) -> None:
        for queue in self._pages.values():
            if queue.qsize() < MOST_WAITING:
                queue.put_nowait(event)

    def enter(self, page: str) -> asyncio.Queue[dict[str, Any]]:
        """A page begins to listen."""
        queue: asyncio.Queue[dict[str, Any]] = asyncio.Queue()
        self._pages[page] = queue
        self._tell({"kind": "pages", "count": self.pages})
        return queue

    def leave(self, page: str, queue: asyncio.Queue[dict[str, Any]]) -> None:
        """A page has gone."""
        if self._pages.get(page) is queue:
            del self._pages[page]
        self._tell({"kind": "pages", "count": self.pages})

    def close(self) -> None:
        """Save what waits and clear up."""
        self.tasks.close()
        self.table.close()
        self._scratch.cleanup()
