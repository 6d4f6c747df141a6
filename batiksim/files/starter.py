"""The starter: a small design with its masks, copied out of the package for a maker to begin from."""

from pathlib import Path

from batiksim.files.copies import check_free
from batiksim.files.outputs import output_set
from batiksim.types import StrPath

_STARTER = Path(__file__).resolve().parent.parent / "data" / "starter"


def starter_folder() -> Path:
    """Where the starter design lies inside the package; read it there, never write to it."""
    return _STARTER


def write_starter(folder: StrPath) -> tuple[str, ...]:
    """Copy the starter design into a folder, which is made if needed; nothing there is overwritten.

    returns : the names of the files written
    errors : BatikError when a file of that name is there already, or the folder can't be written to
    """
    names = sorted(path.name for path in _STARTER.iterdir() if path.is_file())
    check_free(folder, names)
    with output_set(folder) as stage:
        for name in names:
            (stage / name).write_bytes((_STARTER / name).read_bytes())
    return tuple(names)
