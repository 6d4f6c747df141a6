"""The design file (format 1): a maker's folder becomes a Design, and a Design becomes a folder again.

Every mistake is one BatikError that says which file, which field, what was found and what to write instead.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

from batiksim.errors import BatikError, nearest
from batiksim.files.beside import PICTURE_ENDINGS, file_beside, nearest_file
from batiksim.files.replacing import replacing
from batiksim.files.spectra import read_spectrum
from batiksim.files.steps import read_step, step_entries
from batiksim.files.tables import Table, placed, read_toml
from batiksim.values import FORMAT, Cloth, Design, Dye, Pot

__all__ = ["DESIGN_NAME", "design_file", "picture_path", "read_design", "write_design"]

DESIGN_NAME = "design.toml"

_Samples = tuple[tuple[float, float], ...]


def read_design(path: str | os.PathLike[str]) -> Design:
    """Read a design and check that every file it names is there.

    path : the design's folder, or its .toml file
    returns : the design; pictures are named as in the file (`picture_path` finds them), spectra are read into the dyes
    errors : BatikError with file, field, what was found and the nearest valid choice
    """
    file = design_file(path)
    try:
        return _design(file, read_toml(file))
    except BatikError as error:
        raise error.in_file(file) from None


def design_file(path: str | os.PathLike[str]) -> Path:
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


def picture_path(design: str | os.PathLike[str], picture: str) -> Path:
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
        one.name
        for one in sorted(given.parent.iterdir())[:500]
        if one.suffix.lower() == ".toml" or (one / DESIGN_NAME).is_file()
    ]


def _design(file: Path, entries: Mapping[str, object]) -> Design:
    _check_format(entries)
    top = Table(entries, "", ("format", "title", "cloth", "dye", "pot", "step"))
    folder = file.parent
    return Design(
        title=top.text("title", example='title = "Tide pools"'),
        cloth=_cloth(top.table("cloth", example="[cloth] and under it width_mm = 450")),
        dyes=tuple(_dye(folder, entry, number) for number, entry in _numbered(top.tables("dye"))),
        pots=tuple(_pot(entry, number) for number, entry in _numbered(top.tables("pot"))),
        steps=tuple(read_step(folder, entry, f"step {number}") for number, entry in _numbered(top.tables("step"))),
    )


def _numbered(tables: list[Mapping[str, object]]) -> Iterator[tuple[int, Mapping[str, object]]]:
    return enumerate(tables, start=1)


def _check_format(entries: Mapping[str, object]) -> None:
    found = entries.get("format")
    if found is None:
        raise BatikError("is missing", field="format", fix=f"write format = {FORMAT} as the first line")
    if isinstance(found, bool) or found != FORMAT:
        raise BatikError(
            "is not a format that this batiksim reads", field="format", got=found, fix=f"write format = {FORMAT}"
        )


def _cloth(entries: Mapping[str, object]) -> Cloth:
    table = Table(entries, "cloth", ("width_mm", "colour", "grams_per_m2", "surface"))
    colour = table.text("colour", example='colour = "#f1ede2"') if "colour" in table else Cloth.colour
    return placed(
        "cloth",
        lambda: Cloth(
            width_mm=table.number("width_mm", example="width_mm = 450"),
            colour=colour,
            grams_per_m2=table.number("grams_per_m2", Cloth.grams_per_m2, example="grams_per_m2 = 120"),
            surface=table.number("surface", Cloth.surface, example="surface = 0.015"),
        ),
    )


def _no_dye_books(path: Path) -> _Samples:
    raise BatikError("dye books can't be read yet", got=path.name, fix='give the dye by its colour: colour = "#f0d92e"')


# What else than a colour can give a dye: the key, its reader, and what such files are called and end with.
_MEASURED: dict[str, tuple[Callable[[Path], _Samples], str, tuple[str, ...]]] = {
    "spectrum": (read_spectrum, "spectrum", (".csv", ".txt", ".tsv")),
    "book": (_no_dye_books, "dye book", (".toml",)),
}


def _dye(folder: Path, entries: Mapping[str, object], number: int) -> Dye:
    where = _called("dye", entries, number)
    table = Table(entries, where, ("name", "colour", *_MEASURED))
    name = table.text("name", example='name = "sun yellow"')
    sources = [key for key in ("colour", *_MEASURED) if key in table]
    if len(sources) != 1:
        raise BatikError(
            "needs exactly one of colour, spectrum or book",
            field=where,
            got=" and ".join(sources) or "none of them",
            fix='a colour is the simplest: colour = "#f0d92e"',
        )
    key = sources[0]
    value = table.text(key, example='colour = "#f0d92e"' if key == "colour" else f'{key} = "file name"')
    samples = () if key == "colour" else _samples(folder, where, key, value)
    colour, spectrum, book = (value if key == source else None for source in ("colour", "spectrum", "book"))
    return placed(where, lambda: Dye(name=name, colour=colour, spectrum=spectrum, book=book, samples=samples))


def _samples(folder: Path, where: str, key: str, name: str) -> _Samples:
    read, kind, endings = _MEASURED[key]
    return placed(f"{where}: {key}", lambda: read(file_beside(folder, name, kind=kind, endings=endings)))


def _pot(entries: Mapping[str, object], number: int) -> Pot:
    where = _called("pot", entries, number)
    table = Table(entries, where, ("name", "parts", "strength"))
    name = table.text("name", example='name = "leaf green"')
    parts = table.table("parts", example='parts = { "sun yellow" = 5, "sea blue" = 1 }')
    share = Table(parts, f"{where}: parts", parts)
    shares = {dye: share.number(dye, example=f'"{dye}" = 1') for dye in parts}
    return placed(
        where, lambda: Pot(name=name, parts=shares, strength=table.number("strength", 1.0, example="strength = 0.8"))
    )


def _called(kind: str, entries: Mapping[str, object], number: int) -> str:
    """How a maker would call this table: by its name where it has one, else by its number."""
    name = entries.get("name")
    return f"{kind} {name!r}" if isinstance(name, str) and name.strip() else f"{kind} {number}"


def write_design(design: Design, path: str | os.PathLike[str]) -> Path:
    """Write a design so that `read_design` gives the same design back; keys at their default are left out.

    path : a .toml file, or a folder (made if need be) that gets a design.toml; pictures and spectra are not copied
    returns : the file written
    errors : BatikError when it can't be written; an older file then stays as it was
    """
    given = Path(path)
    file = given if given.suffix.lower() == ".toml" and not given.is_dir() else given / DESIGN_NAME
    text = _toml(design)
    try:
        raw = text.encode()
        file.parent.mkdir(parents=True, exist_ok=True)
    except UnicodeEncodeError as error:
        raise BatikError(
            "has a letter that no text file can hold", file=file, got=ascii(error.object[error.start])
        ) from None
    except OSError as error:
        raise BatikError(
            "can't be written", file=file, got=error.strerror or error, fix="choose another folder"
        ) from None
    with replacing(file) as out:
        out.write(raw)
    return file


def _toml(design: Design) -> str:
    import tomlkit  # only writing needs it, and it is slow to import

    document = tomlkit.document()
    document["format"] = FORMAT
    document["title"] = design.title
    document["cloth"] = _table(_cloth_entries(design.cloth))
    for key, entries in (
        ("dye", [_dye_entries(dye) for dye in design.dyes]),
        ("pot", [_pot_entries(pot) for pot in design.pots]),
        ("step", [step_entries(step) for step in design.steps]),
    ):
        if entries:
            document[key] = tables = tomlkit.aot()
            for entry in entries:
                tables.append(_table(entry))
    return re.sub(r"\n{3,}", "\n\n", tomlkit.dumps(document)).rstrip("\n") + "\n"


def _table(entries: Mapping[str, object]) -> Any:
    """One TOML table with a blank line after it, tables inside it on one line."""
    import tomlkit

    table = tomlkit.table()
    for key, value in entries.items():
        table[key] = _item(value)
    table.add(tomlkit.nl())
    return table


def _item(value: object) -> Any:
    import tomlkit

    if isinstance(value, Mapping):
        inline = tomlkit.inline_table()
        for key, inner in value.items():
            inline[key] = _item(inner)
        return inline
    if isinstance(value, list):
        array = tomlkit.array()
        array.extend(_item(inner) for inner in value)
        return array.multiline(True)
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return tomlkit.item(int(value))
    return tomlkit.item(value)


def _cloth_entries(cloth: Cloth) -> dict[str, object]:
    entries: dict[str, object] = {"width_mm": cloth.width_mm}
    for key, default in (
        ("colour", Cloth.colour),
        ("grams_per_m2", Cloth.grams_per_m2),
        ("surface", Cloth.surface),
    ):
        if getattr(cloth, key) != default:
            entries[key] = getattr(cloth, key)
    return entries


def _dye_entries(dye: Dye) -> dict[str, object]:
    sources = {key: getattr(dye, key) for key in ("colour", *_MEASURED)}
    return {"name": dye.name} | {key: value for key, value in sources.items() if value is not None}


def _pot_entries(pot: Pot) -> dict[str, object]:
    return {"name": pot.name, "parts": dict(pot.parts)} | ({"strength": pot.strength} if pot.strength != 1 else {})
