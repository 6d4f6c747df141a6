"""The design file (format 1): a maker's folder becomes a Design, and a Design becomes a folder again.

Every mistake is one BatikError that says which file, which field, what was found and what to write instead.
"""

import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path

from batiksim.errors import BatikError, in_file, nearest
from batiksim.files.disk.replacing import replacing
from batiksim.files.disk.resolve import PICTURE_ENDINGS, file_beside, nearest_file
from batiksim.files.toml.dye_entries import build_up, build_up_entries
from batiksim.files.toml.dyebooks import DEMO, read_book, spectrum_beside
from batiksim.files.toml.rewriting import rewritten
from batiksim.files.toml.steps import read_step, step_entries
from batiksim.files.toml.tables import Table, called, check_format, placed, read_toml
from batiksim.files.toml.wishes import read_want, want_entries
from batiksim.files.toml.writing import as_bytes, stated, toml_text
from batiksim.types import StrPath
from batiksim.values import FORMAT, Cloth, Design, Dye, Pot

DESIGN_NAME = "design.toml"


def read_design(path: StrPath) -> Design:
    """Read a design and check that every file it names is there.

    path : the design's folder, or its .toml file
    returns : the design; pictures are named as in the file (`picture_path` finds them), spectra are read into the dyes
    errors : BatikError with file, field, what was found and the nearest valid choice
    """
    file = design_file(path)
    with in_file(file):
        return _design(file, read_toml(file))


def design_file(path: StrPath) -> Path:
    """The design's .toml file, whether the maker gave that or its folder; it exists."""
    given = Path(path)
    try:
        if given.is_dir():
            return _in_folder(given)
        if not given.is_file():
            fix = nearest(given.name, _designs_beside(given)) if given.parent.is_dir() else "check its name"
            raise BatikError("there is no such design", file=path, fix=fix)
    except (OSError, ValueError):
        raise BatikError("there is no such design", file=path, fix="check its name") from None
    if given.suffix.lower() != ".toml":
        raise BatikError("is not a design", file=path, fix=f"give a folder with {DESIGN_NAME} in it, or a .toml file")
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
        raise BatikError(f"has no {DESIGN_NAME} in it", file=folder, fix=fix)
    return file


def _designs_beside(given: Path) -> list[str]:
    """Names beside `given` that could be designs: .toml files and folders that hold one."""
    return [
        path.name
        for path in sorted(given.parent.iterdir())[:500]
        if path.suffix.lower() == ".toml" or (path / DESIGN_NAME).is_file()
    ]


_PARTS = ("cloth", "dye", "pot", "step", "want", "checks")


def _design(file: Path, entries: Mapping[str, object]) -> Design:
    check_format(entries)
    top = Table(entries, "", ("format", "title", "maker", "note", *_PARTS))
    folder = file.parent
    return Design(
        title=top.text("title", example='title = "Tide pools"'),
        cloth=_cloth(top.table("cloth", example="[cloth] and under it width_mm = 450")),
        dyes=tuple(_dye(folder, entry, number) for number, entry in _numbered(top.tables("dye"))),
        pots=tuple(_pot(entry, number) for number, entry in _numbered(top.tables("pot"))),
        steps=tuple(read_step(folder, entry, f"step {number}") for number, entry in _numbered(top.tables("step"))),
        skip_checks=_skipped(top) if "checks" in top else (),
        wants=tuple(read_want(folder, entry, number) for number, entry in _numbered(top.tables("want"))),
        maker=top.text("maker", example='maker = "Ada Weaver"') if "maker" in top else "",
        note=top.text("note", example='note = "Our cloth for two afternoons."') if "note" in top else "",
    )


def _skipped(top: Table) -> tuple[str, ...]:
    """The codes of checks that the design leaves out; whether there are such checks is for the checks to say."""
    example = 'skip = ["fit"]'
    table = Table(top.table("checks", example=f"[checks] and under it {example}"), "checks", ("skip",))
    codes = table.any("skip", example=example)
    if not isinstance(codes, list) or not all(isinstance(code, str) for code in codes):
        raise table.wrong("skip", "needs a list of checks", f"write {example}")
    return tuple(codes)


def _numbered(tables: list[Mapping[str, object]]) -> Iterator[tuple[int, Mapping[str, object]]]:
    return enumerate(tables, start=1)


def _cloth(entries: Mapping[str, object]) -> Cloth:
    table = Table(entries, "cloth", ("width_mm", "colour", "grams_per_m2", "surface"))
    colour = table.text("colour", example='colour = "#f1ede2"') if "colour" in table else None
    with placed("cloth"):
        return Cloth(
            width_mm=table.number("width_mm", example="width_mm = 450"),
            colour=colour,
            grams_per_m2=table.number("grams_per_m2", Cloth.grams_per_m2, example="grams_per_m2 = 120"),
            surface=table.number("surface", example="surface = 0.015") if "surface" in table else None,
        )


# What else than a colour can give a dye, and what such a key looks like.
_MEASURED = {"spectrum": 'spectrum = "blue.csv"', "book": 'book = "my-dyes.toml"'}


def _dye(folder: Path, entries: Mapping[str, object], number: int) -> Dye:
    where = called("dye", entries, number)
    table = Table(entries, where, ("name", "colour", *_MEASURED, "sample", "build_up"))
    name = table.text("name", example='name = "sun yellow"')
    sources = [key for key in ("colour", *_MEASURED) if key in table]
    if len(sources) != 1:
        raise BatikError(
            "needs exactly one of colour, spectrum or book",
            field=where,
            got=" and ".join(sources) or "none of them",
            fix='a colour is the simplest: colour = "#f0d92e"',
        )
    _only_with_spectrum(table)
    if "book" in table:
        return _book_dye(folder, table, name)
    colour = table.text("colour", example='colour = "#f0d92e"') if "colour" in table else None
    spectrum = table.text("spectrum", example=_MEASURED["spectrum"]) if colour is None else None
    samples = () if spectrum is None else spectrum_beside(folder, table)
    with placed(where):
        return Dye(
            name=name,
            colour=colour,
            spectrum=spectrum,
            sample=table.text("sample", example='sample = "A3"') if "sample" in table else None,
            samples=samples,
            build_up=build_up(table),
        )


def _only_with_spectrum(table: Table) -> None:
    if "sample" in table and "spectrum" not in table:
        raise BatikError("goes with a spectrum alone", field=table.where, got="sample", fix="leave it out")
    if "build_up" in table and "book" in table:
        raise BatikError("is what the book gives", field=table.where, got="build_up", fix="change it in the book")


def _book_dye(folder: Path, table: Table, name: str) -> Dye:
    """The dye of that name from a book in the design's folder, or from the built-in one."""
    book = table.text("book", example=_MEASURED["book"])
    with placed(f"{table.where}: book"):
        path = DEMO if book == DEMO else file_beside(folder, book, kind="dye book", endings=(".toml",))
        entries = read_book(path, name=book)
        with placed(f"dyes of {book}"):
            return entries.entry(name).dye(book)


def _pot(entries: Mapping[str, object], number: int) -> Pot:
    where = called("pot", entries, number)
    table = Table(entries, where, ("name", "parts", "strength", "ml", "drops"))
    name = table.text("name", example='name = "leaf green"')
    drops = _amounts(table, "drops", 'drops = { "navy" = 6 }') if "drops" in table else {}
    has_parts = "parts" in table or "drops" not in table  # chemical water that only gets drops may leave them out
    parts = _amounts(table, "parts", 'parts = { "sun yellow" = 5, "sea blue" = 1 }') if has_parts else {}
    with placed(where):
        return Pot(
            name=name,
            parts=parts,
            strength=table.number("strength", 1.0, example="strength = 0.8"),
            ml=table.number("ml", example="ml = 100") if "ml" in table else None,
            drops=drops,
        )


def _amounts(table: Table, key: str, example: str) -> dict[str, float]:
    amounts = table.table(key, example=example)
    inner = Table(amounts, f"{table.where}: {key}", amounts)
    return {dye: inner.number(dye, example=f'"{dye}" = 1') for dye in amounts}


def write_design(design: Design, path: StrPath, *, in_place: bool = False) -> Path:
    """Write a design so that `read_design` gives the same design back; keys at their default are left out.

    path : a .toml file, or a folder (made if need be) that gets a design.toml; pictures and spectra are not copied
    in_place : a design that is there is changed where it differs, so that the maker's comments and spacing stay
    returns : the file written
    errors : BatikError when it can't be written; an older file then stays as it was
    """
    given = Path(path)
    file = given if given.suffix.lower() == ".toml" and not given.is_dir() else given / DESIGN_NAME
    raw = as_bytes((_in_place(design, file) if in_place else None) or toml_text(_entries(design)), file)
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        fix = "choose another folder"
        raise BatikError("can't be written", file=file, got=error.strerror or error, fix=fix) from None
    with replacing(file) as out:
        out.write(raw)
    return file


def _in_place(design: Design, file: Path) -> str | None:
    """The file's text with the design's changes made in it; None where that can't be done."""
    try:
        old, target = _entries(_design(file, read_toml(file))), _entries(design)
        new = rewritten(file.read_bytes().decode(), old, target)
        # what the file says, not what its books say by now: one may have been learnt anew since the design was read
        return new if new is not None and _entries(_design(file, tomllib.loads(new))) == target else None
    except Exception:  # a text laid out in a way that can't be followed is written afresh: saving never fails for that
        return None


def _entries(design: Design) -> dict[str, object]:
    return {
        "format": FORMAT,
        **stated(design, "title", "maker", "note"),
        "cloth": stated(design.cloth, "width_mm", "colour", "grams_per_m2", "surface"),
        "dye": [_dye_entries(dye) for dye in design.dyes],
        "pot": [_pot_entries(pot) for pot in design.pots],
        "step": [step_entries(step) for step in design.steps],
        **({"want": [want_entries(want) for want in design.wants]} if design.wants else {}),
        **({"checks": {"skip": list(design.skip_checks)}} if design.skip_checks else {}),
    }


def _dye_entries(dye: Dye) -> dict[str, object]:
    if dye.book is not None:
        return {"name": dye.name, "book": dye.book}
    return stated(dye, "name", "colour", "spectrum", "sample") | build_up_entries(dye.build_up)


def _pot_entries(pot: Pot) -> dict[str, object]:
    parts = ("parts",) if pot.parts else ()
    return stated(pot, "name", *parts, "strength", "ml", "drops")
