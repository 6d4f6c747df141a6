"""The design kept on disk as the maker works: atomically, with a history to go back to.

Masks go first, under names of their own, with any that have gone from the folder since; then the design file takes its
new place in one stroke. So at any moment the folder holds a whole design.
"""

import contextlib
import hashlib
import threading
from collections.abc import Callable
from pathlib import Path

import numpy as np

from batiksim.cloth.program import design_masks
from batiksim.document import missing_files
from batiksim.document.frames.mask_cache import TOUCHED, MaskCache
from batiksim.document.version_history import HISTORY, VersionHistory
from batiksim.errors import BatikError
from batiksim.files.disk.locking import Hold
from batiksim.files.pictures import images
from batiksim.files.toml import designs
from batiksim.texts.catalogue import Message, say
from batiksim.values import Design

WAIT_S = 0.2  # changes that follow each other faster are saved together
OnSaved = Callable[[int, BatikError | None], None]


class Autosave:
    """Saves the newest design in the background.

    on_saved : called with the revision that was saved, and with an error where it could not be
    prepare : makes the folder and gives the file, before the first save
    """

    def __init__(
        self, file: Path, masks: MaskCache, *, on_saved: OnSaved, prepare: Callable[[], Path] | None = None
    ) -> None:
        self.file = file
        self._masks, self._on_saved, self._prepare = masks, on_saved, prepare
        self.outside = False  # whether another hand's change was put into the history since this was last read
        self._known = _digest(file)
        self._hold = Hold.take(file) if prepare is None else None
        self._wake = threading.Condition()
        self._next: tuple[int, Design, Message, bool] | None = None
        self._busy = False
        self._closed = False
        self._thread = threading.Thread(target=self._run, name="autosave", daemon=True)
        self._thread.start()

    @property
    def folder(self) -> Path:
        """The design's folder."""
        return self.file.parent

    @property
    def history(self) -> VersionHistory:
        """What was saved before."""
        return VersionHistory(self.file)

    @property
    def elsewhere(self) -> bool:
        """Whether another worktable has this design open: then nothing may be saved from here."""
        return self._hold is None and self._prepare is None

    def is_free_again(self) -> bool:
        """Whether the worktable that had this design open has let go of it."""
        hold = Hold.take(self.file) if self.elsewhere else None
        if hold is not None:
            hold.let_go()
        return hold is not None

    def save_soon(self, revision: int, design: Design, words: Message, *, merged: bool = False) -> None:
        """Save a design soon; of several, the newest.

        merged : it is one change with the one before, as of a slider that moves on, and one version in the history
        """
        with self._wake:
            self._next = (revision, design, words, merged and (self._next is None or self._next[3]))
            self._wake.notify_all()

    def flush(self, timeout: float = 30) -> None:
        """Wait until everything is saved, or saving has failed."""
        with self._wake:
            self._wake.wait_for(lambda: self._next is None and not self._busy, timeout)

    def close(self) -> None:
        """Save what waits, then stop."""
        self.flush()
        with self._wake:
            self._closed = True
            self._wake.notify_all()
        self._thread.join(timeout=5)
        if self._hold is not None:
            self._hold.let_go()

    def _run(self) -> None:
        while True:
            with self._wake:
                self._wake.wait_for(lambda: self._next is not None or self._closed)
                if self._next is None:
                    return
                if not self._closed:
                    self._wake.wait(WAIT_S)
                revision, design, words, merged = self._next
                self._next, self._busy = None, True
            problem: BatikError | None = None
            try:
                self._save(design, words, merged=merged)
            except BatikError as error:
                problem = error
            except OSError as error:
                reason = error.strerror or str(error)
                problem = BatikError("document.error.cant_write", file=self.file, reason=reason)
            except Exception as error:  # whatever it is, the next change is saved again
                problem = BatikError("document.error.not_saved", file=self.file, reason=repr(error))
            self._on_saved(revision, problem)
            with self._wake:
                self._busy = False
                self._wake.notify_all()

    def _save(self, design: Design, words: Message, *, merged: bool) -> None:
        if self._prepare is not None:
            self.file = self._prepare()
            self._hold = Hold.take(self.file)
            self._known, self._prepare = _digest(self.file), None
        self._write_masks(design)
        missing_files.restore_masks(design, self.folder, self._masks.held)
        missing_files.check_books(design, self.folder)
        history, digest = self.history, _digest(self.file)
        if digest != self._known and digest is not None:
            history.add(self.file.read_bytes(), say("document.change.outside"))
            self.outside = True
        elif digest is not None and not history.folder.is_dir():
            history.add(self.file.read_bytes(), say("document.change.opened"))
        designs.write_design(design, self.file, in_place=True)
        self._known = _digest(self.file)
        before = next(iter(history.versions()), None) if merged else None
        history.add(self.file.read_bytes(), words)
        if before is not None and before.what == words:
            history.remove(before)

    def _write_masks(self, design: Design) -> None:
        """Write the masks that are new."""
        for use, mask in self._masks.unsaved(design_masks(design)).items():
            (self.folder / use.picture).parent.mkdir(parents=True, exist_ok=True)
            images.write_png(self.folder / use.picture, np.invert(mask), width_mm=design.cloth.width_mm)
            self._masks.saved(use)

    def sweep(self) -> None:
        """Remove touched-up masks that neither the design nor any version names. For the start, before any change."""
        folder = self.folder / TOUCHED
        if not folder.is_dir():
            return
        files = [*self.folder.glob("*.toml"), *self.folder.glob(f"{HISTORY}/*/*.toml")]
        texts = [path.read_text(encoding="utf-8", errors="replace") for path in files]
        for path in folder.glob("*.png"):
            if not any(f"{TOUCHED}/{path.name}" in text for text in texts):
                with contextlib.suppress(OSError):
                    path.unlink()


def _digest(file: Path) -> str | None:
    try:
        return hashlib.sha256(file.read_bytes()).hexdigest()
    except OSError:
        return None
