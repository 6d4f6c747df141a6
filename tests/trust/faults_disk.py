"""A disk that fails at a chosen moment: the power goes, or it is full.

Every file opened for writing, renamed, removed, and every folder made or removed under one folder is a moment. When the
power goes, nothing more reaches the disk, clean-up neither, and of each file that the system was not told to keep safe
(fsync) only half is there.
"""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC
CHANGES = ("os.rename", "os.remove", "os.mkdir", "os.rmdir", "os.link", "os.symlink", "os.truncate")
NEEDS_ROOM = ("open", "os.mkdir")


class PowerCut(BaseException):
    """The process ends here."""


class Disk:
    """Watches what is done under a folder.

    at : the moment of the fault, from 0; None = never
    full : the disk is full from then on; else the power goes
    """

    def __init__(self, folder: Path, *, at: int | None = None, full: bool = False) -> None:
        self.folder, self.at, self.full = folder.resolve(), at, full
        self.moments: list[tuple[str, Path]] = []
        self._safe: dict[int, tuple[int, int]] = {}

    def __enter__(self) -> Disk:
        global _watching
        self._fsync: Callable[[int], None] = os.fsync
        self._safe = {path.stat().st_ino: _state(path) for path in self._files()}
        os.fsync = self._synced  # type: ignore[assignment]
        _watching = self
        return self

    def __exit__(self, kind: type[BaseException] | None, *rest: object) -> bool:
        global _watching
        _watching = None
        os.fsync = self._fsync
        if kind is not None and issubclass(kind, PowerCut):
            for path in self._files():
                if self._safe.get(path.stat().st_ino) != _state(path):
                    os.truncate(path, path.stat().st_size // 2)
            return True
        return False

    def _files(self) -> list[Path]:
        return [path for path in self.folder.rglob("*") if path.is_file() and not path.is_symlink()]

    def _synced(self, handle: int) -> None:
        found = os.fstat(handle)
        self._safe[found.st_ino] = (found.st_size, found.st_mtime_ns)

    def see(self, event: str, path: Path) -> None:
        """One thing done to a path."""
        if path != self.folder and self.folder not in path.parents:
            return
        moment = len(self.moments)
        if self.at is not None and moment >= self.at:
            if not self.full:
                raise PowerCut
            if event in NEEDS_ROOM:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(path))
        self.moments.append((event, path))

    @property
    def written_openly(self) -> list[str]:
        """Files opened for writing at a place where the maker sees them, so that they were half there for a while."""
        inside = [path.relative_to(self.folder) for event, path in self.moments if event == "open"]
        return [str(path) for path in inside if not any(part.startswith(".") for part in path.parts)]


def _state(path: Path) -> tuple[int, int]:
    return path.stat().st_size, path.stat().st_mtime_ns


_watching: Disk | None = None


def _hook(event: str, given: tuple[Any, ...]) -> None:
    if _watching is None:
        return
    if event == "open":
        name, _, flags = given
        if not isinstance(name, int) and isinstance(flags, int) and flags & WRITING:
            _watching.see(event, _place(name, -1))
    elif event in CHANGES:
        at = {"os.remove": 1, "os.rmdir": 1, "os.mkdir": 2, "os.rename": 2}.get(event)
        _watching.see(event, _place(given[0], -1 if at is None else given[at]))


def _place(name: str | bytes | os.PathLike[str], beside: int) -> Path:
    folder = os.readlink(f"/proc/self/fd/{beside}") if beside not in (-1, None) else os.getcwd()
    path = Path(folder, os.fsdecode(name))
    return Path(os.path.realpath(path.parent)) / path.name


sys.addaudithook(_hook)
