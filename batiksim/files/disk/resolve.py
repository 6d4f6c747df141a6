"""Files that a design names: inside its own folder, or in a folder that the maker shares among designs.

Which folders are shared is for the maker to say, outside any design: a design from elsewhere can't allow itself
anything.
"""

import os
import unicodedata
from collections.abc import Iterator
from pathlib import Path

from batiksim.errors import BatikError, nearest
from batiksim.texts.catalogue import Message, say

PICTURE_ENDINGS = (".png", ".tif", ".tiff", ".jpg", ".jpeg", ".webp")

SHARED = "BATIKSIM_SHARED"
"""The environment variable that names folders, with the system's sign between paths (":" or ";"), whose files any
design may name by their whole path."""

_MOST_LISTED = 2_000


def file_beside(folder: Path, name: str, *, kind: str, endings: tuple[str, ...]) -> Path:
    """The path of a file that a design names, known to exist inside the design's folder or a shared one.

    folder : the design's own folder
    name : as the design gives it, with "/" between folders; a whole path for a file in a shared folder
    kind, endings : what it should be ("picture": a key under "files.kind") and how such files end, for the advice
    errors : BatikError (without file and field) for a name that leads out of the folder or to nothing
    """
    _check_name(name, kind)
    try:
        path = _existing(folder, name)
        if path is None:
            fix = nearest_file(folder, name, kind, endings)
            raise BatikError("files.error.missing", got=name, fix=fix, kind=_kind(kind))
        if not _may_be_read(path, folder):
            raise BatikError("files.error.link_leads_out", got=name, kind=_kind(kind))
        if not path.is_file():
            fix = nearest_file(folder, name, kind, endings)
            raise BatikError("files.error.wrong_kind", got=name, fix=fix, kind=_kind(kind))
    except OSError as error:
        raise BatikError("files.error.unreadable", got=error.strerror or name) from None
    return path


def _check_name(name: str, kind: str) -> None:
    if not name.strip() or any(ord(letter) < 32 or ord(letter) == 127 for letter in name):
        raise BatikError("files.error.no_name", got=name, kind=_kind(kind))
    if "\\" in name:
        raise BatikError("files.error.backslash", got=name)
    if (name.startswith(("/", "~")) or name[1:2] == ":") and not _is_shared(name):
        raise BatikError("files.error.not_beside", got=name, kind=_kind(kind), variable=SHARED)
    if ".." in name.split("/"):
        raise BatikError("files.error.leads_out", got=name, kind=_kind(kind))


def _kind(kind: str) -> Message:
    return say(f"files.kind.{kind.replace(' ', '_')}")


def _shared() -> list[Path]:
    """Folders that the maker shares among designs."""
    named = os.environ.get(SHARED, "").split(os.pathsep)
    return [Path(path).resolve() for path in named if path.strip() and Path(path).is_absolute()]


def _is_shared(name: str) -> bool:
    try:
        return Path(name).is_absolute() and any(Path(name).resolve().is_relative_to(folder) for folder in _shared())
    except (OSError, RuntimeError):  # a link that leads round in a circle
        return False


def _may_be_read(path: Path, folder: Path) -> bool:
    """Whether the file itself, links followed, lies in the design's folder or a shared one."""
    real = path.resolve()
    return any(real.is_relative_to(allowed) for allowed in (folder.resolve(), *_shared()))


def _existing(folder: Path, name: str) -> Path | None:
    """The path, also where the disk spells an accented name in its other Unicode form."""
    for form in (name, unicodedata.normalize("NFC", name), unicodedata.normalize("NFD", name)):
        path = folder / form
        if path.exists():
            return path
    return None


def nearest_file(folder: Path, name: str, kind: str, endings: tuple[str, ...]) -> Message:
    """Advice naming the file in the folder whose name is nearest to `name`."""
    files = list(_listed(folder, endings))
    if not files:
        return say("files.none_there", kind=_kind(kind), folder=folder.name or str(folder))
    for file in files:
        if file.casefold() == name.casefold():
            return say("error.did_you_mean", choice=repr(file))
    return nearest(name, files)


def _listed(folder: Path, endings: tuple[str, ...]) -> Iterator[str]:
    """Files with these endings in the folder and the folders in it, as a design would name them."""
    left = _MOST_LISTED
    for at, inner, names in os.walk(folder):
        inner[:] = sorted(folder_name for folder_name in inner if not folder_name.startswith("."))
        for name in sorted(names):
            left -= 1
            if left < 0:
                return
            if name.lower().endswith(endings) and not name.startswith("."):
                yield (Path(at) / name).relative_to(folder).as_posix()
