"""Reading a maker's file that ought to be small, into memory."""

from pathlib import Path

from batiksim.errors import BatikError
from batiksim.texts.catalogue import Message, say


def read_small(
    path: Path, most_bytes: int, *, problem: str = "files.error.too_large", fix: Message | None = None
) -> bytes:
    """The bytes of a file. Raises BatikError when it can't be opened, or holds more than `most_bytes`.

    problem, fix : for a file that is larger; problem is a key, fix None = as the key has it
    """
    try:
        with open(path, "rb") as file:
            raw = file.read(most_bytes + 1)
    except OSError as error:
        raise BatikError("files.error.unreadable", file=path, got=error.strerror or error) from None
    if len(raw) > most_bytes:
        raise BatikError(problem, file=path, got=say("files.bytes", count=path.stat().st_size), fix=fix)
    return raw
