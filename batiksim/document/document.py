"""The table: one design being worked on, with undo and redo, always kept on disk."""

from __future__ import annotations

import itertools
import os
import re
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from threading import RLock
from typing import Any

from batiksim import jobs
from batiksim.cloth.program import design_masks
from batiksim.document.autosave import Keeper, Version
from batiksim.document.frames.frames import Frames
from batiksim.document.frames.mask_cache import MaskShelf
from batiksim.document.renamed_pots import PotNames
from batiksim.document.touchup import stroked
from batiksim.document.uploads.pictures import MASKS
from batiksim.document.verbs import blank, change_words, changed, mask_at, with_mask
from batiksim.errors import BatikError
from batiksim.files.starter import starter_folder
from batiksim.files.toml import designs
from batiksim.types import Bytes
from batiksim.values import Design, Dye, MaskUse

__all__ = ["NamedMask", "Table", "free_folder"]

MOST_UNDO = 500
_NUMBERS = itertools.count(1)
MERGE_S = 1.5  # presses of one slider's key that follow so quickly are undone together
Told = Callable[[dict[str, Any]], None]
NamedMask = tuple[str, Bytes]


@dataclass(frozen=True)
class _Moment:
    design: Design
    what: str  # what made it
    number: int = field(default_factory=itertools.count(1).__next__)


def _nobody(event: dict[str, Any]) -> None:
    del event


class Table:
    """A design on the table. told : hears of changes, of what was saved and of what could not be."""

    def __init__(
        self, file: Path, design: Design, *, told: Told = _nobody, prepare: Callable[[], Path] | None = None
    ) -> None:
        self.lock = RLock()
        self.number = next(_NUMBERS)  # pages tell by it that another design lies before them
        self._told = told
        self.sample = prepare is not None
        self._read_from = file.parent
        self.shelf = MaskShelf(self._read_mask)
        self.frames = Frames(self.shelf)
        self._moments = [_Moment(design, "opened")]
        self._at = 0
        self._merged: tuple[str, float] = ("", 0.0)
        self._names = PotNames()
        self.revision = self.saved = 0
        self.problem: str | None = None
        self.kept: Design | None = None
        self.keeper = Keeper(file, self.shelf, told=self._was_saved, prepare=prepare)

    @classmethod
    def open(cls, path: str | os.PathLike[str], *, told: Told = _nobody) -> Table:
        """A design from disk, its masks read. Raises BatikError for anything wrong with it."""
        table = cls._reading(path, told, None)
        if not table.keeper.elsewhere:
            table.keeper.sweep()
        return table

    @classmethod
    def open_sample(cls, home: Path, *, told: Told = _nobody) -> Table:
        """The starter design; it is copied into a new folder in `home` with the first change."""

        def prepare() -> Path:
            folder = free_folder(home, "my-cloth")
            jobs.new_design(folder)
            return folder / designs.DESIGN_NAME

        return cls._reading(starter_folder(), told, prepare)

    @classmethod
    def begin(cls, home: Path, design: Design, masks: Sequence[NamedMask] = (), *, told: Told = _nobody) -> Table:
        """A new design in a new folder in `home`, with the masks that it names; undo ends here, not at a bare cloth."""
        bare = blank(design.title, design.cloth)
        file = designs.write_design(bare, free_folder(home, design.title) / designs.DESIGN_NAME)
        table = cls(file, bare, told=told)
        for name, mask in masks:
            table.shelf.put_new(name, mask, folder=MASKS)
        if design != bare:
            table._moments = [_Moment(design, "begun")]
            table._go(0, "begun")
        return table

    @classmethod
    def _reading(cls, path: str | os.PathLike[str], told: Told, prepare: Callable[[], Path] | None) -> Table:
        project = jobs.open_design(path)
        table = cls(designs.design_file(path), project.design, told=told, prepare=prepare)
        for use, mask in zip(design_masks(project.design), project.masks, strict=True):
            table.shelf.put(use, mask)
        return table

    def _read_mask(self, use: MaskUse) -> Any:
        folder = self._read_from if self.sample else self.keeper.folder
        return jobs.read_mask(folder, use, step=0)[0]

    # Now, before and after

    @property
    def design(self) -> Design:
        """The design as it is now."""
        with self.lock:
            return self._moments[self._at].design

    @property
    def moment(self) -> int:
        """A number for the design as it is now, the same again when changes since then are taken back."""
        with self.lock:
            return self._moments[self._at].number

    @property
    def undo_words(self) -> str | None:
        """What undoing would take back."""
        with self.lock:
            return self._moments[self._at].what if self._at else None

    @property
    def redo_words(self) -> str | None:
        """What redoing would do again."""
        with self.lock:
            return self._moments[self._at + 1].what if self._at + 1 < len(self._moments) else None

    def change(self, changes: Sequence[Any]) -> Design:
        """Make changes for good. Raises BatikError for one that can't be made; then nothing has changed."""
        if not changes:
            raise BatikError("needs at least one change", field="changes")
        with self.lock:
            before = self.design
            what = change_words(before, changes)
            after = changed(before, changes)
            self.shelf.size(after)  # every mask is there and of one size
            self._step(after, what, merge=_merge_key(changes))
            self._note_names(before)
            return after

    def touch(
        self, step: int, paint: int | None, points_mm: Sequence[tuple[float, float]], width_mm: float, erase: bool
    ) -> Design:
        """Touch up the mask of a step, or of one pot of a bath, with one stroke."""
        with self.lock:
            design = self.design
            use = mask_at(design, step, paint)
            if use is None:
                raise BatikError("has no mask to touch up", field=f"step {step}", fix="choose a step with a picture")
            mask = self.shelf.full(use)
            px_per_mm = mask.shape[1] / design.cloth.width_mm
            new = stroked(mask, points_mm, width_mm=width_mm, px_per_mm=px_per_mm, erase=erase)
            after = with_mask(design, step, paint, self.shelf.put_new(use.picture, new))
            self._step(after, "scraping off" if erase else "a stroke", merge="")
            return after

    @property
    def new_names(self) -> dict[str, str]:
        """What pots are called now, by names that they had and that nothing has any more."""
        with self.lock:
            return self._names.now(self.design)

    def _note_names(self, before: Design) -> None:
        for old, new in self._names.note(before, self.design).items():
            key, when = self._merged
            self._merged = key.replace(f" {old} ", f" {new} "), when

    def undo(self) -> Design:
        """Take the last change back; nothing happens when there is none."""
        with self.lock:
            before = self.design
            if self._at:
                self._go(self._at - 1, f"took back {self.undo_words}")
                self._note_names(before)
            return self.design

    def redo(self) -> Design:
        """Make the change again that was taken back last."""
        with self.lock:
            before = self.design
            if self._at + 1 < len(self._moments):
                self._go(self._at + 1, self._moments[self._at + 1].what)
                self._note_names(before)
            return self.design

    def versions(self) -> list[Version]:
        """What the history on disk holds, the newest first."""
        return self.keeper.versions()

    def restore(self, key: str) -> Design:
        """Go back to a version of the history; that is a change like any other."""
        design = self.keeper.version(key)
        with self.lock:
            self.shelf.size(design)
            self._step(design, "going back to an earlier version", merge="")
            return design

    def relearn(self, own: Mapping[str, Dye]) -> None:
        """Dyes out of the maker's own book are now these, in every design that can be gone back to: all name the book.

        own : by name, as the book has them
        """
        with self.lock:
            before = self.design
            self._moments = [_Moment(_relearnt(one.design, own), one.what) for one in self._moments]
            self.kept = None if self.kept is None else _relearnt(self.kept, own)
            if self.design == before:
                return
            self.revision += 1
            self.keeper.keep(self.revision, self.design, "dyes learnt anew")
            self._told({"kind": "changed", "table": self.number, "revision": self.revision})

    def file(self) -> Path:
        """The design's file, with all that was changed in it. Raises BatikError when it can't be saved."""
        self.keeper.flush()
        if self.problem is not None:
            raise BatikError(f"can't be saved: {self.problem}")
        return self._read_from / designs.DESIGN_NAME if self.sample else self.keeper.file

    def check_here(self) -> None:
        """BatikError where another worktable has this cloth open: nothing is saved from here then."""
        if self.keeper.elsewhere:
            raise BatikError("is open in another worktable", field="this cloth", fix="go on in the page of that one")

    def close(self) -> None:
        """Save what waits."""
        self.keeper.close()

    def _step(self, design: Design, what: str, *, merge: str) -> None:
        if design == self.design:
            return
        self.check_here()
        now = time.monotonic()
        joined = merge and merge == self._merged[0] and now - self._merged[1] < MERGE_S and self._at > 0
        keep = self._at if joined else self._at + 1
        self._moments = [*self._moments[:keep], _Moment(design, what)][-MOST_UNDO:]
        self._go(len(self._moments) - 1, what, goes_on=bool(joined))
        self._merged = (merge, now)

    def _go(self, at: int, what: str, *, goes_on: bool = False) -> Design:
        self._at = at
        self._merged = ("", 0.0)
        self.revision += 1
        design = self.design
        self.keeper.keep(self.revision, design, what, goes_on=goes_on)
        needed = [use for one in (design, self.kept) if one is not None for use in design_masks(one)]
        self.shelf.tidy(needed)
        self._told({"kind": "changed", "table": self.number, "revision": self.revision})
        return design

    def _was_saved(self, revision: int, problem: str | None) -> None:
        self.problem = problem
        if problem is None:
            self.saved = max(self.saved, revision)
            self.sample = False
        if self.keeper.outside:
            self.keeper.outside = False
            self._told({"kind": "outside", "table": self.number})
        kind = "saved" if problem is None else "unsaved"
        self._told({"kind": kind, "table": self.number, "revision": revision, "problem": problem})


def _relearnt(design: Design, own: Mapping[str, Dye]) -> Design:
    dyes = tuple(own[dye.name] if dye.name in own and dye.book == own[dye.name].book else dye for dye in design.dyes)
    return replace(design, dyes=dyes)


def _merge_key(changes: Sequence[Any]) -> str:
    """Which slider some changes come from; empty for what always stands alone."""
    one = changes[0]
    if len(changes) > 1 or one.get("do") not in ("strength", "wax", "bleach", "cloth"):
        return ""
    keys = sorted(key for key in one if key not in ("do", "pot", "step"))
    return f"{one['do']} {one.get('pot')} {one.get('step')} {keys}"


def free_folder(home: Path, title: str) -> Path:
    """A folder in `home`, named after a title, that isn't there yet."""
    plain = re.sub(r"[^\w]+", "-", title.lower()).strip("-_")[:50] or "my-cloth"
    names = (plain, *(f"{plain}-{number}" for number in range(2, 10_000)))
    return next(home / name for name in names if not (home / name).exists())
