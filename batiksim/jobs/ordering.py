"""Orders of colours, ranked, shown and kept."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import count
from numbers import Integral
from pathlib import Path
from typing import Any

import numpy as np

from batiksim import ordering
from batiksim.changes.new_masks import plain_stem, with_masks
from batiksim.cloth.dyes_on_cloth import cloth_dyes
from batiksim.cloth.program import design_masks
from batiksim.errors import BatikError
from batiksim.files import outputs, reports, sources
from batiksim.files.pictures import images
from batiksim.files.toml import designs, dyebooks
from batiksim.jobs.envelope import Origin
from batiksim.jobs.projects import Project, finished_cloth, open_design, open_source
from batiksim.jobs.results import PictureResult, masks_by_name
from batiksim.jobs.sources import Source, source_of
from batiksim.ordering import reasons as why
from batiksim.ordering import report
from batiksim.sheets.orders import orders_sheet
from batiksim.texts.catalogue import Message, say
from batiksim.texts.progress import Progress, silent
from batiksim.types import Bytes, StrPath
from batiksim.values import DAYLIGHT, Design, DyeBook, MaskUse
from batiksim.values.rules import Number

ORDERS_PX = 800  # width at which orders are tried, and previewed
_CHOOSE = Number(low=0, high=1000, whole=True, example=3, help="How many different pots.")
_BEST = Number(low=1, high=12, whole=True, example=5, help="How many orders to name.")


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class Ordered(PictureResult):
    """A design's orders of colours, ranked.

    Attributes
    ----------
    ranked : tuple of Ranked
        The orders, the best first; `designs` and `cloths` are in their order.
    found : Orders
        All that the search found.

    See Also
    --------
    orders : Makes one.
    """

    COLOURS_BY = DAYLIGHT

    found: ordering.Orders
    project: Project
    wanted: Bytes
    books: dict[str, Path]

    def __repr__(self) -> str:
        return f"<{len(self.ranked)} orders of {self.found.design.title!r}, the best with {self.points[0]:.1f} points>"

    @property
    def design(self) -> Design:
        """The design whose orders they are."""
        return self.project.design

    @property
    def ranked(self) -> tuple[ordering.Ranked, ...]:
        """The orders, the best first."""
        return self.found.ranked

    @property
    def points(self) -> tuple[float, ...]:
        """Of each order; fewer are better."""
        return tuple(one.found.points for one in self.ranked)

    @property
    def sequences(self) -> tuple[str, ...]:
        """The pots of each order, in words."""
        return tuple(str(report.sequence_words(self.found, one)) for one in self.ranked)

    @property
    def reasons(self) -> tuple[tuple[str, ...], ...]:
        """What speaks for and against each order, in words."""
        return tuple(tuple(map(str, why.reasons(self.found, one))) for one in self.ranked)

    @property
    def how(self) -> Message:
        """How the orders were looked for, in words."""
        return report.how_words(self.found)

    @property
    def standing(self) -> Message | str:
        """How the design's own order ranks among all, in words; "" where that isn't known."""
        return report.standing_words(self.found)

    @cached_property
    def plans(self) -> list[ordering.NewPlan]:
        """Each ranked order as a design with its masks."""
        return [ordering.order_plan(self.found, one, self.project.masks, self.wanted) for one in self.found.ranked]

    @property
    def designs(self) -> tuple[Design, ...]:
        """Each order as a design; `masks` has the pictures of those whose wax is drawn anew."""
        return tuple(plan.design for plan in self.plans)

    @property
    def masks(self) -> tuple[dict[str, Bytes], ...]:
        """The masks of each of `designs` by their names, uint8 (rows, cols), as small as the orders were tried at.

        A picture that the design reads in two ways is left out: one array can't be both.
        """
        return tuple(masks_by_name(plan.design, plan.masks) for plan in self.plans)

    @cached_property
    def cloths(self) -> list[Bytes]:
        """The finished cloth of each ranked order, uint8 (rows, cols, 3), sRGB."""
        return [finished_cloth(plan.design, plan.masks) for plan in self.plans]

    @cached_property
    def planned(self) -> Bytes:
        """The finished cloth of the design in its own order, alike."""
        return finished_cloth(self.project.design, self.project.masks, self.project.dyes)

    def picture(self) -> Bytes:
        """The sheet of previews.

        Returns
        -------
        ndarray
            The picture, sRGB uint8 (rows, cols, 3).
        """
        waxed = [plan.waxed for plan in self.plans]
        return orders_sheet(self.found, self.cloths, self.planned, waxed=waxed)

    def save(self, out: StrPath) -> tuple[str, ...]:
        """Write orders.png, the sheet of previews, and orders.json into a folder.

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
            When the folder can't be written to.
        """
        with outputs.output_set(out, spares=self.project.source.own) as stage:
            images.write_png(stage / "orders.png", self.picture())
            (stage / "orders.json").write_text(reports.report_text(self.data()), encoding="utf-8")
            return tuple(sorted(entry.name for entry in stage.iterdir()))

    def write(self, folder: StrPath, *, rank: int = 1) -> tuple[str, ...]:
        """Write one of the orders as a design of its own, with everything it needs.

        Parameters
        ----------
        folder : str or path-like
            A folder that holds none of these files yet.
        rank : int, default: 1
            Which order, from 1.

        Returns
        -------
        tuple of str
            The names of the files.

        Raises
        ------
        BatikError
            For a rank that isn't there, a design changed since, and a folder that holds one of these files.
        """
        return _write_order(self, folder, rank)

    @property
    def origin(self) -> Origin:
        """The design that it is of."""
        return self.project.origin

    def _data(self) -> dict[str, Any]:
        return ordering.orders_data(self.found)

    def words(self) -> str:
        """The orders in a sentence.

        Returns
        -------
        str
            In the language that is spoken.
        """
        return str(say("notebook.orders", title=self.design.title, best=self.sequences[0]))


def orders(
    design: StrPath | Design,
    *,
    folder: StrPath | None = None,
    masks: Mapping[str, Any] | None = None,
    choose: int | tuple[int, int] | None = None,
    book: StrPath | DyeBook | None = None,
    best: int = 5,
    tune: bool = False,
    derive: bool = False,
    progress: Progress = silent,
) -> Ordered:
    """Try every order of a design's pots, or every choice from its pots or a dye book, and rank them.

    Parameters
    ----------
    design : str, path-like or Design
        The design's folder, its .toml file, or a design in memory. What it wants (`Want`) counts most.
    folder, masks : optional
        Where the pictures of a design in memory are: see `preview`.
    choose : int or (int, int), optional
        How many different pots, or from and to; with a book, as many as the design has when left out.
    book : str, path-like or DyeBook, optional
        A dye book to choose from; "demo" is built in.
    best : int, default: 5
        How many orders to name, 1 to 12.
    tune : bool, default: False
        Thin or strengthen pots too.
    derive : bool, default: False
        Make wax masks anew for each order.
    progress : callable, optional
        Called with how far of how much, and what is being done. What it raises stops the work and passes through.

    Returns
    -------
    Ordered
        The orders, the best first.

    Raises
    ------
    BatikError
        For the design, its wants, and numbers that don't fit it.

    Examples
    --------
    >>> pots = [batiksim.Dye(name="straw", colour="#f2e08a"), batiksim.Dye(name="sky", colour="#3d9fb4")]
    >>> sun = np.zeros((60, 80))
    >>> sun[20:40, 30:50] = 1.0
    >>> steps = [batiksim.DyeBath(paints="sky"), batiksim.Wax(mask="sun"), batiksim.DyeBath(paints="straw")]
    >>> design = batiksim.Design(title="Sun", cloth=batiksim.Cloth(width_mm=200), dyes=pots, steps=steps)
    >>> batiksim.orders(design, masks={"sun": sun}).sequences[0]
    'straw, then sky'
    """
    best = _BEST.check(best, "best")
    project = open_design(design, folder=folder, masks=masks, width_px=ORDERS_PX, progress=progress)
    others, books = None, {}
    if book is not None:
        shelf = book if isinstance(book, DyeBook) else dyebooks.read_book(book)
        dyes = shelf.dyes
        if isinstance(book, DyeBook) and book.name != dyebooks.DEMO:  # it lies nowhere: its dyes stand for themselves
            dyes = tuple(replace(dye, book=None) for dye in dyes)
        others = cloth_dyes(project.design.cloth, dyes), dyes
        books = {} if isinstance(book, DyeBook) else {shelf.name: Path(book)}
    between = _between(choose)
    question = ordering.Question(choose=between, best=best, derive=derive, tune=tune)
    try:
        wanted = _want_masks(project.source, project.masks.shape[1:], width_px=ORDERS_PX)
        found = ordering.rank_orders(
            project.design, project.dyes, project.masks, question, wanted=wanted, book=others, progress=progress
        )
    except BatikError as error:
        if error.field in ("choose", "derive", "book"):
            raise
        with project.source.placed():
            raise
    return Ordered(found=found, project=project, wanted=wanted, books=books)


def _between(choose: int | tuple[int, int] | None) -> tuple[int, int] | None:
    if choose is None:
        return None
    pair = (choose, choose) if isinstance(choose, Integral) else choose
    if isinstance(choose, bool) or not isinstance(pair, Sequence) or isinstance(pair, str) or len(pair) != 2:
        raise TypeError(f"choose needs a whole number, or two, not {choose!r}")
    low, high = (int(_CHOOSE.check(number, "choose")) for number in pair)
    return low, high


def _want_masks(source: Source, shape: tuple[int, ...], *, width_px: int | None = None) -> Bytes:
    """The pictures of a design's wants, uint8 (pictures, rows, cols), of the masks' size."""
    found = []
    for use in ordering.want_pictures(source.design.wants):
        mask, _ = source.mask(use)
        mask = mask if width_px is None else images.reduced(mask, width_px)
        if mask.shape != shape:
            raise BatikError("jobs.error.want_size", field="want", got=use.picture)
        found.append(mask)
    return np.stack(found) if found else np.zeros((0, *shape), np.uint8)


def _write_order(ordered: Ordered, folder: StrPath, rank: int) -> tuple[str, ...]:
    found, source = ordered.found, ordered.project.source
    if not 1 <= rank <= len(found.ranked):
        raise BatikError("jobs.error.no_such_order", field="rank", got=rank, last=len(found.ranked))
    full = open_source(source if source.file is None else source_of(source.file, masks=source.given))
    if full.design != ordered.project.design:
        raise BatikError("jobs.error.ranked_before", file=source.file)
    wanted = _want_masks(source, full.masks.shape[1:])
    plan = ordering.order_plan(found, found.ranked[rank - 1], full.masks, wanted)
    masks = dict(zip(design_masks(plan.design), plan.masks, strict=True))
    masks |= dict(zip(ordering.want_pictures(plan.design.wants), wanted, strict=True))
    drawn = {use: mask for use, mask in masks.items() if use.picture in {*plan.made, *source.given}}
    kept = {use.picture for use in masks if use not in drawn}
    new = _pictures_of(drawn, kept)
    design = with_masks(plan.design, new)
    made = [use.picture for use in new.values()]
    with outputs.output_set(folder) as stage:
        for use, mask in drawn.items():
            images.write_png(stage / new[use].picture, 255 - mask, width_mm=design.cloth.width_mm)
        copied = sources.bring_along(design, source.folder or stage, stage, made=made, books=ordered.books)
        designs.write_design(design, stage)
        names = (designs.DESIGN_NAME, *made, *copied)
        sources.check_free(folder, names)
    return names


def _pictures_of(drawn: Iterable[MaskUse], kept: Iterable[str]) -> dict[MaskUse, MaskUse]:
    """Masks that are in memory as pictures of their own in a new folder: dark marks, by their names without folders.

    kept : names of pictures that go there as well
    """
    new: dict[MaskUse, MaskUse] = {}
    taken = {name.casefold() for name in kept}
    for use in drawn:
        stem = plain_stem(use.picture)
        tries = (f"{stem}.png" if number == 1 else f"{stem}-{number}.png" for number in count(1))
        picture = next(name for name in tries if name.casefold() not in taken)
        taken.add(picture.casefold())
        new[use] = MaskUse(picture=picture, marks="dark")
    return new
