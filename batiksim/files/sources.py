"""The maker's own files: what a design or a dye book is made of is never written over by what is made from it."""

import contextlib
from collections.abc import Iterable
from pathlib import Path

from batiksim.errors import BatikError
from batiksim.files.made_by import check_replaceable
from batiksim.files.toml.designs import design_file, read_design
from batiksim.types import StrPath
from batiksim.values import Design


def named_files(design: Design, folder: Path) -> list[Path]:
    """The files that a design in this folder names: pictures, spectra, dye books."""
    wish_masks = [want.where for want in design.wants if want.where is not None]
    named = [use.picture for use in (*(use for _, use in design.mask_uses()), *wish_masks)]
    named += [name for dye in design.dyes for name in (dye.spectrum, dye.book) if name is not None]
    return [folder / name for name in dict.fromkeys(named)]


def source_files(source: StrPath) -> list[Path]:
    """The files that a design or a dye book is made of, itself among them; for "demo" no file that is there."""
    with contextlib.suppress(BatikError):
        file = design_file(source)
        return [file, *named_files(read_design(file), file.parent)]
    return [Path(source)]


def keep_apart(out: StrPath, own: Iterable[Path]) -> None:
    """BatikError when the file to write is one of the maker's `own` that it is made from, or isn't batiksim's."""
    if Path(out).resolve() in [path.resolve() for path in own]:
        raise BatikError("files.error.own_source", field="--out", got=Path(out).name)
    check_replaceable(out)
