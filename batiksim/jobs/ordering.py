"""Orders of colours, ranked, shown and kept."""

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np

from batiksim import ordering
from batiksim.cloth import masks as cloth_masks
from batiksim.cloth.dyes_on_cloth import cloth_dyes
from batiksim.cloth.program import design_masks
from batiksim.errors import BatikError, in_file
from batiksim.files import outputs, reports, sources
from batiksim.files.pictures import images
from batiksim.files.toml import designs, dyebooks
from batiksim.jobs.projects import Progress, Project, finished_cloth, open_design, own_files, silent
from batiksim.ordering import report
from batiksim.sheets.orders import orders_sheet
from batiksim.texts.catalogue import Message, say
from batiksim.types import Bytes, StrPath

ORDERS_PX = 800  # width at which orders are tried, and previewed


@dataclass(frozen=True, kw_only=True)
class Ordered:
    """A design's ranked orders.

    file : of the design; project, wanted : its masks and the pictures of its wants, reduced
    books : dye books that don't lie beside the design, by name
    """

    found: ordering.Orders
    file: Path
    project: Project
    wanted: Bytes
    books: dict[str, Path]

    @property
    def how(self) -> Message:
        """How the orders were looked for, in words."""
        return report.how_words(self.found)

    @property
    def standing(self) -> Message | str:
        """How the design's own order ranks among all, in words; "" where that isn't known."""
        return report.standing_words(self.found)

    @property
    def plans(self) -> list[ordering.NewPlan]:
        """Each ranked order as a design with its masks."""
        return [ordering.order_plan(self.found, one, self.project.masks, self.wanted) for one in self.found.ranked]

    @cached_property
    def cloths(self) -> list[Bytes]:
        """The finished cloth of each ranked order, uint8 (rows, cols, 3), sRGB."""
        return [finished_cloth(plan.design, plan.masks) for plan in self.plans]

    @cached_property
    def planned(self) -> Bytes:
        """The finished cloth of the design in its own order, alike."""
        return finished_cloth(self.project.design, self.project.masks, self.project.dyes)


def orders(
    path: StrPath,
    *,
    choose: tuple[int, int] | None = None,
    book: StrPath | None = None,
    best: int = 5,
    tune: bool = False,
    derive: bool = False,
    progress: Progress = silent,
) -> Ordered:
    """Try every order of a design's pots, or every choice from its pots or a dye book, and rank them.

    choose : how many different pots, from and to; with a book, as many as the design has when left out
    derive : make wax masks anew for each order; tune : thin or strengthen pots too
    errors : BatikError for the design, its wants, and numbers that don't fit it
    """
    project = open_design(path, width_px=ORDERS_PX, progress=progress)
    file, design = designs.design_file(path), project.design
    others, books = None, {}
    if book is not None:
        shelf = dyebooks.read_book(book)
        others = cloth_dyes(design.cloth, shelf.dyes), shelf.dyes
        books = {shelf.name: Path(book)}
    question = ordering.Question(choose=choose, best=best, derive=derive, tune=tune)
    with in_file(file, but=("choose", "derive", "book")):
        wanted = _want_masks(project, width_px=ORDERS_PX)
        found = ordering.rank_orders(design, project.dyes, project.masks, question, wanted=wanted, book=others)
    return Ordered(found=found, file=file, project=project, wanted=wanted, books=books)


def _want_masks(project: Project, *, width_px: int | None = None) -> Bytes:
    """The pictures of a design's wants, uint8 (pictures, rows, cols), of the masks' size."""
    shape = project.masks.shape[1:]
    found = []
    for use in ordering.want_pictures(project.design.wants):
        picture = images.read_picture(designs.picture_path(project.folder, use.picture))
        mask = cloth_masks.to_mask(picture.grey, picture.alpha, marks=use.marks, clean=use.clean).mask
        mask = mask if width_px is None else images.reduced(mask, width_px)
        if mask.shape != shape:
            raise BatikError("jobs.error.want_size", field="want", got=use.picture)
        found.append(mask)
    return np.stack(found) if found else np.zeros((0, *shape), np.uint8)


def orders_data(ordered: Ordered) -> dict[str, Any]:
    """Ranked orders as `orders --json` prints them."""
    return ordering.orders_data(ordered.found)


def save_orders(ordered: Ordered, out: StrPath) -> tuple[str, ...]:
    """Write orders.png, the sheet of previews, and orders.json into a folder; returns their names."""
    project, found = ordered.project, ordered.found
    cloths, waxed = ordered.cloths, [plan.waxed for plan in ordered.plans]
    with outputs.output_set(out, spares=[ordered.file, *own_files(project)]) as stage:
        images.write_png(stage / "orders.png", orders_sheet(found, cloths, ordered.planned, waxed=waxed))
        (stage / "orders.json").write_text(reports.report_text(orders_data(ordered)), encoding="utf-8")
        return tuple(sorted(entry.name for entry in stage.iterdir()))


def keep_orders(
    ordered: Ordered, *, out: StrPath | None = None, write_to: StrPath | None = None, rank: int = 1
) -> list[Message]:
    """Save the sheet of ranked orders, and one of them as a design, where a path is given; returns what was done."""
    done = []
    if out is not None:
        names = save_orders(ordered, out)
        done.append(say("jobs.orders.saved", names=names, folder=out))
    if write_to is not None:
        write_order(ordered, write_to, rank=rank)
        done.append(say("jobs.orders.written", rank=rank, folder=write_to, out=Path(write_to) / "preview"))
    return done


def write_order(ordered: Ordered, folder: StrPath, *, rank: int = 1) -> tuple[str, ...]:
    """Write one of the orders as a design of its own, with everything it needs; returns the names of its files.

    errors : BatikError for a rank that isn't there, a design changed since, and a folder that holds one of these files
    """
    found = ordered.found
    if not 1 <= rank <= len(found.ranked):
        raise BatikError("jobs.error.no_such_order", field="rank", got=rank, last=len(found.ranked))
    full = open_design(ordered.file)
    if full.design != ordered.project.design:
        raise BatikError("jobs.error.ranked_before", file=ordered.file)
    plan = ordering.order_plan(found, found.ranked[rank - 1], full.masks, _want_masks(full))
    uses = design_masks(plan.design)
    with outputs.output_set(folder) as stage:
        for use, mask in zip(uses, plan.masks, strict=True):
            if use.picture in plan.made:
                images.write_png(stage / use.picture, 255 - mask, width_mm=plan.design.cloth.width_mm)
        copied = sources.bring_along(plan.design, full.folder, stage, made=plan.made, books=ordered.books)
        designs.write_design(plan.design, stage)
        names = (designs.DESIGN_NAME, *plan.made, *copied)
        sources.check_free(folder, names)
    return names
