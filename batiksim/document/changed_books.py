"""Dye books that are changed elsewhere, as by a calibration beside the worktable, are read again."""

from pathlib import Path
from threading import Lock

from batiksim.document.document import Document
from batiksim.errors import BatikError
from batiksim.files.toml import dyebooks

Stamp = tuple[int, int]


class BookWatch:
    """The books that the open cloth names, as they were when they were last read."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._document: int | None = None
        self._seen: dict[str, Stamp | None] = {}

    def reread(self, document: Document) -> list[str]:
        """Read books that have changed again; returns the dyes that have another colour since.

        A book that can't be read just now, as while it is being written, is looked at again the next time.
        """
        if document.sample or document.autosave.elsewhere:
            return []
        with self._lock:
            if self._document != document.number:
                self._document, self._seen = document.number, {}
            before = {dye.name: dye for dye in document.design.dyes}
            books = [dye.book for dye in before.values() if dye.book not in (None, dyebooks.DEMO)]
            for book in dict.fromkeys(books):
                self._take(document, str(book))
            return [dye.name for dye in document.design.dyes if dye.name in before and dye != before[dye.name]]

    def _take(self, document: Document, book: str) -> None:
        file = document.autosave.folder / book
        now = _stamp(file)
        if now is None or now == self._seen.setdefault(book, now):
            return
        try:
            own = {dye.name: dye for dye in dyebooks.read_book(file, name=book).dyes}
        except BatikError:
            return
        self._seen[book] = now
        document.replace_own_dyes(own)


def _stamp(file: Path) -> Stamp | None:
    try:
        status = file.stat()
    except OSError:
        return None
    return status.st_mtime_ns, status.st_size
