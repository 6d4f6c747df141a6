"""Which files batiksim made: only those may be replaced by what a command makes anew.

Pictures, pages and the data of a chart carry a mark inside, where viewers don't show it. Other data can't, so an old
file of that kind counts as batiksim's when it is built as the new one is. A picture that was changed and saved by hand
has lost its mark and is the maker's own.
"""

import json
from pathlib import Path

from batiksim.errors import BatikError
from batiksim.types import StrPath
from batiksim.values import MADE_BY

MARK_KEY = "made"  # of JSON that carries the mark
_MARKED = (".png", ".gif", ".webp", ".pdf", ".svg", ".toml", ".txt", ".md")
_LOOKED_AT = 65_536  # bytes at either end of a file that may hold the mark: a PDF has it near its end
_MOST_TEXT = 50_000_000
_ALIKE = 3  # keys that data of an earlier batiksim share with those of today, at least


def is_marked(path: Path) -> bool:
    """Whether a file carries batiksim's mark; one that can't be read doesn't."""
    try:
        with open(path, "rb") as file:
            start = file.read(_LOOKED_AT)
            file.seek(max(0, path.stat().st_size - _LOOKED_AT))
            return MADE_BY.encode() in start or MADE_BY.encode() in file.read(_LOOKED_AT)
    except OSError:
        return False


def check_replaceable(path: StrPath, *, fix: str | None = None) -> None:
    """BatikError when a picture or page that isn't batiksim's would be replaced; call it before long work.

    fix : key of other advice than to choose another name
    """
    place = Path(path)
    if place.suffix.lower() in _MARKED and place.is_file() and not is_marked(place):
        raise BatikError("files.error.foreign", file=place, fix=fix)


def may_replace(place: Path, new: Path, *, fix: str | None = None) -> None:
    """BatikError when the file at `place` isn't batiksim's, so that `new` can't take its place. fix : as above."""
    if not place.is_file() or is_marked(place) or _same(place, new):
        return
    raise BatikError("files.error.foreign", file=place, fix=fix)


def _same(place: Path, new: Path) -> bool:
    """Whether two files say the same, or are data of one shape.

    That is CSV with the same heading, and JSON with the same keys, or with most of them: batiksim's data grow.
    """
    if max(place.stat().st_size, new.stat().st_size) > _MOST_TEXT:
        return False
    old_bytes, new_bytes = place.read_bytes(), new.read_bytes()
    if old_bytes == new_bytes:
        return True
    ending = place.suffix.lower()
    if ending == ".csv":
        return old_bytes.splitlines()[:1] == new_bytes.splitlines()[:1]
    if ending != ".json":
        return False
    old, now = _keys(old_bytes), _keys(new_bytes)
    alike = len(old & now)
    return alike > 0 and (old == now or (alike >= _ALIKE and 2 * alike > len(old)))


def _keys(text: bytes) -> set[str]:
    """The keys of a JSON object, but for the mark; none of anything else."""
    try:
        data = json.loads(text)
    except (ValueError, RecursionError):
        return set()
    return set(data) - {MARK_KEY} if isinstance(data, dict) else set()
