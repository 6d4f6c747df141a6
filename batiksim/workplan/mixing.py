"""What is mixed: stocks of dye, chemical water and pots, in one system's measures.

Dye is planned as a tutor mixes it. Each powder is dissolved in plain water as a stock that keeps without fixative;
full-strength solution has the dye book's grams per litre, or common practice's half a teaspoon to 50 ml. A pot of
strength 1 is full-strength solution and as much chemical water; of that it never has less than of dye, so for stronger
pots the stock is made so much stronger.
"""

import math
from collections.abc import Mapping, Sequence

from batiksim.cloth.areas import StepArea, StepAreas
from batiksim.values import BookDye, Design
from batiksim.workplan.figures import figure
from batiksim.workplan.measures import UNITS, System, measured, spoons
from batiksim.workplan.timetable_values import Lot
from batiksim.workplan.values import ChemicalWater, Mixes, PotMix, Stock, WorkshopRequest

# Chemical water is made in rounds of this, which takes about half a teaspoon of urea: 50 ml, a quarter cup, 2 fl oz.
CHEMICAL_STEPS_ML: dict[System, float] = {"metric": 50.0, "us": UNITS["US cup"] / 4, "imperial": 2 * UNITS["imp fl oz"]}


def mixes_in(
    design: Design,
    areas: StepAreas,
    request: WorkshopRequest,
    lots: Sequence[Lot],
    full: Mapping[str, float],
    system: System,
) -> Mixes:
    """Everything to mix. lots : of the timetable; full : grams per litre of each dye at full strength."""
    strongest = _strongest(design, areas)
    pots = tuple(
        _pot(design, name, lot, used, request, strongest, system)
        for lot in lots
        for name in lot.pots
        if (used := [reach for reach in _used_pots(areas) if reach.step in lot.steps and reach.pot == name])
    )
    sittings = dict.fromkeys(lot.sitting for lot in lots)
    waters = tuple(_water([lot for lot in lots if lot.sitting == one], pots, request, system) for one in sittings)
    wanted: dict[str, float] = {}
    for pot in pots:
        for dye, ml in pot.stocks:
            wanted[dye] = wanted.get(dye, 0.0) + ml
    stocks = tuple(_stock(dye, ml, full[dye], strongest[dye], system) for dye, ml in wanted.items())
    return Mixes(system=system, stocks=stocks, pots=pots, waters=waters)


def with_spare(request: WorkshopRequest) -> float:
    """How many times one maker's exact need is wanted in all."""
    return request.makers * (1.0 + request.waste)


def solution_ml(mm2: float) -> float:
    """What so much cloth drinks."""
    return mm2 / 1e6 * figure("ml_per_m2")


def grams_full(design: Design, book: Mapping[str, BookDye]) -> dict[str, float]:
    """Grams per litre of each dye at full strength."""
    practice = figure("powder_g_per_l")
    known = {name: entry.grams_per_litre for name, entry in book.items()}
    return {dye.name: known.get(dye.name) or practice for dye in design.dyes}


def _used_pots(areas: StepAreas) -> list[StepArea]:
    """Every painting that reaches any cloth at all."""
    return [reach for reach in areas.reaches if reach.work == "dye" and reach.mm2 > 0]


def _strongest(design: Design, areas: StepAreas) -> dict[str, float]:
    """How many times full strength each dye's stock must be, so that no pot has less chemical water than dye."""
    strongest: dict[str, float] = {}
    for reach in _used_pots(areas):
        loads = design.pot(reach.pot).loads()
        for dye, load in loads.items():
            if load > 0:
                strongest[dye] = max(strongest.get(dye, 1.0), sum(loads.values()))
    return strongest


def _pot(
    design: Design,
    name: str,
    lot: Lot,
    used: Sequence[StepArea],
    request: WorkshopRequest,
    strongest: Mapping[str, float],
    system: System,
) -> PotMix:
    mm2 = sum(reach.mm2 for reach in used)
    need = solution_ml(mm2) * with_spare(request)
    each = measured(need / request.makers, "volume", system).amount
    ml = measured(each * request.makers, "volume", system).amount
    dyes = ml * (1.0 - figure("least_chemical_share"))
    exact = {dye: dyes * load / strongest[dye] for dye, load in design.pot(name).loads().items() if load > 0}
    stocks = tuple((dye, measured(part, "volume", system).amount) for dye, part in exact.items())
    chemical = measured(max(ml - sum(exact.values()), sum(part for _, part in stocks)), "volume", system).amount
    return PotMix(
        pot=name,
        lot=lot.number,
        steps=tuple(dict.fromkeys(reach.step for reach in used)),
        mm2=mm2,
        need_ml=need,
        each_ml=each,
        ml=sum(part for _, part in stocks) + chemical,
        stocks=stocks,
        chemical_ml=chemical,
    )


def _water(lots: Sequence[Lot], pots: Sequence[PotMix], request: WorkshopRequest, system: System) -> ChemicalWater:
    numbers = [lot.number for lot in lots]
    need = sum(pot.chemical_ml for pot in pots if pot.lot in numbers)
    step = CHEMICAL_STEPS_ML[system]
    ml = measured(math.ceil(need / step - 1e-9) * step, "volume", system).amount

    def grams(what: str, wanted: bool = True) -> float:
        each = figure(f"{what}_g_per_tsp")
        return spoon_grams(ml / 1000 * figure(f"{what}_tsp_per_l") * each, each, system) if wanted else 0.0

    return ChemicalWater(
        sitting=lots[0].sitting,
        steps=tuple(sorted({step for lot in lots for step in lot.steps})),
        need_ml=need,
        ml=ml,
        urea_g=grams("urea"),
        soda_g=grams("soda", not request.presoak),
        softener_g=grams("softener", request.hard_water),
    )


def spoon_grams(grams: float, grams_per_tsp: float, system: System = "metric") -> float:
    """Grams of powder in the level spoons that hold at least `grams`."""
    return spoons(grams, grams_per_tsp, system).amount / 5.0 * grams_per_tsp


def _stock(dye: str, ml: float, grams_full: float, times: float, system: System) -> Stock:
    """Spoons of powder for at least `ml` of stock, then as much water as keeps the strength, no weaker than request."""
    strength = grams_full * times
    water = measured(ml, "volume", system)
    each = figure("powder_g_per_tsp")
    powder = spoon_grams(water.amount / 1000 * strength, each, system)
    most = powder / strength * 1000
    more = measured(most, "volume", system)
    water_ml = more.amount if more.amount <= most * (1 + 1e-9) else max(water.amount, more.amount - more.step)
    need_g = ml / 1000 * strength
    return Stock(
        dye=dye, need_g=need_g, powder_g=powder, water_ml=water_ml, grams_per_litre=strength, grams_full=grams_full
    )
