"""Reading a maker's file that ought to be small, into memory."""

from __future__ import annotations

from pathlib import Path

from batiksim.errors import BatikError

__all__ = ["read_small"]


def read_small(path: Path, most_bytes: int, *, problem: str = "is far too large", fix: str) -> bytes:
    """The bytes of a file. Raises BatikError when it can't be opened, or holds more than `most_bytes`.

    problem, fix : of a file that is larger
    """
    try:
        with open(path, "rb") as file:
            raw = file.read(most_bytes + 1)
    except OSError as error:
        reason = error.strerror or error
        raise BatikError("can't be opened", file=path, got=reason, fix="check its name and rights") from None
    if len(raw) > most_bytes:
        raise BatikError(problem, file=path, got=f"{path.stat().st_size:,} bytes", fix=fix)
    return raw
