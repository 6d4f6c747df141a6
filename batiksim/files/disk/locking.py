"""One process at a time in a folder, or with a file, where two at once would mix what they write."""

import contextlib
import getpass
import hashlib
import os
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Self

from batiksim.types import StrPath

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl


@contextlib.contextmanager
def alone(folder: StrPath) -> Iterator[None]:
    """Wait until no other process is in this block for this folder. The system lets go of it when a process dies.

    It leaves no file behind. Where a folder can't be locked (Windows, some network disks) the block runs all the same.
    """
    handle = None
    if sys.platform != "win32":
        with contextlib.suppress(OSError):
            handle = os.open(Path(folder), os.O_RDONLY)
            fcntl.flock(handle, fcntl.LOCK_EX)
    try:
        yield
    finally:
        if handle is not None:
            os.close(handle)


class Hold:
    """A file that one process of this person works on, for as long as it likes. The system lets go when it dies.

    What is locked is an empty file in the system's folder for passing files, named after the real path: so nothing is
    left beside the maker's own files, and any system can do it. Other people's machines aren't told.
    """

    def __init__(self, handle: int | None) -> None:
        self._handle = handle

    @classmethod
    def take(cls, file: StrPath) -> Self | None:
        """Hold a file; None when another hold on it lasts. Where that can't be found out, it counts as held."""
        try:
            handle = os.open(_place(Path(file)), os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0), 0o600)
        except (OSError, KeyError):
            return cls(None)
        try:
            if sys.platform == "win32":
                msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
            else:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            os.close(handle)
            return None
        return cls(handle)

    def let_go(self) -> None:
        """Hold it no longer."""
        handle, self._handle = self._handle, None
        if handle is not None:
            os.close(handle)


def _place(file: Path) -> Path:
    person = hashlib.sha256(getpass.getuser().encode()).hexdigest()[:8]
    folder = Path(tempfile.gettempdir()) / f"batiksim-{person}"
    folder.mkdir(mode=0o700, exist_ok=True)
    return folder / hashlib.sha256(os.path.realpath(file).encode("utf-8", "surrogateescape")).hexdigest()[:24]
