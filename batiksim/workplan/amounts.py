"""From the areas that each step reaches to the amounts and times of a whole workshop."""

from collections.abc import Mapping, Sequence

from batiksim.cloth.areas import StepAreas
from batiksim.texts.catalogue import Message, say
from batiksim.values import BookDye, Design, Wax
from batiksim.workplan.figures import figure
from batiksim.workplan.measures import System, measured
from batiksim.workplan.mixing import grams_full, mixes_in, solution_ml, spoon_grams, with_spare
from batiksim.workplan.tasks import tasks_before, tasks_of, wax_tool
from batiksim.workplan.timetable import timetable
from batiksim.workplan.values import Bleach, Presoak, Stock, WaxUse, Workshop, WorkshopRequest


def plan_workshop(
    design: Design,
    areas: StepAreas,
    request: WorkshopRequest,
    *,
    book: Mapping[str, BookDye] | None = None,
    systems: Sequence[System] = ("metric",),
) -> Workshop:
    """Amounts and timetable of a design for so many makers.

    areas : of one cloth, from `survey_areas` with the design's program
    book : what dye books know of the design's dyes, by name; the rest goes by common practice
    systems : of measures to plan mixing in, metric first
    """
    pace = figure("learners_pace") if request.makers > 1 else 1.0
    times = timetable(
        tasks_of(design, areas, room_c=request.room_c, pace=pace),
        sessions=request.sessions_min,
        room_c=request.room_c,
        before=tasks_before(design, presoak=request.presoak),
        fixative_in_pots=not request.presoak,
    )
    full = grams_full(design, book or {})
    mixes = tuple(mixes_in(design, areas, request, times.lots, full, system) for system in systems)
    return Workshop(
        title=design.title,
        request=request,
        areas=areas,
        grams_per_m2=design.cloth.grams_per_m2,
        mixes=mixes,
        waxes=_waxes(design, areas, request),
        bleaches=_bleaches(areas, request),
        presoak=_presoak(design, areas, request) if request.presoak else None,
        times=times,
        notes=tuple(_notes(mixes[0].stocks, book or {})),
    )


def _waxes(design: Design, areas: StepAreas, request: WorkshopRequest) -> tuple[WaxUse, ...]:
    made = []
    for reach in areas.reaches:
        step = design.steps[reach.step - 1]
        if isinstance(step, Wax):
            need = reach.mm2 / 1e6 * figure("wax_g_per_m2") * with_spare(request)
            bees, paraffin = (measured(need * share, "weight").amount for share in (1 - step.paraffin, step.paraffin))
            tool = wax_tool(step, reach)
            made.append(
                WaxUse(step=reach.step, tool=tool, mm2=reach.mm2, need_g=need, beeswax_g=bees, paraffin_g=paraffin)
            )
    return tuple(made)


def _bleaches(areas: StepAreas, request: WorkshopRequest) -> tuple[Bleach, ...]:
    made = []
    for reach in areas.reaches:
        if reach.work == "discharge":
            ml = measured(solution_ml(reach.mm2) * with_spare(request), "volume").amount
            made.append(Bleach(step=reach.step, mm2=reach.mm2, ml=ml))
    return tuple(made)


def _presoak(design: Design, areas: StepAreas, request: WorkshopRequest) -> Presoak:
    cloth = cloth_piece_mm(areas)
    grams = cloth[0] * cloth[1] / 1e6 * design.cloth.grams_per_m2 * request.makers
    ml = measured(grams * figure("presoak_ml_per_g"), "volume").amount
    each = figure("soda_g_per_tsp")
    return Presoak(ml=ml, soda_g=spoon_grams(ml / 1000 * figure("presoak_g_per_l"), each), cloth_g=grams)


def cloth_piece_mm(areas: StepAreas) -> tuple[float, float]:
    """Width and height of the piece of cloth to cut: the picture and a margin for the frame."""
    margin = 2 * figure("margin_mm")
    return areas.width_mm + margin, areas.height_mm + margin


def _notes(stocks: Sequence[Stock], book: Mapping[str, BookDye]) -> list[Message]:
    if not stocks:
        return [say("workshop.note.no_dye")]
    notes = []
    guessed = tuple(stock.dye for stock in stocks if stock.dye not in book or book[stock.dye].grams_per_litre is None)
    if guessed:
        notes.append(say("workshop.note.guessed_powder", dyes=guessed))
    strong = tuple(
        say("workshop.note.strong_stock", dye=stock.dye, grams=round(stock.grams_per_litre))
        for stock in stocks
        if stock.grams_per_litre > figure("strong_g_per_l")
    )
    if strong:
        notes.append(say("workshop.note.strong_stocks", stocks=strong))
    return notes
