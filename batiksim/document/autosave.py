"""The design kept on disk as the maker works: atomically, with a history to go back to.

Masks go first, under names of their own, with any that have gone from the folder since; then the design file takes its
new place in one stroke. So at any moment the folder holds a whole design. Every version is also kept in `history/`,
thinned out as it ages.
"""

from __future__ import annotations

import contextlib
import datetime
import hashlib
import re
import secrets
import threading
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from batiksim.document import missing_files
from batiksim.document.frames.mask_cache import TOUCHED, MaskShelf
from batiksim.errors import BatikError
from batiksim.files.disk.locking import Hold
from batiksim.files.disk.replacing import replacing
from batiksim.files.pictures import images
from batiksim.files.toml import designs
from batiksim.values import Design

__all__ = ["HISTORY", "Keeper", "Version"]

HISTORY = "history"
MOST_VERSIONS = 300
FULL_FOR = datetime.timedelta(hours=2)  # every version is kept so long; then one in ten minutes, then one a day
FULL_LAST = 20  # so many are kept whatever their age: a clock that is set wrong must not thin them
WAIT_S = 0.2  # changes that follow each other faster are saved together
_NAME = re.compile(r"\d{8}T\d{6}-[0-9a-f]{6}")
_WHEN = "%Y%m%dT%H%M%S"
Told = Callable[[int, str | None], None]


@dataclass(frozen=True, kw_only=True)
class Version:
    """One version in the history. key : its name; when : local time; what : what was changed, in words."""

    key: str
    when: datetime.datetime
    what: str


class Keeper:
    """Saves the newest design in the background. told : called with what was saved, or with an error in words."""

    def __init__(self, file: Path, shelf: MaskShelf, *, told: Told, prepare: Callable[[], Path] | None = None) -> None:
        self.file = file
        self._shelf, self._told, self._prepare = shelf, told, prepare
        self.outside = (
            False  # whether another hand's change was found and put into the history since this was last read
        )
        self._known = _digest(file)
        self._hold = Hold.take(file) if prepare is None else None
        self._wake = threading.Condition()
        self._next: tuple[int, Design, str, bool] | None = None
        self._busy = False
        self._closed = False
        self._thread = threading.Thread(target=self._run, name="keeper", daemon=True)
        self._thread.start()

    @property
    def folder(self) -> Path:
        """The design's folder."""
        return self.file.parent

    @property
    def elsewhere(self) -> bool:
        """Whether another worktable has this design open: then nothing may be saved from here."""
        return self._hold is None and self._prepare is None

    def keep(self, revision: int, design: Design, what: str, *, goes_on: bool = False) -> None:
        """Save a design soon; of several, the newest.

        goes_on : it is one change with the one before, as of a slider that moves on, and one version in the history
        """
        with self._wake:
            self._next = (revision, design, what, goes_on and (self._next is None or self._next[3]))
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
                revision, design, what, goes_on = self._next
                self._next, self._busy = None, True
            problem: str | None = None
            try:
                self._save(design, what, goes_on=goes_on)
            except BatikError as error:
                problem = str(error)
            except OSError as error:
                problem = f"{self.file}: can't be written ({error.strerror or error})"
            except Exception as error:  # whatever it is, the next change is saved again
                problem = f"{self.file}: not saved ({error!r})"
            with self._wake:
                self._busy = False
                self._wake.notify_all()
            self._told(revision, problem)

    def _save(self, design: Design, what: str, *, goes_on: bool) -> None:
        if self._prepare is not None:
            self.file = self._prepare()
            self._hold = Hold.take(self.file)
            self._known, self._prepare = _digest(self.file), None
        for use, mask in self._shelf.unsaved(dict.fromkeys(use for _, use in design.mask_uses())).items():
            (self.folder / use.picture).parent.mkdir(parents=True, exist_ok=True)
            images.write_png(self.folder / use.picture, np.invert(mask), width_mm=design.cloth.width_mm)
            self._shelf.saved(use)
        missing_files.put_back(design, self.folder, self._shelf.held)
        missing_files.check_named(design, self.folder)
        found = _digest(self.file)
        if found != self._known and found is not None:
            self._remember(self.file.read_bytes(), "changed outside the worktable")
            self.outside = True
        elif found is not None and not self._shed.is_dir():
            self._remember(self.file.read_bytes(), "as it was opened")
        designs.write_design(design, self.file, in_place=True)
        self._known = _digest(self.file)
        before = next(iter(self.versions()), None) if goes_on else None
        self._remember(self.file.read_bytes(), what)
        if before is not None and before.what == what:
            (self._shed / f"{before.key}.toml").unlink(missing_ok=True)

    # History

    @property
    def _shed(self) -> Path:
        return self.folder / HISTORY / self.file.stem

    def _remember(self, raw: bytes, what: str) -> None:
        self._shed.mkdir(parents=True, exist_ok=True)
        stamp = self._fresh_stamp()
        line = "# " + " ".join(what.split()) + "\n"
        with replacing(self._shed / f"{stamp}.toml") as file:
            file.write(line.encode() + raw)
        self._thin()

    def _fresh_stamp(self) -> str:
        """The time as a name, after that of every other version: clocks are set back, each autumn too."""
        now = datetime.datetime.now()
        newest = next((one.key for one in self.versions()), "")
        if _stamp(now) <= newest:
            micros = int(newest.rpartition("-")[2], 16)
            before = datetime.datetime.strptime(newest[:15], _WHEN).replace(microsecond=min(micros, 999_999))
            now = before + datetime.timedelta(microseconds=1)
        return _stamp(now)

    def versions(self) -> list[Version]:
        """Every version, the newest first."""
        if not self._shed.is_dir():
            return []
        files = [path for path in self._shed.glob("*.toml") if _is_stamp(path.stem)]
        return sorted(map(_version, files), key=lambda one: one.key, reverse=True)

    def version(self, key: str) -> Design:
        """The design as it was then. Raises BatikError for one that isn't there."""
        path = self._shed / f"{key}.toml"
        if not _NAME.fullmatch(key) or not path.is_file():
            raise BatikError("there is no such version", got=key, fix="choose one from the list")
        beside = self.folder / f".version-{secrets.token_hex(4)}.toml"  # its pictures are found from there
        try:
            beside.write_bytes(path.read_bytes())
            return designs.read_design(beside)
        except OSError as error:
            raise BatikError("can't be written to", file=self.folder, got=error.strerror or error) from None
        finally:
            with contextlib.suppress(OSError):
                beside.unlink(missing_ok=True)

    def _thin(self) -> None:
        now = datetime.datetime.now()
        seen: set[str] = set()
        kept = 0
        for place, one in enumerate(self.versions()):
            age = now - one.when
            slot = (
                one.key
                if age < FULL_FOR or place < FULL_LAST
                else one.when.strftime("%Y%m%d%H%M" if age.days < 2 else "%Y%m%d")[:11]
            )
            if slot in seen or kept >= MOST_VERSIONS:
                (self._shed / f"{one.key}.toml").unlink(missing_ok=True)
            else:
                kept += 1
            seen.add(slot)

    def sweep(self) -> None:
        """Remove touched-up masks that neither the design nor any version names. For the start, before any change."""
        folder = self.folder / TOUCHED
        if not folder.is_dir():
            return
        texts = [path.read_text(encoding="utf-8", errors="replace") for path in self.folder.glob("*.toml")]
        texts += [
            path.read_text(encoding="utf-8", errors="replace") for path in self.folder.glob(f"{HISTORY}/*/*.toml")
        ]
        for path in folder.glob("*.png"):
            if not any(f"{TOUCHED}/{path.name}" in text for text in texts):
                with contextlib.suppress(OSError):
                    path.unlink()


def _stamp(when: datetime.datetime) -> str:
    return f"{when.strftime(_WHEN)}-{when.microsecond:06x}"  # names sort by time


def _is_stamp(name: str) -> bool:
    """Whether a file's name is one that this history gives: others may lie there too."""
    try:
        return _NAME.fullmatch(name) is not None and bool(datetime.datetime.strptime(name[:15], _WHEN))
    except ValueError:
        return False


def _version(path: Path) -> Version:
    with path.open(encoding="utf-8", errors="replace") as file:
        first = file.readline().strip()
    what = first.removeprefix("# ") if first.startswith("# ") else ""
    return Version(key=path.stem, when=datetime.datetime.strptime(path.stem[:15], _WHEN), what=what)


def _digest(file: Path) -> str | None:
    try:
        return hashlib.sha256(file.read_bytes()).hexdigest()
    except OSError:
        return None
