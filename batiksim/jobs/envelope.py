"""How results begin as data: in which format, by which batiksim, of what, by which light."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from batiksim import __version__
from batiksim.types import StrPath
from batiksim.values import FORMAT


@dataclass(frozen=True, kw_only=True)
class Origin:
    """What a result is of.

    kind : the name under which it is told: a "design", or a dye book as the "source"
    title : None of a dye book that isn't there yet; file : None of what is in memory or built in
    """

    kind: Literal["design", "source"] = "design"
    title: str | None
    file: StrPath | None = None


def head() -> dict[str, Any]:
    """The format of data, and the version of batiksim that it is from."""
    return {"format": FORMAT, "version": __version__}


def envelope(origin: Origin, *, light: str | None = None) -> dict[str, Any]:
    """What every result begins with as data. light : by which its colours are shown, None where it has no colours."""
    file = None if origin.file is None else str(Path(origin.file))
    return head() | {origin.kind: {"title": origin.title, "file": file}} | ({} if light is None else {"light": light})
