"""The document: one design being worked on, its masks and frames, with undo and redo, always kept on disk."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from threading import RLock
from typing import Any

from batiksim import jobs
from batiksim.changes.new_masks import MASKS
from batiksim.changes.steps import mask_at, with_mask
from batiksim.changes.verbs import apply_changes, change_words
from batiksim.cloth.program import design_masks
from batiksim.document.autosave import Autosave
from batiksim.document.frames.frames import Frames
from batiksim.document.frames.mask_cache import MaskCache
from batiksim.document.touchup import draw_stroke
from batiksim.document.undo import PotNames, UndoStack, merge_key
from batiksim.document.version_history import Version
from batiksim.errors import BatikError
from batiksim.files.starter import STARTER
from batiksim.files.toml import designs
from batiksim.texts.catalogue import Message, say
from batiksim.types import Bytes, StrPath
from batiksim.values import Design, Dye, MaskUse

_NUMBERS = itertools.count(1)
Notify = Callable[[dict[str, Any]], None]
NamedMask = tuple[str, Bytes]


def _nobody(event: dict[str, Any]) -> None:
    del event


class Document:
    """A design being edited. notify : hears of changes, of what was saved and of what could not be."""

    def __init__(
        self, file: Path, design: Design, *, notify: Notify = _nobody, prepare: Callable[[], Path] | None = None
    ) -> None:
        self.lock = RLock()
        self.number = next(_NUMBERS)  # by it, whoever shows it knows that this is another document
        self._notify = notify
        self.sample = prepare is not None
        self._read_from = file.parent
        self.masks = MaskCache(self._read_mask)
        self.frames = Frames(self.masks)
        self.stack = UndoStack(design)
        self._names = PotNames()
        self.revision = self.saved = 0
        self.problem: BatikError | None = None
        self.set_aside: Design | None = None  # to compare with
        self.autosave = Autosave(file, self.masks, on_saved=self._was_saved, prepare=prepare)

    @classmethod
    def open(cls, path: StrPath, *, notify: Notify = _nobody) -> Document:
        """A design from disk, its masks read. Raises BatikError for anything wrong with it."""
        document = cls._read(path, notify, None)
        if not document.autosave.elsewhere:
            document.autosave.sweep()
        return document

    @classmethod
    def open_sample(cls, home: Path, *, notify: Notify = _nobody) -> Document:
        """The starter design; it is copied into a new folder in `home` with the first change."""

        def prepare() -> Path:
            folder = free_folder(home, "my-cloth")
            jobs.new_design(folder)
            return folder / designs.DESIGN_NAME

        return cls._read(STARTER, notify, prepare)

    @classmethod
    def create(
        cls, home: Path, design: Design, masks: Sequence[NamedMask] = (), *, notify: Notify = _nobody
    ) -> Document:
        """A new design in a new folder in `home`, with the masks that it names; undo ends here, not at a bare cloth."""
        bare = Design(title=design.title, cloth=design.cloth)
        file = designs.write_design(bare, free_folder(home, design.title) / designs.DESIGN_NAME)
        document = cls(file, bare, notify=notify)
        for name, mask in masks:
            document.masks.put_new(name, mask, folder=MASKS)
        if design != bare:
            document.stack = UndoStack(design)
            document._save(say("document.change.created"))
        return document

    @classmethod
    def _read(cls, path: StrPath, notify: Notify, prepare: Callable[[], Path] | None) -> Document:
        project = jobs.open_design(path)
        document = cls(designs.design_file(path), project.design, notify=notify, prepare=prepare)
        for use, mask in zip(design_masks(project.design), project.masks, strict=True):
            document.masks.put(use, mask)
        return document

    def _read_mask(self, use: MaskUse) -> Bytes:
        folder = self._read_from if self.sample else self.autosave.folder
        return jobs.read_mask(folder, use)[0]

    # The design

    @property
    def design(self) -> Design:
        """The design as it is now."""
        with self.lock:
            return self.stack.design

    @property
    def new_names(self) -> dict[str, str]:
        """What pots are called now, by names that they had and that nothing has any more."""
        with self.lock:
            return self._names.now(self.design)

    # Changes

    def change(self, changes: Sequence[Any]) -> Design:
        """Make changes for good. Raises BatikError for one that can't be made; then nothing has changed."""
        if not changes:
            raise BatikError("document.error.no_change", field="changes")
        with self.lock:
            before = self.design
            after = apply_changes(before, changes)
            self.masks.size(after)  # every mask is there and of one size
            self._push(after, change_words(before, changes), merge=merge_key(changes))
            self._note_names(before)
            return after

    def touch_up(
        self, step: int, paint: int | None, points_mm: Sequence[tuple[float, float]], width_mm: float, erase: bool
    ) -> Design:
        """Touch up the mask of a step, or of one pot of a bath, with one stroke."""
        with self.lock:
            design = self.design
            use = mask_at(design, step, paint)
            if use is None:
                raise BatikError("document.error.no_picture_to_touch_up", field=say("error.step", number=step))
            mask = self.masks.full(use)
            px_per_mm = mask.shape[1] / design.cloth.width_mm
            new = draw_stroke(mask, points_mm, width_mm=width_mm, px_per_mm=px_per_mm, erase=erase)
            after = with_mask(design, step, paint, self.masks.put_new(use.picture, new))
            self._push(after, say("document.change.scraped" if erase else "document.change.stroke"))
            return after

    def undo(self) -> Design:
        """Take the last change back; nothing happens when there is none."""
        with self.lock:
            words = self.stack.undo_words
            return self._go(-1, None if words is None else say("document.change.undone", change=words))

    def redo(self) -> Design:
        """Make the change again that was taken back last."""
        with self.lock:
            return self._go(1, self.stack.redo_words)

    def _go(self, by: int, words: Message | None) -> Design:
        before = self.design
        if words is not None and self.stack.step(by):
            self._save(words)
            self._note_names(before)
        return self.design

    def restore(self, key: str) -> Design:
        """Go back to a version of the history; that is a change like any other."""
        design = self.autosave.history.design(key)
        with self.lock:
            self.masks.size(design)
            self._push(design, say("document.change.restored"))
            return design

    def replace_own_dyes(self, own: Mapping[str, Dye]) -> None:
        """Dyes out of the maker's own book are now these, in every design that can be gone back to: all name the book.

        own : by name, as the book has them
        """

        def relearnt(design: Design) -> Design:
            mine = (own.get(dye.name) for dye in design.dyes)
            pairs = zip(design.dyes, mine, strict=True)
            return replace(
                design, dyes=tuple(new if new is not None and new.book == dye.book else dye for dye, new in pairs)
            )

        with self.lock:
            before = self.design
            self.stack.replace_all(relearnt)
            self.set_aside = None if self.set_aside is None else relearnt(self.set_aside)
            if self.design != before:
                self._save(say("document.change.own_dyes"))

    def _push(self, design: Design, words: Message, *, merge: str = "") -> None:
        if design == self.design:
            return
        self.check_here()
        merged = self.stack.push(design, words, merge=merge)
        self._save(words, merged=merged)

    def _note_names(self, before: Design) -> None:
        for old, new in self._names.note(before, self.design).items():
            self.stack.pot_renamed(old, new)

    # Saving

    def versions(self) -> list[Version]:
        """What the history on disk holds, the newest first."""
        return self.autosave.history.versions()

    def file(self) -> Path:
        """The design's file, with all that was changed in it. Raises BatikError when it can't be saved."""
        self.autosave.flush()
        if self.problem is not None:
            raise self.problem.in_field(say("document.error.saving"))
        return self._read_from / designs.DESIGN_NAME if self.sample else self.autosave.file

    def is_of(self, path: Path) -> bool:
        """Whether this is the design in that folder or file, open for editing here."""
        mine = not self.sample and not self.autosave.elsewhere
        return mine and designs.design_file(path).resolve() == self.autosave.file.resolve()

    def check_here(self) -> None:
        """BatikError where another worktable has this cloth open: nothing is saved from here then."""
        if self.autosave.elsewhere:
            raise BatikError("document.error.open_elsewhere")

    def close(self) -> None:
        """Save what waits."""
        self.autosave.close()

    def _save(self, words: Message, *, merged: bool = False) -> None:
        """The design has changed: save it soon, and notify whoever shows it."""
        self.revision += 1
        self.autosave.save_soon(self.revision, self.design, words, merged=merged)
        needed = [use for design in (self.design, self.set_aside) if design is not None for use in design_masks(design)]
        self.masks.tidy(needed)
        self._notify({"kind": "changed", "document": self.number, "revision": self.revision})

    def _was_saved(self, revision: int, problem: BatikError | None) -> None:
        self.problem = problem
        if problem is None:
            self.saved = max(self.saved, revision)
            self.sample = False
        if self.autosave.outside:
            self.autosave.outside = False
            self._notify({"kind": "outside", "document": self.number})
        told = {"kind": "unsaved", "problem": str(problem)} if problem else {"kind": "saved", "problem": None}
        self._notify(told | {"document": self.number, "revision": revision})


def free_folder(home: Path, title: str) -> Path:
    """A folder in `home`, named after a title, that isn't there yet."""
    plain = re.sub(r"[^\w]+", "-", title.lower()).strip("-_")[:50] or "my-cloth"
    names = (plain, *(f"{plain}-{number}" for number in range(2, 10_000)))
    return next(home / name for name in names if not (home / name).exists())
