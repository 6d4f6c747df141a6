"""A command's output files, replaced together: all new or all old, whatever happens in between.

New files are made in a hidden folder beside the old ones. When all are whole, that folder is renamed to `READY` in one
stroke: from then on the new set counts. Its files are then moved into place; should that be cut short, the next command
that writes there finishes it first.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

from batiksim.errors import BatikError

__all__ = ["finish_outputs", "output_set"]

READY = ".batiksim-ready"
_GONE = ".gone.json"


@contextlib.contextmanager
def output_set(folder: str | os.PathLike[str], *, replaces: tuple[str, ...] = ()) -> Iterator[Path]:
    """A folder to write new outputs into; they take their places in `folder` when the block ends well.

    replaces : names of files this command made there before; those it doesn't make again are removed
    errors : BatikError when the folder can't be written to; then, and when the block fails, the old files stay
    """
    out = Path(folder)
    made = not out.exists()
    try:
        out.mkdir(parents=True, exist_ok=True)
        finish_outputs(out)
        stage = Path(tempfile.mkdtemp(prefix=".batiksim-new-", dir=out))
    except OSError as error:
        raise BatikError(
            "can't be written to", file=out, got=error.strerror, fix="choose another folder with --out"
        ) from error
    try:
        yield stage
        _commit(out, stage, replaces)
    except OSError as error:
        raise BatikError(
            "can't be written to", file=out, got=error.strerror, fix="check its free space and rights"
        ) from error
    finally:
        shutil.rmtree(stage, ignore_errors=True)
        if made:
            with contextlib.suppress(OSError):
                out.rmdir()  # only when it stayed empty


def _commit(out: Path, stage: Path, replaces: tuple[str, ...]) -> None:
    made = {path.name for path in stage.iterdir()}
    gone = sorted(name for name in replaces if name not in made and Path(name).name == name)
    (stage / _GONE).write_text(json.dumps(gone), encoding="utf-8")
    for path in stage.iterdir():
        _sync(path)
    _sync(stage)
    finish_outputs(out)
    os.rename(stage, out / READY)
    finish_outputs(out)


def finish_outputs(folder: str | os.PathLike[str]) -> None:
    """Move a finished set of outputs into place, if one was left waiting."""
    out = Path(folder)
    ready = out / READY
    if not ready.is_dir():
        return
    gone = ready / _GONE
    if gone.exists():
        for name in json.loads(gone.read_text(encoding="utf-8")):
            (out / name).unlink(missing_ok=True)
    for path in sorted(ready.iterdir()):
        if path != gone:
            os.replace(path, out / path.name)
    _sync(out)
    shutil.rmtree(ready)


def _sync(path: Path) -> None:
    """Wait until the disk holds a file or folder, where the system can say so."""
    with contextlib.suppress(OSError):
        handle = os.open(path, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
