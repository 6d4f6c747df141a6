"""From the areas that each step reaches to the amounts and times of a whole workshop."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from batiksim.cloth.areas import Areas
from batiksim.texts.phrases import listed
from batiksim.values import BookDye, Design, Discharge, Wax
from batiksim.workshop.figures import figure
from batiksim.workshop.measures import System, measured
from batiksim.workshop.mixing import grams_full, mixes_in, solution_ml, spoon_grams, with_spare
from batiksim.workshop.tasks import tasks_before, tasks_of, wax_tool
from batiksim.workshop.timetable import timetable
from batiksim.workshop.values import Bleach, Presoak, Stock, WaxUse, Workshop, WorkshopRequest

__all__ = ["cloth_piece_mm", "plan_workshop"]


def plan_workshop(
    design: Design,
    areas: Areas,
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
        sessions=request.session_minutes,
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
        bleaches=_bleaches(design, areas, request),
        presoak=_presoak(design, areas, request) if request.presoak else None,
        times=times,
        notes=tuple(_notes(mixes[0].stocks, book or {})),
    )


def _waxes(design: Design, areas: Areas, request: WorkshopRequest) -> tuple[WaxUse, ...]:
    made = []
    for number, step in enumerate(design.steps, start=1):
        if not isinstance(step, Wax):
            continue
        (reach,) = areas.of_step(number)
        need = reach.mm2 / 1e6 * figure("wax_g_per_m2") * with_spare(request)
        made.append(
            WaxUse(
                step=number,
                tool=wax_tool(step, reach),
                mm2=reach.mm2,
                need_g=need,
                beeswax_g=measured(need * (1 - step.paraffin), "weight").amount,
                paraffin_g=measured(need * step.paraffin, "weight").amount,
            )
        )
    return tuple(made)


def _bleaches(design: Design, areas: Areas, request: WorkshopRequest) -> tuple[Bleach, ...]:
    made = []
    for number, step in enumerate(design.steps, start=1):
        if isinstance(step, Discharge):
            (reach,) = areas.of_step(number)
            ml = measured(solution_ml(reach.mm2) * with_spare(request), "volume").amount
            made.append(Bleach(step=number, mm2=reach.mm2, ml=ml))
    return tuple(made)


def _presoak(design: Design, areas: Areas, request: WorkshopRequest) -> Presoak:
    cloth = cloth_piece_mm(areas)
    grams = cloth[0] * cloth[1] / 1e6 * design.cloth.grams_per_m2 * request.makers
    ml = measured(grams * figure("presoak_ml_per_g"), "volume").amount
    each = figure("soda_g_per_tsp")
    return Presoak(ml=ml, soda_g=spoon_grams(ml / 1000 * figure("presoak_g_per_l"), each), cloth_g=grams)


def cloth_piece_mm(areas: Areas) -> tuple[float, float]:
    """Width and height of the piece of cloth to cut: the picture and a margin for the frame."""
    margin = 2 * figure("margin_mm")
    return areas.width_mm + margin, areas.height_mm + margin


def _notes(stocks: Sequence[Stock], book: Mapping[str, BookDye]) -> list[str]:
    if not stocks:
        return ["No dye reaches the cloth in this design."]
    told = []
    guessed = [one.dye for one in stocks if one.dye not in book or book[one.dye].grams_per_litre is None]
    if guessed:
        told.append(
            "Powder goes by common practice, half a level teaspoon to 50 ml of water at full strength, for "
            f"{listed(guessed)}: the dye's own sheet knows better. If it gives grams to a litre of full-strength "
            "solution, write them under the dye in a dye book, as grams_per_litre = 30, and plan with that book."
        )
    strong = [one for one in stocks if one.grams_per_litre > figure("strong_g_per_l")]
    if strong:
        told.append(
            f"A stock of {listed([f'{one.dye} ({one.grams_per_litre:.0f} g/l)' for one in strong])} is more than "
            "dissolves with ease. Paste it well, strain it, and try it first."
        )
    return told
