"""The maker's own files: what a design or a dye book is made of is never written over by what is made from it.

To another folder it is brought along: pictures as they are, dyes out of their books.
"""

import shutil
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path

from batiksim.errors import BatikError
from batiksim.files.made_by import check_replaceable
from batiksim.files.toml.designs import named_pictures, picture_path
from batiksim.files.toml.dyebooks import DEMO, read_book, write_book
from batiksim.types import StrPath
from batiksim.values import Design


def named_files(design: Design, folder: Path) -> list[Path]:
    """The files that a design in this folder names: pictures, spectra, dye books."""
    named = [use.picture for _, use in named_pictures(design)]
    named += [name for dye in design.dyes for name in (dye.spectrum, dye.book) if name is not None]
    return [folder / name for name in dict.fromkeys(named)]


def keep_apart(out: StrPath, own: Iterable[Path]) -> None:
    """BatikError when the file to write is one of the maker's `own` that it is made from, or isn't batiksim's."""
    if Path(out).resolve() in [path.resolve() for path in own]:
        raise BatikError("files.error.own_source", field="out", got=Path(out).name)
    check_replaceable(out)


def check_free(folder: StrPath, names: Iterable[str]) -> None:
    """Raise BatikError where a folder is a file, or holds one of these names already."""
    target = Path(folder)
    if target.exists() and not target.is_dir():
        raise BatikError("files.error.not_a_folder", file=target)
    for name in names:
        if (target / name).exists():
            raise BatikError("files.error.exists", file=target / name)


def bring_along(
    design: Design, source: Path, target: Path, *, made: Iterable[str] = (), books: Mapping[str, Path] | None = None
) -> tuple[str, ...]:
    """Copy what a design names into a new folder.

    source : the folder it comes from; made : pictures that are new, so not there
    books : dye books that lie elsewhere, by the name the design gives them
    returns : the names of the files copied; each dye book holds no more than the dyes used. Files that the design names
        by their whole path, in a shared folder, stay there
    """
    new = set(made)
    pictures = [use.picture for _, use in named_pictures(design)]
    spectra = [dye.spectrum for dye in design.dyes if dye.spectrum is not None]
    names = [name for name in dict.fromkeys([*pictures, *spectra]) if name not in new and not Path(name).is_absolute()]
    for name in names:
        path = picture_path(source, name) if name in pictures else source / name
        (target / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(path, target / name)
    used = dict.fromkeys(dye.book for dye in design.dyes if dye.book is not None and dye.book != DEMO)
    copied = [name for name in used if not Path(name).is_absolute()]
    for name in copied:
        book = read_book((books or {}).get(name, source / name), name=name)
        dye_names = {dye.name for dye in design.dyes if dye.book == name}
        entries = tuple(entry for entry in book.entries if entry.name in dye_names)
        (target / name).parent.mkdir(parents=True, exist_ok=True)
        write_book(replace(book, entries=entries), target / name)
    return (*names, *copied)
