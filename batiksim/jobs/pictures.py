"""A picture becomes a design: dyes, their order, what to wax before each, where to brush."""

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
from batiksim.errors import at_argument, in_file
from batiksim.files import outputs, reports, sources
from batiksim.files.pictures import images
from batiksim.files.toml import designs, dyebooks
from batiksim.jobs.envelope import Origin
from batiksim.jobs.projects import finished_cloth
from batiksim.jobs.results import PictureResult
from batiksim.picture_plan.design import DesignWithMasks, planned_design, pot_names
from batiksim.picture_plan.given_dyeings import design_dyeings, read_dyeings
from batiksim.picture_plan.palette import palette, pot_bath
from batiksim.picture_plan.plan import FromPictureOptions, PicturePlan, plan_picture
from batiksim.picture_plan.report import PictureReport, picture_report
from batiksim.sheets.from_picture import from_picture_sheet
from batiksim.texts.catalogue import Message, say
from batiksim.texts.progress import Progress, silent
from batiksim.types import Bytes, StrPath
from batiksim.values import DAYLIGHT, Cloth, Design, Dye, Pot
from batiksim.values.plain_data import plain, plain_data

MOST_PIXELS = 60_000_000  # its colours are grouped over the whole picture: 30 bytes a pixel
SHEET_PX = 1400  # width at which the finished cloth is shown
SHEET_NAME, DATA_NAME = "from-picture.png", "from-picture.json"


@dataclass(frozen=True, kw_only=True)
class FromPictureRequest(FromPictureOptions):
    """What a maker asks of a cloth made from a picture, besides what the planning itself needs.

    book : dye book, design, or "demo", whose dyes may be used; cloth : colour of the undyed cloth
    where : the dyeings in order, where only wax and brushing are to be found: a design, or "lemon 60% > navy"
    title : of the design; the picture's name when left out
    """

    book: StrPath = dyebooks.DEMO
    cloth: str | None = None
    where: str | None = None
    title: str | None = None


USUAL_PICTURE = FromPictureRequest()


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class DesignFromPicture(PictureResult):
    """A picture and the design made of it.

    Attributes
    ----------
    original : ndarray
        The picture, sRGB uint8 (rows, cols, 3).
    cloth : ndarray
        The finished cloth alike, at most 1400 pixels wide.
    plan : PicturePlan
        The dyeings in order, and the masks.
    report : PictureReport
        How near the cloth comes to the picture, and what it can't give.

    See Also
    --------
    from_picture : Makes one.
    """

    COLOURS_BY = DAYLIGHT

    original: Bytes
    plan: PicturePlan
    report: PictureReport
    names: list[list[str]]
    planned: DesignWithMasks
    cloth: Bytes
    colours: list[list[str]]
    folder: Path
    books: dict[str, Path]
    file: Path | None = None

    def __repr__(self) -> str:
        return f"<Design from a picture: {self.design.title!r}, {len(self.design.steps)} steps>"

    @property
    def design(self) -> Design:
        """The design; its pictures are `masks`."""
        return self.planned.design

    @property
    def masks(self) -> Mapping[str, Bytes]:
        """The masks by their names, uint8 (rows, cols), 255 where marked."""
        return self.planned.masks

    def picture(self) -> Bytes:
        """The picture beside the cloth, with pots and order.

        Returns
        -------
        ndarray
            The picture, sRGB uint8 (rows, cols, 3).
        """
        return from_picture_sheet(
            self.plan,
            self.report,
            title=self.design.title,
            names=self.names,
            colours=self.colours,
            picture=images.reduced(self.original, SHEET_PX),
            cloth=self.cloth,
        )

    def save(self, out: StrPath) -> tuple[str, ...]:
        """Write the design, its masks, from-picture.png and from-picture.json into a new folder.

        Parameters
        ----------
        out : str or path-like
            The folder to write into.

        Returns
        -------
        tuple of str
            The names of the files.

        Raises
        ------
        BatikError
            For a folder that holds one of these files already, or can't be written to.
        """
        with outputs.output_set(out) as stage:
            for name, mask in self.masks.items():
                images.write_png(stage / name, 255 - mask, width_mm=self.design.cloth.width_mm)
            copied = sources.bring_along(self.design, self.folder, stage, made=self.masks, books=self.books)
            designs.write_design(self.design, stage)
            images.write_png(stage / SHEET_NAME, self.picture())
            (stage / DATA_NAME).write_text(reports.report_text(self.data()), encoding="utf-8")
            names = (designs.DESIGN_NAME, *self.masks, SHEET_NAME, DATA_NAME, *copied)
            sources.check_free(out, names)
        return names

    @property
    def origin(self) -> Origin:
        """The design, at `file` where it was said where it goes."""
        return Origin(title=self.design.title, file=self.file)

    def _data(self) -> dict[str, Any]:
        return _from_picture_data(self)

    def words(self) -> str:
        """The design in a sentence.

        Returns
        -------
        str
            In the language that is spoken.
        """
        return str(say("notebook.from_picture", title=self.design.title))


@dataclass(frozen=True, kw_only=True)
class _Shelf:
    """Dyes to choose from, and pots that have names already."""

    cloth: Cloth
    dyes: tuple[Dye, ...]
    pots: Mapping[str, Pot] = field(default_factory=dict)
    folder: Path = Path()
    books: dict[str, Path] = field(default_factory=dict)
    dyeings: list[list[Pot]] | None = None


def from_picture(
    picture: StrPath | Bytes,
    *,
    dyes: StrPath = dyebooks.DEMO,
    steps: int = USUAL_PICTURE.steps,
    pots: int = USUAL_PICTURE.pots,
    width_mm: float = USUAL_PICTURE.width_mm,
    line_mm: float = USUAL_PICTURE.line_mm,
    cloth: str | None = None,
    where: str | None = None,
    title: str | None = None,
    out: StrPath | None = None,
    progress: Progress = silent,
) -> DesignFromPicture:
    """Plan a cloth that looks like a picture: its dyes, their order, what to wax before each, where to brush.

    Parameters
    ----------
    picture : str, path-like or ndarray
        A picture's file, or sRGB uint8 (rows, cols, 3).
    dyes : str or path-like, default: "demo"
        A dye book's .toml file, "demo" for the built-in book, or a design, whose dyes may be used.
    steps, pots : int
        At most so many dyeings, and pots in each.
    width_mm : float
        Real width of the cloth.
    line_mm : float
        The thinnest line that you can wax.
    cloth : str, optional
        Colour of the undyed cloth, "#rrggbb".
    where : str, optional
        The dyeings in order, where only wax and brushing are to be found: a design, or "lemon 60% > navy".
    title : str, optional
        Of the design; the picture's name when left out.
    out : str or path-like, optional
        Where the design will be saved, looked at before the work begins.
    progress : callable, optional
        Called with how far of how much, and what is being done. What it raises stops the work and passes through.

    Returns
    -------
    DesignFromPicture
        The design with its masks, and how near it comes.

    Raises
    ------
    BatikError
        For a picture or book that can't be read, and for numbers and names that don't fit.

    Examples
    --------
    >>> picture = np.full((60, 80, 3), (240, 220, 60), np.uint8)
    >>> picture[:, 40:] = (30, 60, 130)
    >>> made = batiksim.from_picture(picture, steps=2, width_mm=200, title="Two halves")
    >>> batiksim.preview(made.design, masks=made.masks).design.title
    'Two halves'
    """
    if not isinstance(dyes, str | os.PathLike):
        raise TypeError(f"dyes needs a path, not {type(dyes).__name__}")
    request = FromPictureRequest(
        book=dyes, steps=steps, pots=pots, width_mm=width_mm, line_mm=line_mm, cloth=cloth, where=where, title=title
    )
    if out is not None:
        sources.check_free(out, (designs.DESIGN_NAME, SHEET_NAME, DATA_NAME))
    progress(0, 10, say("jobs.progress.reading_the_picture"))
    rgb, smaller = _workable(_rgb(picture))
    shelf = _shelf(request)
    on_cloth = cloth_dyes(shelf.cloth, shelf.dyes)
    given = None if shelf.dyeings is None else tuple(tuple(map(pot_bath, dyeing)) for dyeing in shelf.dyeings)
    plan = plan_picture(rgb, on_cloth, request, given=given, progress=progress)
    if shelf.dyeings is None:
        names = pot_names(plan, [*on_cloth.dyes, *shelf.pots])
    else:
        names = [[pot.name for pot in dyeing] for dyeing in shelf.dyeings]
    report = picture_report(plan, on_cloth, names)
    report = replace(report, notes=(*smaller, *report.notes))
    if not title and isinstance(picture, str | os.PathLike):
        title = Path(picture).stem.replace("-", " ").replace("_", " ").strip()
    title = title or str(say("jobs.from_picture.title"))
    named = {pot.name: pot for dyeing in shelf.dyeings or () for pot in dyeing}
    planned = planned_design(plan, report, title=title, cloth=shelf.cloth, dyes=shelf.dyes, names=names, pots=named)
    cloth_as_searched = reckoned_cloth(shelf.cloth, planned.design.dyes, on_cloth.bare)
    planned = replace(planned, design=replace(planned.design, cloth=cloth_as_searched))
    progress(9, 10, say("jobs.progress.dyeing"))
    return DesignFromPicture(
        original=rgb,
        plan=plan,
        report=report,
        names=names,
        planned=planned,
        cloth=_finished(planned),
        colours=[[lab_to_hex(palette(on_cloth, ((bath,),))[1]) for bath in dyeing] for dyeing in plan.dyeings],
        folder=shelf.folder,
        books=shelf.books,
        file=None if out is None else Path(out) / designs.DESIGN_NAME,
    )


def _rgb(picture: StrPath | Bytes) -> Bytes:
    if isinstance(picture, str | os.PathLike):
        return images.read_rgb(picture)
    if not isinstance(picture, np.ndarray) or picture.dtype != np.uint8 or picture.shape[2:] != (3,):
        raise TypeError("picture needs a path, or an array of sRGB uint8 (rows, cols, 3)")
    return picture


def _workable(rgb: Bytes) -> tuple[Bytes, tuple[Message, ...]]:
    """The picture at a size that can be worked on, and what to know of that."""
    pixels = rgb.shape[0] * rgb.shape[1]
    if pixels <= MOST_PIXELS:
        return rgb, ()
    small = images.reduced(rgb, math.floor(rgb.shape[1] * math.sqrt(MOST_PIXELS / pixels)))
    size = say("jobs.pixels", wide=small.shape[1], high=small.shape[0])
    return small, (say("jobs.note.smaller_masks", size=size),)


def _shelf(request: FromPictureRequest) -> _Shelf:
    book, where = request.book, request.where
    if where is not None and (Path(where).exists() or where.strip().endswith(".toml")):
        shelf = _design_shelf(where, request)
        with in_file(designs.design_file(where)):
            return replace(shelf, dyeings=design_dyeings(designs.read_design(where)))
    if dyebooks.is_design(book):
        shelf = _design_shelf(book, request)
    else:
        read = dyebooks.read_book(book)
        books = {} if read.name == dyebooks.DEMO else {read.name: Path(book)}
        with at_argument("cloth"):
            cloth = Cloth(width_mm=request.width_mm, colour=request.cloth)
        shelf = _Shelf(cloth=cloth, dyes=read.dyes, books=books)
    if where is None:
        return shelf
    return replace(shelf, dyeings=read_dyeings(where, [dye.name for dye in shelf.dyes], shelf.pots))


def _design_shelf(path: StrPath, request: FromPictureRequest) -> _Shelf:
    design = designs.read_design(path)
    own = design.cloth.colour
    with at_argument("cloth"):
        cloth = replace(design.cloth, width_mm=request.width_mm, colour=own if request.cloth is None else request.cloth)
    pots = {pot.name: pot for pot in design.pots}
    return _Shelf(cloth=cloth, dyes=design.dyes, pots=pots, folder=designs.design_file(path).parent)


def _finished(planned: DesignWithMasks) -> Bytes:
    """The finished cloth of the design, reduced."""
    design = planned.design
    masks = [images.reduced(planned.masks[use.picture], SHEET_PX) for use in design_masks(design)]
    stack = np.stack(masks) if masks else np.zeros((0, SHEET_PX * 3 // 4, SHEET_PX), np.uint8)
    return finished_cloth(design, stack)


def _from_picture_data(made: DesignFromPicture) -> dict[str, Any]:
    """A picture's plan as data: strengths in full strengths, shares 0..1, in CIEDE2000."""
    plan = made.plan
    return {
        **plain_data(made.report),
        "dyeings": [
            {
                "waxed_before": waxed,
                "waxed_share": round(float(mask.mean()) / 255, 4),
                "pots": [
                    {"name": name, "dyes": plain(dict(bath), places=4)}
                    for name, bath in zip(named, dyeing, strict=True)
                ],
            }
            for dyeing, named, waxed, mask in zip(plan.dyeings, made.names, plan.waxed, plan.wax, strict=True)
        ],
        "regions": [
            plain_data(region) | {"pots": [made.names[at][pot] for at, pot in enumerate(region.pots)]}
            for region in made.report.regions
        ],
        "line_mm": plan.options.line_mm,
        "width_mm": plan.options.width_mm,
    }
