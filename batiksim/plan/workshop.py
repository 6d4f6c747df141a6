"""How much: from the areas that each step reaches to spoons of powder, millilitres of dye and grams of wax.

Dye is planned as a tutor mixes it. Each powder is dissolved in plain water as a stock that keeps without fixative; a
pot is stock and chemical water, and of that at least as much as stock. A pot of strength 1 holds the dye book's grams
per litre, or common practice's; stock is made so much stronger that the pot comes out right.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from batiksim.cloth.areas import Areas, Reach
from batiksim.errors import BatikError
from batiksim.plan.measures import UNITS, System, measured, spoons
from batiksim.plan.practice import figure
from batiksim.plan.stages import listed
from batiksim.plan.tasks import tasks_before, tasks_of, wax_tool
from batiksim.plan.timetable import Lot, Timetable, timetable
from batiksim.values import BookDye, Design, Discharge, Wax

__all__ = [
    "Asked",
    "Bleach",
    "ChemicalWater",
    "Mixes",
    "PotMix",
    "Presoak",
    "Stock",
    "WaxUse",
    "Workshop",
    "plan_workshop",
]

# Chemical water is made in rounds of this, which takes about half a teaspoon of urea: 50 ml, a quarter cup, 2 fl oz.
CHEMICAL_STEPS_ML: dict[System, float] = {
    "metric": 50.0,
    "us": UNITS["US cup"] / 4,
    "imperial": 2 * UNITS["imp fl oz"],
}


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What a workshop is planned for. sessions : minutes each, none = all in one go; waste : share on top, 0..2."""

    makers: int = 1
    room_c: float = 20.0
    sessions: tuple[float, ...] = ()
    presoak: bool = False
    hard_water: bool = False
    waste: float = figure("waste")

    def __post_init__(self) -> None:
        whole = isinstance(self.makers, int) and not isinstance(self.makers, bool)
        if not whole or not 1 <= self.makers <= 500:
            raise BatikError("needs a whole number", field="makers", got=self.makers, fix="use 1 to 500")
        for name, value, low, high in (("room", self.room_c, 5, 40), ("waste", self.waste, 0, 2)):
            if not math.isfinite(value) or not low <= value <= high:
                raise BatikError("out of range", field=name, got=value, fix=f"use a number from {low} to {high}")


@dataclass(frozen=True, kw_only=True)
class Stock:
    """A dye dissolved in plain water.

    need_g : powder in what the pots take of it; powder_g : what is measured out, in level spoons
    water_ml : to dissolve it in; grams_per_litre : strength of the stock; grams_full : of a pot of strength 1
    """

    dye: str
    need_g: float
    powder_g: float
    water_ml: float
    grams_per_litre: float
    grams_full: float


@dataclass(frozen=True, kw_only=True)
class PotMix:
    """One pot as it is mixed for one lot.

    need_ml : what the cloths drink, waste with it; each_ml : one maker's share, ml : all makers', both as measured
    stocks : (dye, ml); chemical_ml : chemical water; mm2 : open cloth of one maker that it paints
    """

    pot: str
    lot: int
    steps: tuple[int, ...]
    mm2: float
    need_ml: float
    each_ml: float
    ml: float
    stocks: tuple[tuple[str, float], ...]
    chemical_ml: float


@dataclass(frozen=True, kw_only=True)
class ChemicalWater:
    """Chemical water for one lot. soda_g is 0 where cloth was soaked in fixative, softener_g where water is soft."""

    lot: int
    need_ml: float
    ml: float
    urea_g: float
    soda_g: float
    softener_g: float


@dataclass(frozen=True, kw_only=True)
class Mixes:
    """What is mixed, measured throughout in one system's measures."""

    system: System
    stocks: tuple[Stock, ...]
    pots: tuple[PotMix, ...]
    waters: tuple[ChemicalWater, ...]


@dataclass(frozen=True, kw_only=True)
class WaxUse:
    """Wax of one step, for all makers: grams needed and as measured, of beeswax and of paraffin."""

    step: int
    tool: str
    mm2: float
    need_g: float
    beeswax_g: float
    paraffin_g: float


@dataclass(frozen=True, kw_only=True)
class Presoak:
    """Fixative to soak all cloths in before the first waxing."""

    ml: float
    soda_g: float
    cloth_g: float


@dataclass(frozen=True, kw_only=True)
class Bleach:
    """Bleach solution of one step, as its label says, for all makers."""

    step: int
    mm2: float
    ml: float


@dataclass(frozen=True, kw_only=True)
class Workshop:
    """Everything that a workshop needs, for all makers together where not said otherwise.

    mixes : one for each system of measures asked for, metric first
    """

    title: str
    asked: Asked
    areas: Areas
    grams_per_m2: float
    mixes: tuple[Mixes, ...]
    waxes: tuple[WaxUse, ...]
    bleaches: tuple[Bleach, ...]
    presoak: Presoak | None
    times: Timetable
    notes: tuple[str, ...]

    @property
    def pots(self) -> tuple[PotMix, ...]:
        """The pots in metric measures."""
        return self.mixes[0].pots

    @property
    def wax_pots(self) -> int:
        """Wax pots that the makers share."""
        return math.ceil(self.asked.makers / figure("makers_per_wax_pot")) if self.waxes else 0

    @property
    def pot_fill_g(self) -> tuple[float, float]:
        """Beeswax and paraffin that fill the wax pots, blended as on the cloth."""
        fill = figure("wax_pot_g") * self.wax_pots
        bees = sum(use.beeswax_g for use in self.waxes)
        whole = bees + sum(use.paraffin_g for use in self.waxes)
        share = bees / whole if whole > 0 else 0.5
        return fill * share, fill * (1 - share)


def plan_workshop(
    design: Design,
    areas: Areas,
    asked: Asked,
    *,
    book: Mapping[str, BookDye] | None = None,
    systems: Sequence[System] = ("metric",),
) -> Workshop:
    """Amounts and timetable of a design for so many makers.

    areas : of one cloth, from `survey_areas` with the design's program
    book : what dye books know of the design's dyes, by name; the rest goes by common practice
    systems : of measures to plan mixing in, metric first
    """
    pace = figure("learners_pace") if asked.makers > 1 else 1.0
    times = timetable(
        tasks_of(design, areas, room_c=asked.room_c, pace=pace),
        sessions=asked.sessions,
        room_c=asked.room_c,
        before=tasks_before(design, presoak=asked.presoak),
        fixative_in_pots=not asked.presoak,
    )
    full = _grams_full(design, book or {})
    mixes = tuple(_mixes(design, areas, asked, times.lots, full, system) for system in systems)
    return Workshop(
        title=design.title,
        asked=asked,
        areas=areas,
        grams_per_m2=design.cloth.grams_per_m2,
        mixes=mixes,
        waxes=_waxes(design, areas, asked),
        bleaches=_bleaches(design, areas, asked),
        presoak=_presoak(design, areas, asked) if asked.presoak else None,
        times=times,
        notes=tuple(_notes(mixes[0].stocks, book or {})),
    )


def _mixes(
    design: Design, areas: Areas, asked: Asked, lots: Sequence[Lot], full: Mapping[str, float], system: System
) -> Mixes:
    strongest = _strongest(design, areas)
    pots = tuple(
        _pot(design, name, lot, used, asked, strongest, system)
        for lot in lots
        for name in lot.pots
        if (used := [reach for step, reach in _used_pots(design, areas) if step in lot.steps and reach.pot == name])
    )
    waters = tuple(_water(lot.number, pots, asked, system) for lot in lots)
    stocks = _stocks(pots, full, strongest, system)
    return Mixes(system=system, stocks=stocks, pots=pots, waters=waters)


def _scale(asked: Asked) -> float:
    return asked.makers * (1.0 + asked.waste)


def _solution_ml(mm2: float) -> float:
    return mm2 / 1e6 * figure("ml_per_m2")


def _grams_full(design: Design, book: Mapping[str, BookDye]) -> dict[str, float]:
    """Grams per litre of each dye at full strength."""
    practice = figure("powder_g_per_l")
    known = {name: entry.grams_per_litre for name, entry in book.items()}
    return {dye.name: known.get(dye.name) or practice for dye in design.dyes}


def _used_pots(design: Design, areas: Areas) -> list[tuple[int, Reach]]:
    """Every painting that reaches any cloth at all, with its step."""
    return [(reach.step, reach) for reach in areas.reaches if reach.work == "dye" and reach.mm2 > 0]


def _strongest(design: Design, areas: Areas) -> dict[str, float]:
    """How many times as strong as a pot of strength 1 each dye's stock is, so that pots are half chemical water."""
    strongest: dict[str, float] = {}
    stock_share = 1.0 - figure("least_chemical_share")
    for _, reach in _used_pots(design, areas):
        loads = design.pot(reach.pot).loads()
        times = max(1.0, sum(loads.values()) / stock_share)
        for dye, load in loads.items():
            if load > 0:
                strongest[dye] = max(strongest.get(dye, 1.0), times)
    return strongest


def _pot(
    design: Design,
    name: str,
    lot: Lot,
    used: Sequence[Reach],
    asked: Asked,
    strongest: Mapping[str, float],
    system: System,
) -> PotMix:
    mm2 = sum(reach.mm2 for reach in used)
    need = _solution_ml(mm2) * _scale(asked)
    ml = measured(need, "volume", system).amount
    exact = {dye: ml * load / strongest[dye] for dye, load in design.pot(name).loads().items() if load > 0}
    stocks = tuple((dye, measured(part, "volume", system).amount) for dye, part in exact.items())
    chemical = max(ml - sum(exact.values()), sum(part for _, part in stocks))
    return PotMix(
        pot=name,
        lot=lot.number,
        steps=tuple(dict.fromkeys(reach.step for reach in used)),
        mm2=mm2,
        need_ml=need,
        each_ml=measured(need / asked.makers, "volume", system).amount,
        ml=ml,
        stocks=stocks,
        chemical_ml=measured(chemical, "volume", system).amount,
    )


def _water(lot: int, pots: Sequence[PotMix], asked: Asked, system: System) -> ChemicalWater:
    need = sum(pot.chemical_ml for pot in pots if pot.lot == lot)
    step = CHEMICAL_STEPS_ML[system]
    ml = measured(math.ceil(need / step - 1e-9) * step, "volume", system).amount

    def grams(what: str, wanted: bool = True) -> float:
        each = figure(f"{what}_g_per_tsp")
        return spoon_grams(ml / 1000 * figure(f"{what}_tsp_per_l") * each, each, system) if wanted else 0.0

    return ChemicalWater(
        lot=lot,
        need_ml=need,
        ml=ml,
        urea_g=grams("urea"),
        soda_g=grams("soda", not asked.presoak),
        softener_g=grams("softener", asked.hard_water),
    )


def spoon_grams(grams: float, grams_per_tsp: float, system: System = "metric") -> float:
    """Grams of powder in the level spoons that hold at least `grams`."""
    return spoons(grams, grams_per_tsp, system).amount / 5.0 * grams_per_tsp


def _stocks(
    pots: Sequence[PotMix], full: Mapping[str, float], strongest: Mapping[str, float], system: System
) -> tuple[Stock, ...]:
    wanted: dict[str, float] = {}
    for pot in pots:
        for dye, ml in pot.stocks:
            wanted[dye] = wanted.get(dye, 0.0) + ml
    return tuple(_stock(dye, ml, full[dye], strongest[dye], system) for dye, ml in wanted.items())


def _stock(dye: str, ml: float, grams_full: float, times: float, system: System) -> Stock:
    """Spoons of powder for at least `ml` of stock, then as much water as keeps the strength, no weaker than asked."""
    strength = grams_full * times
    water = measured(ml, "volume", system)
    each = figure("powder_g_per_tsp")
    powder = spoon_grams(water.amount / 1000 * strength, each, system)
    most = powder / strength * 1000
    more = measured(most, "volume", system)
    water_ml = more.amount if more.amount <= most * (1 + 1e-9) else max(water.amount, more.amount - more.step)
    return Stock(
        dye=dye,
        need_g=ml / 1000 * strength,
        powder_g=powder,
        water_ml=water_ml,
        grams_per_litre=strength,
        grams_full=grams_full,
    )


def _waxes(design: Design, areas: Areas, asked: Asked) -> tuple[WaxUse, ...]:
    made = []
    for number, step in enumerate(design.steps, start=1):
        if not isinstance(step, Wax):
            continue
        (reach,) = areas.of_step(number)
        need = reach.mm2 / 1e6 * figure("wax_g_per_m2") * _scale(asked)
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


def _bleaches(design: Design, areas: Areas, asked: Asked) -> tuple[Bleach, ...]:
    made = []
    for number, step in enumerate(design.steps, start=1):
        if isinstance(step, Discharge):
            (reach,) = areas.of_step(number)
            ml = measured(_solution_ml(reach.mm2) * _scale(asked), "volume").amount
            made.append(Bleach(step=number, mm2=reach.mm2, ml=ml))
    return tuple(made)


def _presoak(design: Design, areas: Areas, asked: Asked) -> Presoak:
    cloth = cloth_piece_mm(areas)
    grams = cloth[0] * cloth[1] / 1e6 * design.cloth.grams_per_m2 * asked.makers
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
            f"Powder goes by common practice, {figure('powder_g_per_l'):g} g to a litre at full strength, for "
            f"{listed(guessed)}: the dye's own sheet knows better. Put grams_per_litre into a dye book to use that."
        )
    strong = [one for one in stocks if one.grams_per_litre > figure("strong_g_per_l")]
    if strong:
        told.append(
            f"A stock of {listed([f'{one.dye} ({one.grams_per_litre:.0f} g/l)' for one in strong])} is more than "
            "dissolves with ease. Paste it well, strain it, and try it first."
        )
    return told
