"""The history beside a design: a copy of its file as of each save, in `history/`, thinned out as they age."""

import contextlib
import datetime
import json
import re
import secrets
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from batiksim.errors import BatikError
from batiksim.files.disk.replacing import replacing
from batiksim.files.toml import designs
from batiksim.texts.catalogue import ENGLISH, Message, say, speaking
from batiksim.values import Design

HISTORY = "history"
MOST_VERSIONS = 300
FULL_FOR = datetime.timedelta(hours=2)  # every version is kept so long; then one in ten minutes, then one a day
FULL_LAST = 20  # so many are kept whatever their age: a clock that is set wrong must not thin them
_NAME = re.compile(r"\d{8}T\d{6}-[0-9a-f]{6}")
_WHEN = "%Y%m%dT%H%M%S"
_KEYED = "# as a message: "  # then key and parts, as JSON


@dataclass(frozen=True, kw_only=True)
class Version:
    """One version in the history. key : its name; when : local time; what : was changed.

    Versions of an earlier batiksim have it as a plain sentence, or not at all.
    """

    key: str
    when: datetime.datetime
    what: Message | str


class VersionHistory:
    """The versions of one design. file : the design's."""

    def __init__(self, file: Path) -> None:
        self._file = file
        self.folder = file.parent / HISTORY / file.stem

    def add(self, raw: bytes, words: Message) -> None:
        """Keep one more version. raw : the design file; words : what was changed."""
        self.folder.mkdir(parents=True, exist_ok=True)
        with replacing(self.folder / f"{self._fresh_stamp()}.toml") as file:
            file.write(_head(words).encode() + raw)
        self._thin()

    def remove(self, version: Version) -> None:
        """One version goes."""
        (self.folder / f"{version.key}.toml").unlink(missing_ok=True)

    def versions(self) -> list[Version]:
        """Every version, the newest first."""
        if not self.folder.is_dir():
            return []
        files = [path for path in self.folder.glob("*.toml") if _is_stamp(path.stem)]
        return sorted(map(_version, files), key=lambda version: version.key, reverse=True)

    def design(self, key: str) -> Design:
        """The design as it was then. Raises BatikError for a version that isn't there."""
        path = self.folder / f"{key}.toml"
        if not _NAME.fullmatch(key) or not path.is_file():
            raise BatikError("document.error.no_such_version", got=key)
        home = self._file.parent
        beside = home / f".version-{secrets.token_hex(4)}.toml"  # its pictures are found from there
        try:
            beside.write_bytes(path.read_bytes())
            return designs.read_design(beside)
        except OSError as error:
            raise BatikError("document.error.folder_not_writable", file=home, got=error.strerror or error) from None
        finally:
            with contextlib.suppress(OSError):
                beside.unlink(missing_ok=True)

    def _fresh_stamp(self) -> str:
        """The time as a name, after that of every other version: clocks are set back, each autumn too."""
        now = datetime.datetime.now()
        newest = next((version.key for version in self.versions()), "")
        if _stamp(now) <= newest:
            micros = int(newest.rpartition("-")[2], 16)
            before = datetime.datetime.strptime(newest[:15], _WHEN).replace(microsecond=min(micros, 999_999))
            now = before + datetime.timedelta(microseconds=1)
        return _stamp(now)

    def _thin(self) -> None:
        now = datetime.datetime.now()
        seen: set[str] = set()
        kept = 0
        for place, version in enumerate(self.versions()):
            age = now - version.when
            slot = (
                version.key
                if age < FULL_FOR or place < FULL_LAST
                else version.when.strftime("%Y%m%d%H%M" if age.days < 2 else "%Y%m%d")[:11]
            )
            if slot in seen or kept >= MOST_VERSIONS:
                self.remove(version)
            else:
                kept += 1
            seen.add(slot)


def _stamp(when: datetime.datetime) -> str:
    return f"{when.strftime(_WHEN)}-{when.microsecond:06x}"  # names sort by time


def _is_stamp(name: str) -> bool:
    """Whether a file's name is one of this history's: other files may be in the folder."""
    try:
        return _NAME.fullmatch(name) is not None and bool(datetime.datetime.strptime(name[:15], _WHEN))
    except ValueError:
        return False


def _version(path: Path) -> Version:
    with path.open(encoding="utf-8", errors="replace") as file:
        first, second = file.readline().strip(), file.readline().strip()
    sentence = first.removeprefix("# ") if first.startswith("# ") else ""
    what = _read_message(second.removeprefix(_KEYED)) if second.startswith(_KEYED) else None
    return Version(
        key=path.stem, when=datetime.datetime.strptime(path.stem[:15], _WHEN), what=sentence if what is None else what
    )


def _head(words: Message) -> str:
    """Two comments over a version: what was changed in English, for whoever opens the file, and as a message."""
    with speaking(ENGLISH):
        sentence = " ".join(str(words).split())
    return f"# {sentence}\n{_KEYED}{json.dumps(_as_data(words))}\n"


def _as_data(part: Any) -> Any:
    if isinstance(part, Message):
        return {"key": part.key, "parts": {name: _as_data(value) for name, value in part.parts}}
    return [_as_data(value) for value in part] if isinstance(part, tuple) else part


def _read_message(line: str) -> Message | None:
    """A message as `_head` writes it; None for one that this batiksim doesn't know, or that was changed by hand."""
    try:
        message = _from_data(json.loads(line))
        return message if isinstance(message, Message) and str(message) else None
    except Exception:
        return None


def _from_data(data: Any) -> Any:
    if isinstance(data, dict):
        return say(data["key"], **{name: _from_data(value) for name, value in data["parts"].items()})
    return [_from_data(value) for value in data] if isinstance(data, list) else data
