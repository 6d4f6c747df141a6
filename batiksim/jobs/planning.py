"""Amounts and times for a maker or a class."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from batiksim.cloth.areas import survey_areas
from batiksim.cloth.effects import as_drawn
from batiksim.cloth.program import compile_design
from batiksim.errors import BatikError
from batiksim.files import dyebooks
from batiksim.files.prices import PriceList, read_prices
from batiksim.files.replacing import replacing
from batiksim.jobs.projects import Progress, Project, open_design, silent
from batiksim.plan import workshop as workshops
from batiksim.plan.measures import systems
from batiksim.plan.shopping import Shopping, shopping_list
from batiksim.plan.timetable import read_sessions
from batiksim.plan.workshop_data import workshop_data as planned_data
from batiksim.sheets.documents import markdown, plain_text
from batiksim.sheets.workshop import workshop_blocks
from batiksim.values import BookDye

__all__ = ["PlannedWorkshop", "plan_workshop", "save_workshop", "workshop_data", "workshop_text"]


@dataclass(frozen=True, kw_only=True)
class PlannedWorkshop:
    """Amounts and times for a class, what to buy, and what was worked out because the design didn't say."""

    plan: workshops.Workshop
    shopping: Shopping
    assumed: tuple[str, ...]


def plan_workshop(
    path: str | os.PathLike[str] | Project,
    *,
    makers: int = 1,
    room_c: float = 20.0,
    sessions: str = "",
    measures: str = "metric",
    presoak: bool = False,
    hard_water: bool = False,
    waste: float | None = None,
    prices: str | os.PathLike[str] | None = None,
    progress: Progress = silent,
) -> PlannedWorkshop:
    """What a class of so many makers needs for a design, and how its time divides.

    sessions : "2x2h"; all in one go when left out; measures : "metric", "us", "imperial" or "all"
    waste : share on top of every amount; common practice's when left out; prices : a price list's file
    """
    asked = workshops.Asked(
        makers=makers,
        room_c=room_c,
        sessions=read_sessions(sessions) if sessions.strip() else (),
        presoak=presoak,
        hard_water=hard_water,
        waste=workshops.Asked.waste if waste is None else waste,
    )
    listed = PriceList() if prices is None else read_prices(prices)
    project = path if isinstance(path, Project) else open_design(path, progress=progress)
    design = as_drawn(project.design)
    areas = survey_areas(compile_design(design, project.dyes), project.masks, width_mm=design.cloth.width_mm)
    book, currency = _powders(project)
    plan = workshops.plan_workshop(design, areas, asked, book=book, systems=systems(measures))
    try:
        shopping = shopping_list(plan, packs=listed.packs, currency=listed.currency, book=book, book_currency=currency)
    except BatikError as error:
        raise error.in_file(prices) from None
    return PlannedWorkshop(plan=plan, shopping=shopping, assumed=project.assumed)


def _powders(project: Project) -> tuple[dict[str, BookDye], str]:
    """What the dye books of a design know of its dyes, and the first book's currency."""
    named = list(dict.fromkeys(dye.book for dye in project.design.dyes if dye.book is not None))
    books = {name: dyebooks.read_book(name if name == dyebooks.DEMO else project.folder / name) for name in named}
    known = {dye.name: books[dye.book].entry(dye.name) for dye in project.design.dyes if dye.book is not None}
    return known, next((book.currency for book in books.values() if book.currency), "")


def workshop_data(planned: PlannedWorkshop) -> dict[str, Any]:
    """A workshop as `workshop --json` prints it."""
    return planned_data(planned.plan, planned.shopping) | {"assumed": list(planned.assumed)}


def workshop_text(planned: PlannedWorkshop) -> str:
    """The workshop sheet as plain text."""
    return plain_text(workshop_blocks(planned.plan, planned.shopping))


def save_workshop(planned: PlannedWorkshop, out: str | os.PathLike[str]) -> None:
    """Write the workshop sheet as plain text (.txt) or Markdown (.md). Raises BatikError for other endings."""
    writers = {".txt": plain_text, ".md": markdown}
    ending = Path(out).suffix.lower()
    if ending not in writers:
        fix = "end its name in .txt or .md"
        raise BatikError("is no kind of sheet I write", field="--out", got=Path(out).name, fix=fix)
    with replacing(out) as file:
        file.write(writers[ending](workshop_blocks(planned.plan, planned.shopping)).encode())
