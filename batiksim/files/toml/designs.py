"""The design file (format 1): a maker's folder becomes a Design, and a Design becomes a folder again.

Every mistake is one BatikError that says which file, which field, what was found and what to write instead.
"""

from collections.abc import Container, Iterator, Mapping
from dataclasses import replace
from pathlib import Path

from batiksim.errors import BatikError, in_file, nearest
from batiksim.files.disk.replacing import replacing
from batiksim.files.disk.resolve import PICTURE_ENDINGS, file_beside, nearest_file
from batiksim.files.toml.dyebooks import DEMO, read_book, spectrum_beside
from batiksim.files.toml.reading import formatted, read_toml
from batiksim.files.toml.rewriting import changed_text
from batiksim.files.toml.writing import as_bytes, file_entries, toml_text
from batiksim.texts.catalogue import say
from batiksim.types import StrPath
from batiksim.values import Design, Dye, DyeBath, MaskUse, Wax
from batiksim.values.rules import placed

DESIGN_NAME = "design.toml"


def read_design(path: StrPath, *, given: Container[str] = ()) -> Design:
    """Read a design and check that every file it names is there.

    Parameters
    ----------
    path : str or path-like
        The design's folder, or its .toml file.
    given : container of str, optional
        Names of pictures that needn't be there, since they are given otherwise.

    Returns
    -------
    Design
        Pictures are named as in the file; spectra and books are read into its dyes.

    Raises
    ------
    BatikError
        With file, field, what was found and the nearest valid choice.

    Examples
    --------
    >>> batiksim.write_design(batiksim.Design(title="Tide", cloth=batiksim.Cloth(width_mm=300)), "tide").name
    'design.toml'
    >>> batiksim.read_design("tide").title
    'Tide'
    """
    file = design_file(path)
    with in_file(file):
        return _design(file, read_toml(file), given)


def design_file(path: StrPath) -> Path:
    """The design's .toml file, whether the maker gave that or its folder; it exists."""
    given = Path(path)
    try:
        if given.is_dir():
            return _in_folder(given)
        if not given.is_file():
            fix = nearest(given.name, _designs_beside(given)) if given.parent.is_dir() else None
            raise BatikError("files.error.no_such_design", file=path, fix=fix)
    except BatikError:
        raise
    except (OSError, ValueError):  # ValueError: a name that no file can have
        raise BatikError("files.error.no_such_design", file=path) from None
    if given.suffix.lower() != ".toml":
        raise BatikError("files.error.not_a_design", file=path, name=DESIGN_NAME)
    return given


def picture_path(design: StrPath, picture: str) -> Path:
    """The path of a mask picture that a design names.

    design : the design's folder or its .toml file
    picture : the name as the design gives it
    errors : BatikError when it isn't there or leads out of the folder
    """
    given = Path(design)
    folder = given if given.is_dir() else given.parent
    return file_beside(folder, picture, kind="picture", endings=PICTURE_ENDINGS)


def _in_folder(folder: Path) -> Path:
    file = folder / DESIGN_NAME
    if not file.is_file():
        fix = nearest_file(folder, DESIGN_NAME, "design", (".toml",))
        raise BatikError("files.error.no_design_in_it", file=folder, fix=fix, name=DESIGN_NAME)
    return file


def _designs_beside(given: Path) -> list[str]:
    """Names beside `given` that could be designs: .toml files and folders that hold one."""
    return [
        path.name
        for path in sorted(given.parent.iterdir())[:500]
        if path.suffix.lower() == ".toml" or (path / DESIGN_NAME).is_file()
    ]


def _design(file: Path, entries: Mapping[str, object], given: Container[str] = ()) -> Design:
    design = formatted(Design, entries)
    for place, use in named_pictures(design):
        if use.picture not in given:
            with placed(place):
                file_beside(file.parent, use.picture, kind="picture", endings=PICTURE_ENDINGS)
    return replace(design, dyes=tuple(_known(dye, file.parent) for dye in design.dyes))


def with_dyes_read(design: Design, folder: Path | None) -> Design:
    """A design made in memory, its dyes with what their reflectance files and books say; those read already stay.

    folder : where these lie; without one, BatikError for a dye that needs it
    """
    dyes = tuple(_known(dye, folder) if not dye.samples and _elsewhere(dye) else dye for dye in design.dyes)
    return design if dyes == design.dyes else replace(design, dyes=dyes)


def _elsewhere(dye: Dye) -> bool:
    """Whether a dye has yet to be read from a file or a book."""
    return dye.spectrum is not None or (dye.book is not None and dye.colour is None)


def named_pictures(design: Design) -> Iterator[tuple[str, MaskUse]]:
    """Every picture that a design names, with where it is named: "step 2: dye 1: where"."""
    for number, place, use in design.mask_places():
        step = design.steps[number - 1]
        if isinstance(step, DyeBath):
            yield f"step {number}: {'dye' if len(step.paints) == 1 else f'dye {place}'}: where", use
        else:
            yield f"step {number}: {'wax' if isinstance(step, Wax) else 'discharge'}", use
    for number, want in enumerate(design.wants, start=1):
        if want.where is not None:
            yield f"want {number if want.name is None else repr(want.name)}: where", want.where


def _known(dye: Dye, folder: Path | None) -> Dye:
    """The dye with what its reflectance file or its book says: one in the design's folder, or the built-in one."""
    with placed(f"dye {dye.name!r}"):
        if dye.spectrum is not None:
            return replace(dye, samples=spectrum_beside(_needed(folder, dye.spectrum), dye.spectrum, dye.sample))
        if dye.book is None:
            return dye
        with placed("book"):
            if dye.book == DEMO:
                book = read_book(DEMO)
            else:
                beside = _needed(folder, dye.book)
                book = read_book(file_beside(beside, dye.book, kind="dye book", endings=(".toml",)), name=dye.book)
            with placed(say("files.dyes_of", book=dye.book)):
                return book.entry(dye.name).dye(dye.book)


def _needed(folder: Path | None, name: str) -> Path:
    """The folder where a design's files lie. Raises BatikError for a design in memory that has none."""
    if folder is None:
        raise BatikError("files.error.which_folder", got=name)
    return folder


def write_design(design: Design, path: StrPath, *, in_place: bool = False) -> Path:
    """Write a design so that `read_design` gives the same design back; keys at their default are left out.

    Parameters
    ----------
    design : Design
        The design. Of a dye from a book, name and book are written; one of the built-in book that was changed
        since stands for itself.
    path : str or path-like
        A .toml file, or a folder (made if need be) that gets a design.toml. Pictures and spectra are not copied.
    in_place : bool, default: False
        Change a design that is there where it differs, so that the maker's comments and spacing stay.

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    BatikError
        When it can't be written; an older file then stays as it was.

    Examples
    --------
    >>> design = batiksim.Design(title="Tide", cloth=batiksim.Cloth(width_mm=300))
    >>> batiksim.write_design(design, "tide").name
    'design.toml'
    """
    given = Path(path)
    file = given if given.suffix.lower() == ".toml" and not given.is_dir() else given / DESIGN_NAME
    design = replace(design, dyes=tuple(map(_own_where_changed, design.dyes)))
    entries = file_entries(design)
    # what the file says, not what its books say by now: one may have been learnt anew since the design was read
    text = (
        changed_text(file, entries, lambda found: file_entries(_design(file, found)))
        if in_place
        else toml_text(entries)
    )
    raw = as_bytes(text, file)
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BatikError("files.error.no_folder", file=file, got=error.strerror or str(error)) from None
    with replacing(file) as out:
        out.write(raw)
    return file


def _own_where_changed(dye: Dye) -> Dye:
    """A dye of the built-in book by itself, where it is another by now. A maker's own book may have learnt anew."""
    if dye.book != DEMO or (dye.colour is None and not dye.samples):
        return dye
    known = {entry.name: entry.dye(DEMO) for entry in read_book(DEMO).entries}
    return dye if known.get(dye.name) == dye else replace(dye, book=None)
