"""The part of the workshop sheet that stands beside the scales: stocks, chemical water, pots, wax, bleach."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from batiksim.sheets.documents import Block, Heading, Listing, Paragraph, Rows
from batiksim.texts.phrases import listed
from batiksim.texts.times import minutes_words
from batiksim.workshop.cautions import cautions_for
from batiksim.workshop.figures import figure
from batiksim.workshop.measures import System, amount_words, together_words
from batiksim.workshop.shopping import Shopping
from batiksim.workshop.values import ChemicalWater, PotMix, Stock, WaxUse, Workshop

_POT_NOTE = (
    "A pot at full strength is half stock of full strength, half chemical water; a paler one has more chemical water, "
    "a stronger one takes a stronger stock. There is never less chemical water than stock."
)
SYSTEM_NAMES: dict[System, str] = {"metric": "metric", "us": "US", "imperial": "imperial"}


@dataclass(frozen=True, kw_only=True)
class Writer:
    """A workshop and its shopping list, as they are written down. told : cautions told in full among what is mixed."""

    workshop: Workshop
    shopping: Shopping
    told: set[str] = field(default_factory=set)

    @property
    def systems(self) -> list[System]:
        """The measures to write amounts in, metric first."""
        return [mixes.system for mixes in self.workshop.mixes]

    def table(
        self, keys: Sequence[str], titles: Sequence[str], rows: Sequence[tuple[Sequence[str], Sequence[Sequence[str]]]]
    ) -> Rows:
        """A table with a line for each system of measures.

        rows : what a row is about, and then for each system its amounts; columns without any amount are left out
        """
        several = len(self.systems) > 1
        lines = []
        for about, amounts in rows:
            for place, (system, cells) in enumerate(zip(self.systems, amounts, strict=True)):
                first = about if place == 0 else [""] * len(about)
                lines.append([*first, *([SYSTEM_NAMES[system]] if several else []), *cells])
        heads = [*keys, *(["Measures"] if several else []), *titles]
        kept = [place for place in range(len(heads)) if place == 0 or any(line[place] for line in lines)]
        return Rows(
            titles=tuple(heads[place] for place in kept),
            rows=tuple(tuple(line[place] for place in kept) for line in lines),
        )


def caution_blocks(kinds: Sequence[str], told: set[str], *, again: bool = True) -> list[Block]:
    """The cautions of some kinds of work, then added to `told`; those told already by title alone, or not `again`."""
    found = {one.key: one for kind in kinds for one in cautions_for(kind)}
    points = [(f"Take care, {small(one.title)}", one.text) for key, one in found.items() if key not in told]
    old = [small(one.title) for key, one in found.items() if key in told]
    told.update(found)
    if old and again:
        points.append(("Take care again", f"{listed(old)}, as above."))
    return [Listing(points=tuple(points))] if points else []


def mixing_blocks(writer: Writer) -> list[Block]:
    """Everything to weigh, measure and mix."""
    parts = (_stocks, _presoak, _waters, _pots, _waxes, _bleaches)
    return [block for part in parts for block in part(writer)]


def small(title: str) -> str:
    """A title as it stands within a sentence."""
    return title[:1].lower() + title[1:]


def _powder(grams: float, system: System, what: str) -> str:
    return amount_words(grams, "powder", system, figure(f"{what}_g_per_tsp")) if grams > 0 else ""


def _stocks(writer: Writer) -> list[Block]:
    mixes = writer.workshop.mixes
    if not mixes[0].stocks:
        return []
    rows = [
        (
            [same[0].dye, _strength_words(same[0])],
            [
                [_powder(one.powder_g, system, "powder"), amount_words(one.water_ml, "volume", system)]
                for one, system in zip(same, writer.systems, strict=True)
            ],
        )
        for same in zip(*(one.stocks for one in mixes), strict=True)
    ]
    note = (
        "Paste each powder with a little of its plain water, then add the rest. No fixative goes in yet: lidded and "
        "cool, stocks keep for days. Spoons are level."
    )
    return [
        Heading(text="Mix ahead: dye stocks"),
        Paragraph(text=note),
        writer.table(("Dye", "Stock"), ("Powder", "Water"), rows),
        *caution_blocks(["powders"], writer.told),
    ]


def _strength_words(stock: Stock) -> str:
    times = stock.grams_per_litre / stock.grams_full
    return "full strength" if abs(times - 1) < 0.005 else f"{times:.3g} × full strength"


def _presoak(writer: Writer) -> list[Block]:
    soak = writer.workshop.presoak
    if soak is None:
        return []
    cells = [
        [amount_words(soak.ml, "volume", system), _powder(soak.soda_g, system, "soda")] for system in writer.systems
    ]
    note = (
        f"Soak all cloths for {figure('soak_min'):.0f} minutes before framing, wring them and let them dry. A cloth "
        "that you rinse in between is soaked again."
    )
    return [
        Heading(text="Mix ahead: fixative to soak in"),
        Paragraph(text=note),
        writer.table(("For",), ("Warm water", "Soda ash"), [(["all cloths"], cells)]),
        *caution_blocks(["soak"], writer.told),
    ]


def _waters(writer: Writer) -> list[Block]:
    workshop = writer.workshop
    if not workshop.mixes[0].waters:
        return []
    rows = [
        (
            [_for_words(writer, same[0].sitting, same[0].steps)],
            [_water_cells(one, system) for one, system in zip(same, writer.systems, strict=True)],
        )
        for same in zip(*(one.waters for one in workshop.mixes), strict=True)
    ]
    times = workshop.times
    note = (
        "The soda ash is in the cloth already, so mixed pots keep for days, lidded and cool."
        if workshop.presoak is not None
        else "Stir the soda ash in only when painting starts. Mix each pot when its step begins: from then on it is of "
        f"use for about {minutes_words(times.useful_min)} in this room, at full strength for about "
        f"{minutes_words(times.strong_min)}."
    )
    soda = [] if workshop.presoak is not None else caution_blocks(["fixative"], writer.told)
    table = writer.table(("For",), ("Water", "Urea", "Soda ash", "Softener"), rows)
    return [Heading(text="Chemical water"), Paragraph(text=note), table, *soda]


def _water_cells(water: ChemicalWater, system: System) -> list[str]:
    powders = (("urea", water.urea_g), ("soda", water.soda_g), ("softener", water.softener_g))
    return [amount_words(water.ml, "volume", system), *(_powder(grams, system, what) for what, grams in powders)]


def _lot_words(writer: Writer, number: int) -> str:
    times = writer.workshop.times
    lot = next(lot for lot in times.lots if lot.number == number)
    return _for_words(writer, lot.sitting, lot.steps)


def _for_words(writer: Writer, sitting: int, steps: Sequence[int]) -> str:
    told = ("step " if len(steps) == 1 else "steps ") + str(listed([str(step) for step in steps]))
    return f"session {sitting}, {told}" if len(writer.workshop.times.sittings) > 1 else told


def _pots(writer: Writer) -> list[Block]:
    workshop = writer.workshop
    if not workshop.pots:
        return []
    many = workshop.request.makers > 1
    rows = [
        (
            [same[0].pot, _lot_words(writer, same[0].lot)],
            [_pot_cells(one, system, many) for one, system in zip(same, writer.systems, strict=True)],
        )
        for same in zip(*(one.pots for one in workshop.mixes), strict=True)
    ]
    titles = ("Each", "All", "Mix for all") if many else ("Holds", "Mix")
    return [
        Heading(text="Mix each when its step begins: pots"),
        Paragraph(text=_POT_NOTE),
        writer.table(("Pot", "For"), titles, rows),
        *caution_blocks(["dye"], writer.told),
    ]


def _pot_cells(pot: PotMix, system: System, many: bool) -> list[str]:
    parts = [*pot.stocks, ("chemical water", pot.chemical_ml)]
    mix = ", ".join(f"{amount_words(ml, 'volume', system)} {what}" for what, ml in parts if ml > 0)
    each = [amount_words(pot.each_ml, "volume", system)] if many else []
    metric = system == "metric"  # there the parts' own sum, elsewhere the next measure that holds it
    whole = together_words(ml for _, ml in parts) if metric else amount_words(pot.ml, "volume", system)
    return [*each, whole, mix]


def _waxes(writer: Writer) -> list[Block]:
    workshop = writer.workshop
    if not workshop.waxes:
        return []
    rows = [
        (
            [f"step {use.step}", use.tool, f"{use.mm2 / 100:.0f} cm²"],
            [_wax_cells(use, system) for system in writer.systems],
        )
        for use in workshop.waxes
    ]
    share = f"One wax pot serves up to {figure('makers_per_wax_pot'):.0f}. " if workshop.request.makers > 1 else ""
    fill = f"{share}Each pot wants about {figure('wax_pot_g'):.0f} g more to dip into, which stays for the next cloth."
    titles = ("Waxing", "Tool", "Newly waxed, each")
    return [
        Heading(text="Wax"),
        writer.table(titles, ("Beeswax", "Paraffin"), rows),
        Paragraph(text=fill),
        *caution_blocks(["wax"], writer.told),
    ]


def _wax_cells(use: WaxUse, system: System) -> list[str]:
    grams = (use.beeswax_g, use.paraffin_g)
    return [amount_words(some, "weight", system) if some > 0 else "none" for some in grams]


def _bleaches(writer: Writer) -> list[Block]:
    bleaches = writer.workshop.bleaches
    if not bleaches:
        return []
    rows = [
        (
            [f"step {one.step}", f"{one.mm2 / 100:.0f} cm²"],
            [[amount_words(one.ml, "volume", system)] for system in writer.systems],
        )
        for one in bleaches
    ]
    return [
        Heading(text="Bleach"),
        writer.table(("Discharge", "Area, each"), ("Ready to use, as its label says",), rows),
        *caution_blocks(["discharge"], writer.told),
    ]
