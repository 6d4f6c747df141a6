"""One process at a time in a folder, where two at once would mix what they write."""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Iterator
from pathlib import Path

if sys.platform != "win32":
    import fcntl

__all__ = ["alone"]


@contextlib.contextmanager
def alone(folder: str | os.PathLike[str]) -> Iterator[None]:
    """Wait until no other process is in this block for this folder. The system lets go of it when a process dies.

    It leaves no file behind. Where a folder can't be locked (Windows, some network disks) the block runs all the same.
    """
    if sys.platform == "win32":
        yield
        return
    handle = os.open(Path(folder), os.O_RDONLY)
    try:
        with contextlib.suppress(OSError):
            fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)
