"""A picture taken apart into a design: dyes, their order, what to wax before each, where to brush."""

from __future__ import annotations

import math
import os
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np

from batiksim.cloth.dyes_on_cloth import cloth_dyes
from batiksim.cloth.program import design_masks
from batiksim.cloth.undyed import reckoned_cloth
from batiksim.colour.gamut import lab_to_hex
from batiksim.errors import BatikError
from batiksim.files import copies, outputs, reports
from batiksim.files.pictures import images
from batiksim.files.toml import designs, dyebooks
from batiksim.from_picture import design as designing
from batiksim.from_picture.data import separation_data as found_data
from batiksim.from_picture.given_dyeings import design_dyeings, read_dyeings
from batiksim.from_picture.palette import palette, pot_bath
from batiksim.from_picture.report import ToldSeparation, tell_separation
from batiksim.from_picture.separate import Asked, Separation, separate
from batiksim.jobs.projects import Progress, finished_cloth, silent
from batiksim.sheets.from_picture import separation_sheet
from batiksim.types import Bytes
from batiksim.values import Cloth, Design, Dye, Pot

__all__ = ["Separated", "save_separation", "separate_picture", "separation_data"]

MOST_PIXELS = 60_000_000  # its colours are grouped over the whole picture: 30 bytes a pixel
SHEET_PX = 1400  # width at which the finished cloth is shown
SHEET_NAME, DATA_NAME = "separation.png", "separation.json"


@dataclass(frozen=True, kw_only=True, eq=False)
class Separated:
    """A picture and the design made of it.

    cloth : the finished cloth, uint8 (rows, cols, 3), at most `SHEET_PX` wide; colours : "#rrggbb" of each pot alone
    folder : where dyes' files lie; books : dye books by the name the design gives them
    """

    picture: Bytes
    found: Separation
    told: ToldSeparation
    names: list[list[str]]
    made: designing.SeparatedDesign
    cloth: Bytes
    colours: list[list[str]]
    folder: Path
    books: dict[str, Path]


@dataclass(frozen=True, kw_only=True)
class _Shelf:
    """Dyes to choose from, and pots that have names already."""

    cloth: Cloth
    dyes: tuple[Dye, ...]
    pots: Mapping[str, Pot] = field(default_factory=dict)
    folder: Path = Path()
    books: dict[str, Path] = field(default_factory=dict)
    dyeings: list[list[Pot]] | None = None


def separate_picture(
    picture: str | os.PathLike[str],
    *,
    steps: int = 4,
    pots: int = 2,
    width_mm: float = 450.0,
    line_mm: float = 1.5,
    book: str | os.PathLike[str] = dyebooks.DEMO,
    cloth: str | None = None,
    where: str | None = None,
    title: str | None = None,
    out: str | os.PathLike[str] | None = None,
    progress: Progress = silent,
) -> Separated:
    """Plan a cloth that looks like a picture.

    steps, pots : most dyeings, and most pots side by side in one; line_mm : the finest line that will be waxed
    book : dye book, design, or "demo", whose dyes may be used; cloth : colour of the undyed cloth
    where : the dyeings in order, where only wax and brushing are to be found: a design, or "lemon 60% > navy"
    out : where the design will go, looked at before the work begins
    errors : BatikError for a picture or book that can't be read, and for numbers and names that don't fit
    """
    asked = Asked(steps=steps, pots=pots, width_mm=width_mm, line_mm=line_mm)
    if out is not None:
        copies.check_free(out, (designs.DESIGN_NAME, SHEET_NAME, DATA_NAME))
    progress(0, 10, "reading the picture")
    rgb, smaller = _workable(images.read_rgb(picture))
    shelf = _shelf(book, asked.width_mm, cloth, where)
    dyes = cloth_dyes(shelf.cloth, shelf.dyes)
    given = None if shelf.dyeings is None else tuple(tuple(map(pot_bath, one)) for one in shelf.dyeings)
    found = separate(rgb, dyes, asked, given=given, progress=progress)
    if shelf.dyeings is None:
        names = designing.pot_names(found, [*dyes.dyes, *shelf.pots])
    else:
        names = [[pot.name for pot in one] for one in shelf.dyeings]
    told = tell_separation(found, dyes, names)
    told = replace(told, notes=(*smaller, *told.notes))
    made = designing.separated_design(
        found,
        told,
        title=title or Path(picture).stem.replace("-", " ").replace("_", " ").strip() or "From a picture",
        cloth=shelf.cloth,
        dyes=shelf.dyes,
        names=names,
        pots={pot.name: pot for one in shelf.dyeings or () for pot in one},
    )
    cloth_as_searched = reckoned_cloth(shelf.cloth, made.design.dyes, dyes.bare)
    made = replace(made, design=replace(made.design, cloth=cloth_as_searched))
    progress(9, 10, "dyeing the cloth")
    return Separated(
        picture=rgb,
        found=found,
        told=told,
        names=names,
        made=made,
        cloth=_finished(made),
        colours=[[lab_to_hex(palette(dyes, ((bath,),))[1]) for bath in dyeing] for dyeing in found.plan],
        folder=shelf.folder,
        books=shelf.books,
    )


def _workable(rgb: Bytes) -> tuple[Bytes, tuple[str, ...]]:
    """The picture at a size that can be worked on, and what to know of that."""
    pixels = rgb.shape[0] * rgb.shape[1]
    if pixels <= MOST_PIXELS:
        return rgb, ()
    small = images.reduced(rgb, math.floor(rgb.shape[1] * math.sqrt(MOST_PIXELS / pixels)))
    return small, (
        f"Masks are {small.shape[1]} x {small.shape[0]} pixels: the picture is larger than can be worked on.",
    )


def _shelf(book: str | os.PathLike[str], width_mm: float, cloth: str | None, where: str | None) -> _Shelf:
    if where is not None and (Path(where).exists() or where.strip().endswith(".toml")):
        shelf = _design_shelf(where, width_mm, cloth)
        design = designs.read_design(where)
        try:
            return replace(shelf, dyeings=design_dyeings(design))
        except BatikError as error:
            raise error.in_file(designs.design_file(where)) from None
    if os.fspath(book) != dyebooks.DEMO and dyebooks.is_design(book):
        shelf = _design_shelf(book, width_mm, cloth)
    else:
        read = dyebooks.read_book(book)
        books = {} if read.name == dyebooks.DEMO else {read.name: Path(book)}
        shelf = _Shelf(cloth=Cloth(width_mm=width_mm, colour=cloth), dyes=read.dyes, books=books)
    if where is None:
        return shelf
    return replace(shelf, dyeings=read_dyeings(where, [dye.name for dye in shelf.dyes], shelf.pots))


def _design_shelf(path: str | os.PathLike[str], width_mm: float, cloth: str | None) -> _Shelf:
    design = designs.read_design(path)
    own = design.cloth
    return _Shelf(
        cloth=replace(own, width_mm=width_mm, colour=own.colour if cloth is None else cloth),
        dyes=design.dyes,
        pots={pot.name: pot for pot in design.pots},
        folder=designs.design_file(path).parent,
    )


def _finished(made: designing.SeparatedDesign) -> Bytes:
    """The finished cloth of the design, reduced."""
    design: Design = made.design
    masks = [images.reduced(made.masks[use.picture], SHEET_PX) for use in design_masks(design)]
    rows, cols = next(iter(made.masks.values())).shape if made.masks else (3, 4)
    stack = np.stack(masks) if masks else np.zeros((0, SHEET_PX * rows // cols, SHEET_PX), np.uint8)
    return finished_cloth(design, stack)


def save_separation(separated: Separated, out: str | os.PathLike[str]) -> tuple[str, ...]:
    """Write the design, its masks, separation.png and separation.json into a new folder; returns their names.

    errors : BatikError for a folder that holds one of these files already, or can't be written to
    """
    design, masks = separated.made.design, separated.made.masks
    with outputs.output_set(out) as stage:
        for name, mask in masks.items():
            images.write_png(stage / name, 255 - mask, width_mm=design.cloth.width_mm)
        copied = copies.bring_along(design, separated.folder, stage, made=masks, books=separated.books)
        designs.write_design(design, stage)
        sheet = separation_sheet(
            separated.found,
            separated.told,
            title=design.title,
            names=separated.names,
            colours=separated.colours,
            picture=images.reduced(separated.picture, SHEET_PX),
            cloth=separated.cloth,
        )
        images.write_png(stage / SHEET_NAME, sheet)
        (stage / DATA_NAME).write_text(reports.report_text(separation_data(separated)), encoding="utf-8")
        names = (designs.DESIGN_NAME, *masks, SHEET_NAME, DATA_NAME, *copied)
        copies.check_free(out, names)
    return names


def separation_data(separated: Separated) -> dict[str, Any]:
    """A separation as `separate --json` prints it."""
    return {"title": separated.made.design.title} | found_data(separated.found, separated.told, separated.names)
