"""A command's output files, replaced together: all new or all old, whatever happens in between.

New files are made in a hidden folder beside the old ones. When all are whole, that folder is renamed to `READY` in one
stroke: from then on the new set counts. Its files are then moved into place; should that be cut short, the next command
that writes there finishes it first.
"""

import contextlib
import json
import os
import shutil
import tempfile
import time
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import BinaryIO

from batiksim.errors import BatikError
from batiksim.files.disk.locking import alone
from batiksim.files.disk.replacing import replacing, sync
from batiksim.files.made_by import check_replaceable, may_replace
from batiksim.types import StrPath

READY = ".batiksim-ready"
_NEW = ".batiksim-new-"
_LEFT_FOR_S = 86_400  # a hidden folder untouched for a day belongs to a command that was killed
_GONE = ".gone.json"
_ELSEWHERE = "files.error.foreign.fix_folder"


@contextlib.contextmanager
def output_set(
    folder: StrPath, *, makes: Sequence[str] = (), replaces: tuple[str, ...] = (), spares: Iterable[Path] = ()
) -> Iterator[Path]:
    """A folder to write new outputs into; they take their places in `folder` when the block ends well.

    makes : names of files that the block is going to make, as far as they are known: those that would take the place
        of a file that batiksim didn't make are refused before any work, others when the block ends
    replaces : names of files this command made there before; those it doesn't make again are removed
    spares : the maker's own files; an output that would take the place of one is an error
    errors : BatikError when the folder can't be written to; then, and when the block fails, the old files stay
    """
    out = Path(folder)
    try:
        if out.exists() and not out.is_dir():
            raise BatikError("files.error.out_not_a_folder", file=out)
        made = [path for path in (out, *out.parents) if not path.exists()]
        out.mkdir(parents=True, exist_ok=True)
        finish_outputs(out)
        _sweep(out)
        _check_spared(out, makes, spares)
        for name in makes:
            check_replaceable(out / name, fix=_ELSEWHERE)
        stage = Path(tempfile.mkdtemp(prefix=_NEW, dir=out))
    except BatikError:
        raise
    except (OSError, ValueError) as error:  # ValueError: a name that no file can have
        reason = getattr(error, "strerror", None) or error
        raise BatikError("files.error.folder_unwritable", file=out, got=reason) from error
    try:
        yield stage
        _check_spared(out, {path.name for path in stage.iterdir()}.union(replaces), spares)
        with alone(out):  # another command may be moving its own files into place just now
            _check_places(out, stage)
            _commit(out, stage, replaces)
    except OSError as error:
        raise BatikError("files.error.folder_full", file=out, got=error.strerror) from error
    except BatikError as error:
        if error.file is None or not Path(error.file).is_relative_to(stage):
            raise
        seen = out / Path(error.file).relative_to(stage)  # the maker knows nothing of the hidden folder
        raise type(error)(error.problem, file=seen, field=error.field, got=error.got, fix=error.fix) from error
    finally:
        shutil.rmtree(stage, ignore_errors=True)
        for path in made:
            with contextlib.suppress(OSError):
                path.rmdir()  # only when it stayed empty


@contextlib.contextmanager
def output_file(path: StrPath) -> Iterator[BinaryIO]:
    """A new file that takes its place when the block ends well; an older one there must be batiksim's.

    errors : BatikError for a file that batiksim didn't make, and when the folder can't be written to
    """
    check_replaceable(path)
    with replacing(path, check=may_replace) as file:
        yield file


def _check_spared(out: Path, names: Iterable[str], spares: Iterable[Path]) -> None:
    spared = {path.resolve() for path in spares}
    for name in sorted(names):
        if (out / name).resolve() in spared:
            raise BatikError("files.error.part_of_design", file=out / name)


def _check_places(out: Path, stage: Path) -> None:
    """Every new file can take its place: no folder stands where a file goes, no file where a folder goes."""
    for path in sorted(stage.rglob("*")):
        place = out / path.relative_to(stage)
        if os.path.lexists(place) and place.is_dir() != path.is_dir():
            raise BatikError(f"files.error.{'folder_for_file' if place.is_dir() else 'file_for_folder'}", file=place)
        if path.is_file():
            may_replace(place, path, fix=_ELSEWHERE)


def _commit(out: Path, stage: Path, replaces: tuple[str, ...]) -> None:
    made = {path.name for path in stage.iterdir()}
    gone = sorted(name for name in _names(replaces) if name not in made)
    (stage / _GONE).write_text(json.dumps(gone), encoding="utf-8")
    for path in (*stage.rglob("*"), stage):
        sync(path)
    _finish(out)
    os.rename(stage, out / READY)
    sync(out)
    _finish(out)


def finish_outputs(folder: StrPath) -> None:
    """Move a finished set of outputs into place, if one was left waiting."""
    if (Path(folder) / READY).is_dir():
        with alone(folder):
            _finish(Path(folder))


def _finish(out: Path) -> None:
    ready = out / READY
    if not ready.is_dir():
        return
    gone = ready / _GONE
    if gone.exists():
        for name in _names(json.loads(gone.read_text(encoding="utf-8"))):
            (out / name).unlink(missing_ok=True)
    for path in sorted(ready.rglob("*")):  # a folder comes before its content
        place = out / path.relative_to(ready)
        if path.is_dir():
            place.mkdir(exist_ok=True)
        elif path != gone:
            os.replace(path, place)
    sync(out)
    shutil.rmtree(ready)


def _names(names: Iterable[str]) -> list[str]:
    """Those that are plain names of files, leading nowhere else."""
    return [name for name in names if Path(name).name == name]


def _sweep(out: Path) -> None:
    """Remove what killed commands left half made."""
    for path in out.glob(f"{_NEW}*"):
        with contextlib.suppress(FileNotFoundError):  # another command is done with it
            if time.time() - path.stat().st_mtime > _LEFT_FOR_S:
                shutil.rmtree(path, ignore_errors=True)
