"""Dye books (format 1): a maker's dyes in one TOML file, with where each colour comes from and how far it is to be
trusted. The book is written whole or not at all, and the one before is kept beside it.
"""

import dataclasses
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from batiksim.errors import BatikError, in_file, nearest
from batiksim.files.disk.locking import alone
from batiksim.files.disk.replacing import replacing
from batiksim.files.disk.resolve import file_beside
from batiksim.files.measurements.spectra import check_samples, read_spectrum
from batiksim.files.toml.reading import formatted, read_toml
from batiksim.files.toml.rewriting import changed_text
from batiksim.files.toml.writing import as_bytes, file_entries, toml_text
from batiksim.types import StrPath
from batiksim.values import BookDye, DyeBook
from batiksim.values.plain_data import LEFT_OUT
from batiksim.values.rules import placed

DEMO = "demo"
SPECTRUM_ENDINGS = (".csv", ".txt", ".tsv", ".cgats", ".it8", ".ti3")
_DEMO_FILE = Path(__file__).resolve().parents[2] / "data" / "demo_book.toml"
_TITLE = "My dyes"  # of a book that is new


@dataclass(frozen=True, kw_only=True)
class BookChanges:
    """What saving dyes did. Names of dyes: new ones, those that took an older one's place, those left as they were.

    book : as it is on disk now
    backup : the book before, or None where nothing changed or there was none
    """

    book: DyeBook = field(metadata=LEFT_OUT)
    added: tuple[str, ...]
    replaced: tuple[str, ...]
    kept: tuple[str, ...]
    backup: Path | None = field(metadata=LEFT_OUT)


def read_book(path: StrPath, *, name: str | None = None) -> DyeBook:
    """Read a dye book.

    Parameters
    ----------
    path : str or path-like
        Its .toml file, or "demo" for the built-in one.
    name : str, optional
        How a design calls it; the file's own name when left out.

    Returns
    -------
    DyeBook
        The dyes with what is known of them.

    Raises
    ------
    BatikError
        Naming file, field, what was found and what to write.

    Examples
    --------
    >>> batiksim.read_book("demo").entry("lemon").colour
    '#f3de3c'
    """
    if os.fspath(path) == DEMO:
        return _demo_book()
    file = _book_file(Path(path))
    with in_file(file):
        return _book(file, read_toml(file), name or file.name)


@cache
def _demo_book() -> DyeBook:
    """The built-in book, which never changes, read once."""
    with in_file(_DEMO_FILE):
        return _book(_DEMO_FILE, read_toml(_DEMO_FILE), DEMO)


def write_book(book: DyeBook, path: StrPath) -> Path | None:
    """Write a whole dye book; comments in an older file of that name are lost.

    Parameters
    ----------
    book : DyeBook
        The book.
    path : str or path-like
        Its .toml file.

    Returns
    -------
    Path or None
        The backup made of an older file, if there was one.

    Raises
    ------
    BatikError
        When it can't be written; an older file then stays as it was.

    Examples
    --------
    >>> batiksim.write_book(batiksim.read_book("demo"), "my-dyes.toml")
    >>> batiksim.read_book("my-dyes.toml").title
    'Demo dyes (invented)'
    """
    return _write(Path(path), toml_text(file_entries(book)))


def save_dyes(path: StrPath, dyes: Sequence[BookDye], *, overwrite: bool = False) -> BookChanges:
    """Put dyes into a book, made if need be. Other dyes, their order and the maker's comments stay.

    overwrite : a new dye takes the place of the old one in any case; else a dye stays as it is where its expected error
        is known and the new one's is larger or unknown, and one that was measured and says nothing of its error where
        the new one was fitted
    errors : BatikError as for reading and writing; nothing is written then
    """
    file = Path(path)
    check_book_name(file)
    DyeBook(name=file.name, title=_TITLE, entries=tuple(dyes))  # no name twice among the new ones
    _make_folder(file)
    with alone(file.parent):  # no one else's dyes are lost in between
        return _merged(file, dyes, overwrite)


def check_book_name(path: StrPath) -> None:
    """BatikError for a name that no design could call a book by: designs know books by .toml names, and "demo"."""
    if Path(path).suffix.lower() != ".toml":
        raise BatikError("files.error.book_name", field="book", got=Path(path).name)


def _merged(file: Path, dyes: Sequence[BookDye], overwrite: bool) -> BookChanges:
    old = read_book(file) if file.exists() else DyeBook(name=file.name, title=_TITLE)
    before = {dye.name: dye for dye in old.entries}
    dyes = [_with_facts(dye, before.get(dye.name)) for dye in dyes]
    kept = [dye.name for dye in dyes if before.get(dye.name) == dye]
    if not overwrite:
        kept += [dye.name for dye in dyes if dye.name in before and is_better(before[dye.name], dye)]
    taken = {dye.name: dye for dye in dyes if dye.name not in kept}
    backup = None
    if taken or not file.exists():
        entries = file_entries(dataclasses.replace(old, entries=tuple((before | taken).values())))
        backup = _write(file, changed_text(file, entries, lambda found: file_entries(_book(file, found, old.name))))
    return BookChanges(
        book=read_book(file),
        added=tuple(name for name in taken if name not in before),
        replaced=tuple(name for name in taken if name in before),
        kept=tuple(dict.fromkeys(dye.name for dye in dyes if dye.name in kept)),
        backup=backup,
    )


def is_better(old: BookDye, new: BookDye) -> bool:
    """Whether a dye in the book is surer than the one to take its place.

    So is one whose error is known and smaller, and a measured one whose error nobody stated, but beside another such.
    """
    if old.expected_error is None:
        return old.measured and not new.measured
    return new.expected_error is None or old.expected_error < new.expected_error


def _with_facts(new: BookDye, old: BookDye | None) -> BookDye:
    """A new calibration says nothing of the powder itself: what the book knows of that stays."""
    if old is None:
        return new
    grams = old.grams_per_litre if new.grams_per_litre is None else new.grams_per_litre
    price = old.price_per_100_g if new.price_per_100_g is None else new.price_per_100_g
    return dataclasses.replace(new, grams_per_litre=grams, price_per_100_g=price)


def is_design(path: StrPath) -> bool:
    """Whether a folder or .toml file is a design rather than a dye book: it has a cloth. Unreadable ones are not."""
    if os.fspath(path) == DEMO:
        return False  # even beside a folder of that name
    given = Path(path)
    try:
        return given.is_dir() or "cloth" in read_toml(given)
    except (BatikError, ValueError):
        return False


def backup_of(path: StrPath) -> Path:
    """Where the book before the last change is kept."""
    file = Path(path)
    return file.with_name(f"{file.name}.bak")


def _book_file(path: Path) -> Path:
    try:
        if path.is_file():
            return path
        there = [book.name for book in path.parent.glob("*.toml")][:200] if path.parent.is_dir() else []
    except (OSError, ValueError):
        there = []
    raise BatikError("files.error.no_such_book", file=path, fix=nearest(path.name, [*there, DEMO]))


def _book(file: Path, entries: Mapping[str, object], name: str) -> DyeBook:
    book = formatted(DyeBook, {"title": Path(name).stem, **entries}, name=name)
    return dataclasses.replace(book, entries=tuple(_measured(dye, file.parent) for dye in book.entries))


def _measured(dye: BookDye, folder: Path) -> BookDye:
    """The dye with its reflectance checked, from its file where it names one."""
    with placed(f"dye {dye.name!r}"):
        if dye.spectrum is not None:
            return dataclasses.replace(dye, samples=spectrum_beside(folder, dye.spectrum, dye.sample))
        with placed("reflectance"):
            return dataclasses.replace(dye, samples=check_samples(list(dye.samples))) if dye.samples else dye


def spectrum_beside(folder: Path, name: str, sample: str | None) -> tuple[tuple[float, float], ...]:
    """What a reflectance file in a folder holds. sample : which measurement, where it holds several."""
    with placed("spectrum"):
        return read_spectrum(file_beside(folder, name, kind="spectrum", endings=SPECTRUM_ENDINGS), sample)


def _make_folder(file: Path) -> None:
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BatikError("files.error.not_written", file=file, got=error.strerror) from None


def _write(file: Path, text: str) -> Path | None:
    """Write a book whole; an older one is first copied to its backup, which itself is replaced whole."""
    raw = as_bytes(text, file)
    _make_folder(file)
    try:
        before = file.read_bytes() if file.exists() else None
    except OSError as error:
        raise BatikError("files.error.not_written", file=file, got=error.strerror) from None
    if before == raw:
        return None
    if before is not None:
        with replacing(backup_of(file)) as out:
            out.write(before)
    with replacing(file) as out:
        out.write(raw)
    return None if before is None else backup_of(file)
