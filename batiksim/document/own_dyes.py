"""The maker's own dyes, in the dye book in the cloth's folder; and books changed elsewhere, which are read again."""

from collections.abc import Sequence
from pathlib import Path
from threading import Lock
from typing import Any

from batiksim import jobs
from batiksim.changes.verbs import by_names, insert_own_dyes
from batiksim.cloth.dyes_on_cloth import dyes_on_cloth
from batiksim.document.document import Document
from batiksim.document.uploads.clicked_patches import OWN_BOOK
from batiksim.errors import BatikError
from batiksim.files.toml import dyebooks
from batiksim.values import Design, Dye


def own_dyes(document: Document) -> dict[str, Dye]:
    """The dyes of the maker's own book by name; none when there is no such book."""
    file = document.autosave.folder / OWN_BOOK
    if document.sample or not file.is_file():
        return {}
    try:
        return {dye.name: dye for dye in dyebooks.read_book(file, name=OWN_BOOK).dyes}
    except BatikError:
        return {}  # a book that the maker is editing just now


def all_dyes(document: Document) -> list[dict[str, Any]]:
    """The dyes of the maker's own book and of the built-in one, as they dry on this cloth: name, hex, own."""
    own = own_dyes(document)
    demo = [dye for dye in dyebooks.read_book(dyebooks.DEMO).dyes if dye.name not in own]
    shown = Design(title="book", cloth=document.design.cloth, dyes=(*own.values(), *demo))
    dyes = dyes_on_cloth(shown)
    return [{"name": name, "hex": jobs.pot_hex(shown, dyes, name), "own": name in own} for name in dyes.dyes]


def with_own_dyes(document: Document, changes: Sequence[Any]) -> list[Any]:
    """Changes by present names, in which a dye of the maker's own book, marked "own", stands as that dye."""
    changes = by_names(changes, document.new_names)
    if not any(isinstance(change, dict) and change.get("own") for change in changes):
        return list(changes)
    return insert_own_dyes(changes, own_dyes(document))


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
