"""Amounts and times for a maker or a class."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO

from batiksim.cloth.areas import survey_areas
from batiksim.cloth.effects.effective_masks import as_drawn
from batiksim.cloth.program import compile_design
from batiksim.cloth.stages import pot_hex
from batiksim.errors import in_file
from batiksim.files.pictures import images
from batiksim.files.toml import dyebooks
from batiksim.files.toml.reading import read_prices
from batiksim.jobs.projects import Progress, Project, open_design, own_files, silent, write_as
from batiksim.sheets.charts.timetable import time_chart
from batiksim.sheets.documents import Block, markdown, plain_text
from batiksim.sheets.workshop.blocks import workshop_blocks
from batiksim.sheets.workshop.pdf import block_data, blocks_pdf
from batiksim.texts.catalogue import Message, say, texts
from batiksim.types import Bytes, StrPath
from batiksim.values import MADE_BY, BookDye, PriceList
from batiksim.values.plain_data import plain, plain_data
from batiksim.workplan import amounts
from batiksim.workplan.cautions import CAUTIONS, DEFER
from batiksim.workplan.figures import FIGURES
from batiksim.workplan.measures import amount_words, systems
from batiksim.workplan.shopping import Shopping, shopping_list
from batiksim.workplan.values import USUAL_WORKSHOP, Workshop
from batiksim.workplan.values import WorkshopRequest as WorkshopRequest

CHART_MM = 297  # of an A4 page laid across


@dataclass(frozen=True, kw_only=True)
class PlannedWorkshop:
    """Amounts and times for a class, what to buy, and what was worked out because the design didn't say.

    colours : "#rrggbb" of each pot as it dries; measures : as asked for; own : files that the plan was made from
    """

    plan: Workshop
    shopping: Shopping
    assumed: tuple[Message, ...]
    colours: Mapping[str, str]
    measures: str
    own: tuple[Path, ...]

    @property
    def blocks(self) -> tuple[Block, ...]:
        """The sheet in words."""
        return workshop_blocks(self.plan, self.shopping)


def workshop(
    path: StrPath | Project,
    request: WorkshopRequest = USUAL_WORKSHOP,
    *,
    measures: str = "metric",
    prices: StrPath | None = None,
    progress: Progress = silent,
) -> PlannedWorkshop:
    """What a class of so many makers needs for a design, and how its time divides.

    measures : "metric", "us", "imperial" or "all"; prices : a price list's file
    """
    listed = PriceList() if prices is None else read_prices(prices)
    project = path if isinstance(path, Project) else open_design(path, progress=progress)
    design = as_drawn(project.design)
    areas = survey_areas(compile_design(design, project.dyes), project.masks, width_mm=design.cloth.width_mm)
    book, currency = _powders(project)
    plan = amounts.plan_workshop(design, areas, request, book=book, systems=systems(measures))
    with in_file(prices):
        shopping = shopping_list(plan, packs=listed.packs, currency=listed.currency, book=book, book_currency=currency)
    own = [*own_files(project), *([] if prices is None else [Path(prices)])]
    return PlannedWorkshop(
        plan=plan,
        shopping=shopping,
        assumed=project.assumed,
        colours={pot.pot: pot_hex(design, project.dyes, pot.pot) for pot in plan.pots},
        measures=measures.lower(),
        own=tuple(own),
    )


def _powders(project: Project) -> tuple[dict[str, BookDye], str]:
    """What the dye books of a design know of its dyes, and the first book's currency."""
    named = list(dict.fromkeys(dye.book for dye in project.design.dyes if dye.book is not None))
    books = {name: dyebooks.read_book(name if name == dyebooks.DEMO else project.folder / name) for name in named}
    known = {dye.name: books[dye.book].entry(dye.name) for dye in project.design.dyes if dye.book is not None}
    return known, next((book.currency for book in books.values() if book.currency), "")


def workshop_data(planned: PlannedWorkshop) -> dict[str, Any]:
    """A workshop as `workshop --json` prints it: in ml, g, mm2, mm and minutes."""
    plan, shopping = planned.plan, planned.shopping
    measures = [mixes.system for mixes in plan.mixes]
    items = [
        plain_data(item) | {"words": {system: str(amount_words(item.need, item.kind, system)) for system in measures}}
        for item in shopping.items
    ]
    unpriced = {} if shopping.priced else {"used": None, "pay": None}
    return plain_data(plan) | {
        "cloth": plain_data(plan.areas, without=("reaches", "waxed_mm2")),
        "reaches": plain(plan.areas.reaches),
        "shopping": plain_data(shopping) | unpriced | {"items": items},
        "mixes": {mixes.system: plain_data(mixes) for mixes in plan.mixes},
        "wax_pot_fill_g": dict(zip(("beeswax", "paraffin"), plan.pot_fill_g, strict=True)),
        "cautions": plain(CAUTIONS),
        "assumed": plain(planned.assumed),
        "defer": str(DEFER),
        "notes": plain((*plan.notes, *shopping.notes)),
        "figures": plain(tuple(FIGURES.values())),
    }


def workshop_text(planned: PlannedWorkshop) -> str:
    """The workshop sheet as plain text."""
    return plain_text(planned.blocks)


def workshop_parts(planned: PlannedWorkshop) -> list[dict[str, object]]:
    """The workshop sheet as plain data: headings, paragraphs, lists and tables in their order."""
    return [block_data(block) for block in planned.blocks]


def save_workshop(planned: PlannedWorkshop, out: StrPath) -> None:
    """Write the workshop sheet as what the ending of `out` says.

    .pdf with the timetable drawn, .txt or .md the words alone, .png the timetable's chart alone
    errors : BatikError for other endings, and for a file that the plan is made from
    """
    makers: dict[str, Callable[[BinaryIO], object]] = {
        ".pdf": lambda file: file.write(_workshop_pdf(planned)),
        ".txt": lambda file: file.write(f"{plain_text(planned.blocks)}\n{MADE_BY}.\n".encode()),
        ".md": lambda file: file.write(f"{markdown(planned.blocks)}\n<!-- {MADE_BY} -->\n".encode()),
        ".png": lambda file: images.write_png(file, _chart(planned), width_mm=CHART_MM),
    }
    write_as(out, makers, own=planned.own)


def _chart(planned: PlannedWorkshop) -> Bytes:
    plan = planned.plan
    return time_chart(plan.title, plan.times, colours=planned.colours, makers=plan.request.makers)


def _workshop_pdf(planned: PlannedWorkshop) -> bytes:
    said = [
        say("jobs.timetable.session", number=sitting.number, tasks=[slot.task.title for slot in sitting.slots])
        for sitting in planned.plan.times.sittings
    ]
    return blocks_pdf(
        planned.blocks,
        chart=_chart(planned),
        chart_words=" ".join(map(str, (say("jobs.timetable.chart"), *said))),
        chart_before=texts()("workshop.timetable.title"),
        paper="letter" if planned.measures == "us" else "a4",
    )
