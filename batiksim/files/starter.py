"""The starter: a small design with its masks, copied out of the package for a maker to begin from."""

from pathlib import Path

from batiksim.files.outputs import output_set
from batiksim.files.sources import check_free
from batiksim.files.toml.designs import DESIGN_NAME
from batiksim.types import StrPath

_DATA = Path(__file__).resolve().parent.parent / "data"
STARTER = _DATA / "starter"  # inside the package: read it there, never write to it
_SCHEMA = _DATA / "schemas" / "design.schema.json"


def new_design(folder: StrPath) -> tuple[str, ...]:
    """Copy the starter design into a folder, which is made if needed; nothing there is overwritten.

    The JSON Schema of designs goes with it: the design's first line names it, so that editors complete and check.

    Parameters
    ----------
    folder : str or path-like
        The folder of the new cloth.

    Returns
    -------
    tuple of str
        The names of the files written.

    Raises
    ------
    BatikError
        When a file of that name is there already, or the folder can't be written to.

    Examples
    --------
    >>> "design.toml" in batiksim.new_design("my-cloth")
    True
    """
    files = sorted([*(path for path in STARTER.iterdir() if path.is_file()), _SCHEMA], key=lambda path: path.name)
    names = tuple(path.name for path in files)
    check_free(folder, (DESIGN_NAME, *names))
    with output_set(folder) as stage:
        for path in files:
            (stage / path.name).write_bytes(path.read_bytes())
    return names
