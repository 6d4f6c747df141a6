"""Amounts and times for a maker or a class."""

from collections.abc import Callable, Mapping
from contextlib import nullcontext
from dataclasses import dataclass
from functools import partial
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
from batiksim.jobs.envelope import Origin
from batiksim.jobs.projects import Project, open_design, write_as
from batiksim.jobs.results import Result
from batiksim.sheets.charts.timetable import time_chart
from batiksim.sheets.documents import Block, markdown, plain_text
from batiksim.sheets.workshop.blocks import workshop_blocks
from batiksim.sheets.workshop.pdf import block_data, blocks_pdf
from batiksim.texts.catalogue import Message, say, texts
from batiksim.texts.progress import Progress, silent
from batiksim.types import Bytes, StrPath
from batiksim.values import MADE_BY, BookDye, Design, PriceList
from batiksim.values.plain_data import plain, plain_data, sentences
from batiksim.workplan import amounts
from batiksim.workplan.cautions import CAUTIONS, DEFER
from batiksim.workplan.figures import FIGURES
from batiksim.workplan.measures import amount_words, systems
from batiksim.workplan.shopping import Shopping, shopping_list
from batiksim.workplan.values import USUAL_WORKSHOP, Workshop
from batiksim.workplan.values import WorkshopRequest as WorkshopRequest

CHART_MM = 297  # of an A4 page laid across
NO_PRICES = PriceList()


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class PlannedWorkshop(Result):
    """Amounts and times for a class, and what to buy.

    Attributes
    ----------
    plan : Workshop
        Areas, pots, amounts in ml and g, and `times`, the timetable.
    shopping : Shopping
        What to buy, with prices where they are known.
    assumed : tuple of Message
        What was worked out because the design didn't say.
    colours : mapping of str to str
        "#rrggbb" of each pot as it dries.
    measures : str
        In which measures amounts are told.

    See Also
    --------
    workshop : Makes one.
    """

    project: Project
    plan: Workshop
    shopping: Shopping
    colours: Mapping[str, str]
    measures: str
    own: tuple[Path, ...]

    def __repr__(self) -> str:
        makers = self.plan.request.makers
        return f"<Workshop of {self.plan.title!r} for {makers}: {len(self.plan.pots)} pots>"

    @property
    def assumed(self) -> tuple[Message, ...]:
        """What was worked out because the design didn't say."""
        return self.project.assumed

    @property
    def blocks(self) -> tuple[Block, ...]:
        """The sheet in words."""
        return workshop_blocks(self.plan, self.shopping)

    @property
    def parts(self) -> list[dict[str, object]]:
        """The sheet as plain data: headings, paragraphs, lists and tables in their order."""
        return [block_data(block) for block in self.blocks]

    def text(self) -> str:
        """The workshop sheet as plain text.

        Returns
        -------
        str
            In the language that is spoken.
        """
        return plain_text(self.blocks)

    def save(self, out: StrPath) -> None:
        """Write the workshop sheet as what the ending says.

        .pdf with the timetable drawn, .txt or .md the words alone, .png the timetable's chart alone.

        Parameters
        ----------
        out : str or path-like
            The file to write.

        Raises
        ------
        BatikError
            For other endings, and for a file that the plan is made from.
        """
        write_as(out, {ending: partial(make, self) for ending, make in _SHEETS.items()}, own=self.own)

    @property
    def origin(self) -> Origin:
        """The design that it is of."""
        return self.project.origin

    def _data(self) -> dict[str, Any]:
        return _workshop_data(self)

    def _repr_markdown_(self) -> str:
        return markdown(self.blocks)


_SHEETS: dict[str, Callable[[PlannedWorkshop, BinaryIO], object]] = {
    ".pdf": lambda planned, file: file.write(_workshop_pdf(planned)),
    ".txt": lambda planned, file: file.write(f"{planned.text()}\n{MADE_BY}.\n".encode()),
    ".md": lambda planned, file: file.write(f"{markdown(planned.blocks)}\n<!-- {MADE_BY} -->\n".encode()),
    ".png": lambda planned, file: images.write_png(file, _chart(planned), width_mm=CHART_MM),
}
SHEET_ENDINGS = tuple(_SHEETS)


def workshop(
    design: StrPath | Design,
    *,
    folder: StrPath | None = None,
    masks: Mapping[str, Any] | None = None,
    makers: int = 1,
    room_c: float = 20.0,
    sessions: str = "",
    presoak: bool = False,
    hard_water: bool = False,
    waste: float | None = None,
    measures: str = "metric",
    prices: StrPath | None = None,
    progress: Progress = silent,
) -> PlannedWorkshop:
    """What a class of so many makers needs for a design, and how its time divides.

    Parameters
    ----------
    design : str, path-like or Design
        The design's folder, its .toml file, or a design in memory.
    folder, masks : optional
        Where the pictures of a design in memory are: see `preview`.
    makers : int, default: 1
        How many make the cloth, 1 to 500.
    room_c : float, default: 20
        How warm the room is, in degrees Celsius, 5 to 40.
    sessions : str, optional
        How many sessions and how long, such as "2x2h"; all in one go when left out.
    presoak : bool, default: False
        Soak the cloth in soda ash first.
    hard_water : bool, default: False
        The water is hard: it needs softener.
    waste : float, optional
        Share on top of all amounts, 0 to 2.
    measures : {"metric", "us", "imperial", "all"}
        In which amounts are told.
    prices : str or path-like, optional
        A price list's file.
    progress : callable, optional
        Called with how far of how much, and what is being done. What it raises stops the work and passes through.

    Returns
    -------
    PlannedWorkshop
        Amounts, shopping and times.

    Raises
    ------
    BatikError
        For the design, the price list, and options that don't fit.

    Examples
    --------
    >>> dyes = [batiksim.Dye(name="sky", colour="#3d9fb4")]
    >>> steps = [batiksim.DyeBath(paints="sky")]
    >>> design = batiksim.Design(title="Sky", cloth=batiksim.Cloth(width_mm=300), dyes=dyes, steps=steps)
    >>> batiksim.workshop(design, makers=6)
    <Workshop of 'Sky' for 6: 1 pots>
    """
    request = request_of(makers, room_c, sessions, presoak, hard_water, waste)
    systems(measures)
    listed = NO_PRICES if prices is None else read_prices(prices)
    project = open_design(design, folder=folder, masks=masks, progress=progress)
    return plan_of(project, request, measures=measures, listed=listed, prices=prices)


def request_of(
    makers: int, room_c: float, sessions: str, presoak: bool, hard_water: bool, waste: float | None
) -> WorkshopRequest:
    """A class as the arguments of a job describe it. Raises BatikError naming the argument."""
    return WorkshopRequest(
        makers=makers,
        room_c=room_c,
        sessions=sessions,
        presoak=presoak,
        hard_water=hard_water,
        waste=USUAL_WORKSHOP.waste if waste is None else waste,
    )


def plan_of(
    project: Project,
    request: WorkshopRequest,
    *,
    measures: str = "metric",
    listed: PriceList = NO_PRICES,
    prices: StrPath | None = None,
) -> PlannedWorkshop:
    """The same of a design whose masks are read. listed : what things cost; prices : the file that says so."""
    design = as_drawn(project.design)
    areas = survey_areas(compile_design(design, project.dyes), project.masks, width_mm=design.cloth.width_mm)
    book, currency = _powders(project)
    plan = amounts.plan_workshop(design, areas, request, book=book, systems=systems(measures))
    with nullcontext() if prices is None else in_file(prices):
        shopping = shopping_list(plan, packs=listed.packs, currency=listed.currency, book=book, book_currency=currency)
    return PlannedWorkshop(
        project=project,
        plan=plan,
        shopping=shopping,
        colours={pot.pot: pot_hex(design, project.dyes, pot.pot) for pot in plan.pots},
        measures=measures.lower(),
        own=(*project.source.own, *([] if prices is None else [Path(prices)])),
    )


def _powders(project: Project) -> tuple[dict[str, BookDye], str]:
    """What the dye books of a design know of its dyes, and the first book's currency."""
    folder = project.source.folder
    named = list(dict.fromkeys(dye.book for dye in project.design.dyes if dye.book is not None))
    books = {
        name: dyebooks.read_book(name if folder is None or name == dyebooks.DEMO else folder / name)
        for name in named
        if folder is not None or name == dyebooks.DEMO  # a design in memory doesn't say where its books lie
    }
    known = {dye.name: books[dye.book].entry(dye.name) for dye in project.design.dyes if dye.book in books}
    return known, next((book.currency for book in books.values() if book.currency), "")


def _workshop_data(planned: PlannedWorkshop) -> dict[str, Any]:
    """In ml, g, mm2, mm and minutes."""
    plan, shopping = planned.plan, planned.shopping
    measures = [mixes.system for mixes in plan.mixes]
    items = [
        plain_data(item) | {"words": {system: str(amount_words(item.need, item.kind, system)) for system in measures}}
        for item in shopping.items
    ]
    unpriced = {} if shopping.priced else {"used": None, "pay": None}
    return plain_data(plan, without=("title",)) | {
        "cloth": plain_data(plan.areas, without=("reaches", "waxed_mm2")),
        "reaches": plain(plan.areas.reaches),
        "shopping": plain_data(shopping) | unpriced | {"items": items},
        "mixes": {mixes.system: plain_data(mixes) for mixes in plan.mixes},
        "wax_pot_fill_g": dict(zip(("beeswax", "paraffin"), plan.pot_fill_g, strict=True)),
        "cautions": plain(CAUTIONS),
        **sentences("assumed", planned.assumed),
        **sentences("defer", DEFER),
        **sentences("notes", (*plan.notes, *shopping.notes)),
        "figures": plain(tuple(FIGURES.values())),
    }


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
