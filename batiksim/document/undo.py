"""Undo and redo: every design that was, one after another, and where among them the document stands.

Beside them the names that its pots have had: a page may still use an old one.
"""

import itertools
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from batiksim.texts.catalogue import Message
from batiksim.values import Design

MOST_UNDO = 500
MERGE_S = 1.5  # presses of one slider's key that follow so quickly are undone together
SLIDERS = ("set_strength", "set_wax", "set_discharge", "set_cloth")


@dataclass(frozen=True)
class _Entry:
    design: Design
    words: Message | None  # what made it; None = it was opened
    number: int = field(default_factory=itertools.count(1).__next__)


class UndoStack:
    """The designs of a document in their order."""

    def __init__(self, design: Design) -> None:
        self._entries = [_Entry(design, None)]
        self._at = 0
        self._merge: tuple[str, float] = ("", 0.0)

    @property
    def design(self) -> Design:
        """The design as it is now."""
        return self._entries[self._at].design

    @property
    def number(self) -> int:
        """A number for the design as it is now, the same again when changes since then are taken back."""
        return self._entries[self._at].number

    @property
    def undo_words(self) -> Message | None:
        """What undoing would take back."""
        return self._entries[self._at].words if self._at else None

    @property
    def redo_words(self) -> Message | None:
        """What redoing would do again."""
        return self._entries[self._at + 1].words if self._at + 1 < len(self._entries) else None

    def push(self, design: Design, words: Message, *, merge: str = "") -> bool:
        """A new design; what was undone is forgotten. Returns whether it took the place of the one before.

        merge : which slider it comes from, as `merge_key` says; quick steps of one slider are one entry
        """
        now = time.monotonic()
        last, when = self._merge
        merged = bool(merge) and merge == last and now - when < MERGE_S and self._at > 0
        keep = self._at if merged else self._at + 1
        self._entries = [*self._entries[:keep], _Entry(design, words)][-MOST_UNDO:]
        self._at = len(self._entries) - 1
        self._merge = (merge, now)
        return merged

    def step(self, by: int) -> bool:
        """Go so many designs on, or back for less than 0; False where there is none."""
        if not 0 <= self._at + by < len(self._entries):
            return False
        self._at += by
        self._merge = ("", 0.0)
        return True

    def replace_all(self, change: Callable[[Design], Design]) -> None:
        """Change every design that can be gone back to."""
        self._entries = [_Entry(change(entry.design), entry.words) for entry in self._entries]

    def pot_renamed(self, old: str, new: str) -> None:
        """A pot has another name: the slider that moves it is still the same."""
        merge, when = self._merge
        self._merge = merge.replace(f" {old} ", f" {new} "), when


def merge_key(changes: Sequence[Any]) -> str:
    """Which slider some changes come from; empty for what always stands alone."""
    change = changes[0]
    if len(changes) > 1 or change.get("do") not in SLIDERS:
        return ""
    keys = sorted(key for key in change if key not in ("do", "pot", "step"))
    return f"{change['do']} {change.get('pot')} {change.get('step')} {keys}"


class PotNames:
    """The names that pots have had since the start."""

    def __init__(self) -> None:
        self._now: dict[str, str] = {}

    def note(self, before: Design, after: Design) -> dict[str, str]:
        """Record the pots that a change has renamed: old names to new ones."""
        if len(before.pots) != len(after.pots):
            return {}
        pairs = zip(before.pots, after.pots, strict=True)
        renamed = {was.name: now.name for was, now in pairs if was.name != now.name}
        self._now = {old: renamed.get(new, new) for old, new in self._now.items()} | renamed
        return renamed

    def now(self, design: Design) -> dict[str, str]:
        """Names that nothing in a design has, to what their pots are called in it."""
        there = {pot.name for pot in design.pots} | {dye.name for dye in design.dyes}
        return {old: new for old, new in self._now.items() if old not in there and new in there}
