"""Writing a file so that it is there whole or not at all."""

import contextlib
import os
import secrets
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import BinaryIO

from batiksim.errors import BatikError
from batiksim.types import StrPath


@contextlib.contextmanager
def replacing(path: StrPath, *, check: Callable[[Path, Path], None] | None = None) -> Iterator[BinaryIO]:
    """Open a new file beside `path` that takes its place when the block ends well.

    path : the file to make or replace; a link is followed, so the file it leads to is replaced
    check : asked with the old file and the whole new one before they change places; its BatikError keeps the old one
    returns : a binary file to write to; if the block fails, the old file stays as it was; else the disk holds the new
    errors : BatikError when the folder can't be written to
    """
    target = Path(os.path.realpath(path))
    beside = target.with_name(f".{target.name[:40]}.{secrets.token_hex(6)}.part")
    try:
        with open(beside, "xb") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
        if check is not None:
            check(target, beside)
        if target.exists():
            shutil.copymode(target, beside)
        os.replace(beside, target)
        sync(target.parent)
    except OSError as error:
        raise BatikError("files.error.unwritable", file=path, got=error.strerror or error) from error
    finally:
        with contextlib.suppress(OSError):
            beside.unlink()


def sync(path: Path) -> None:
    """Wait until the disk holds a file, or the names in a folder, where the system can say so."""
    with contextlib.suppress(OSError):
        handle = os.open(path, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
