"""The part of the workshop sheet to have beside the scales: stocks, chemical water, pots, wax, bleach."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

from batiksim.sheets.documents import Block, Heading, Listing, Paragraph, Rows
from batiksim.texts.catalogue import Message, say, texts
from batiksim.texts.phrases import listed, minutes_words
from batiksim.workplan.cautions import cautions_for
from batiksim.workplan.figures import figure
from batiksim.workplan.measures import System, amount_words
from batiksim.workplan.shopping import Shopping
from batiksim.workplan.tasks import area_words
from batiksim.workplan.timetable_values import steps_words
from batiksim.workplan.values import ChemicalWater, Mixes, PotMix, Stock, WaxUse, Workshop

Mixed = TypeVar("Mixed", Stock, ChemicalWater, PotMix)
Row = tuple[Sequence[str], Sequence[Sequence[str]]]  # what it is about, and for each system its amounts


@dataclass(frozen=True, kw_only=True)
class Writer:
    """A workshop and its shopping list, as they are written down. told : cautions already given in full."""

    workshop: Workshop
    shopping: Shopping
    told: set[str] = field(default_factory=set)

    @property
    def systems(self) -> list[System]:
        """The measures to write amounts in, metric first."""
        return [mixes.system for mixes in self.workshop.mixes]

    def rows(
        self,
        mixed: Callable[[Mixes], Sequence[Mixed]],
        about: Callable[[Mixed], Sequence[str]],
        cells: Callable[[Mixed, System], Sequence[str]],
    ) -> list[Row]:
        """What is mixed in every system of measures: what each is about, and its amounts in each system."""
        return [
            (about(same[0]), [cells(one, system) for one, system in zip(same, self.systems, strict=True)])
            for same in zip(*map(mixed, self.workshop.mixes), strict=True)
        ]

    def table(self, keys: Sequence[str], titles: Sequence[str], rows: Sequence[Row]) -> Rows:
        """A table with a line for each system of measures.

        rows : what a row is about, and then for each system its amounts; columns without any amount are left out
        """
        several = len(self.systems) > 1
        lines = []
        for about, amounts in rows:
            for place, (system, cells) in enumerate(zip(self.systems, amounts, strict=True)):
                first = about if place == 0 else [""] * len(about)
                lines.append([*first, *([texts()(f"workshop.system.{system}")] if several else []), *cells])
        heads = [*keys, *([texts()("workshop.sheet.measures")] if several else []), *titles]
        kept = [place for place in range(len(heads)) if place == 0 or any(line[place] for line in lines)]
        return Rows(
            titles=tuple(heads[place] for place in kept),
            rows=tuple(tuple(line[place] for place in kept) for line in lines),
        )


def caution_blocks(kinds: Sequence[str], told: set[str], *, again: bool = True) -> list[Block]:
    """The cautions of some kinds of work, then added to `told`; those told already by title alone, or not `again`."""
    tell = texts()
    cautions = cautions_for(*kinds)
    fresh = [caution for caution in cautions if caution.key not in told]
    old = tuple(caution.title for caution in cautions if caution.key in told)
    points = [(tell("workshop.sheet.care_lead", caution=caution.title), str(caution.text)) for caution in fresh]
    if old and again:
        points.append((tell("workshop.sheet.care_again_lead"), tell("workshop.sheet.care_again", cautions=old)))
    told.update(caution.key for caution in cautions)
    return [Listing(points=tuple(points))] if points else []


def mixing_blocks(writer: Writer) -> list[Block]:
    """Everything to weigh, measure and mix."""
    parts = (_stocks, _presoak, _waters, _pots, _waxes, _bleaches)
    return [block for part in parts for block in part(writer)]


def _section(
    writer: Writer, key: str, rows: Sequence[Row], *, said: str = "", below: str = "", heads: str = "", care: str = ""
) -> list[Block]:
    """A heading, a sentence, a table, a sentence below it and the cautions of a kind of work; nothing without rows.

    heads : key of the table's heads, where it isn't the section's
    """
    if not rows:
        return []
    titles, about = texts().lines(f"workshop.mixing.{heads or key}_head"), len(rows[0][0])
    return [
        Heading(text=texts()(f"workshop.mixing.{key}")),
        *([Paragraph(text=said)] if said else []),
        writer.table(titles[:about], titles[about:], rows),
        *([Paragraph(text=below)] if below else []),
        *(caution_blocks([care], writer.told) if care else []),
    ]


def volume_words(ml: float, system: System = "metric") -> str:
    """An amount of something liquid."""
    return str(amount_words(ml, "volume", system))


def powder_words(grams: float, what: str, system: System = "metric") -> str:
    """An amount of a powder, kitchen measures by what it is; "" for none."""
    return str(amount_words(grams, "powder", system, figure(f"{what}_g_per_tsp"))) if grams > 0 else ""


def _stocks(writer: Writer) -> list[Block]:
    rows = writer.rows(
        lambda mixes: mixes.stocks,
        lambda stock: [stock.dye, _strength_words(stock)],
        lambda stock, system: [powder_words(stock.powder_g, "powder", system), volume_words(stock.water_ml, system)],
    )
    return _section(writer, "stocks", rows, said=texts()("workshop.mixing.stocks_say"), care="powders")


def _strength_words(stock: Stock) -> str:
    times = stock.grams_per_litre / stock.grams_full
    return texts()("workshop.mixing.full_strength" if abs(times - 1) < 0.005 else "workshop.mixing.times", times=times)


def _presoak(writer: Writer) -> list[Block]:
    soak = writer.workshop.presoak
    if soak is None:
        return []
    cells = [[volume_words(soak.ml, system), powder_words(soak.soda_g, "soda", system)] for system in writer.systems]
    said = texts()("workshop.mixing.presoak_say", minutes=round(figure("soak_min")))
    return _section(writer, "presoak", [([texts()("workshop.mixing.all_cloths")], cells)], said=said, care="soak")


def _waters(writer: Writer) -> list[Block]:
    times = writer.workshop.times
    rows = writer.rows(
        lambda mixes: mixes.waters, lambda water: [_for_words(writer, water.sitting, water.steps)], water_cells
    )
    if writer.workshop.presoak is not None:
        return _section(writer, "waters", rows, said=texts()("workshop.mixing.waters_presoaked"))
    useful, strong = minutes_words(times.useful_min), minutes_words(times.strong_min)
    said = texts()("workshop.mixing.waters_say", useful=useful, strong=strong)
    return _section(writer, "waters", rows, said=said, care="fixative")


def water_cells(water: ChemicalWater, system: System = "metric") -> list[str]:
    """A lot of chemical water and what goes into it."""
    powders = (("urea", water.urea_g), ("soda", water.soda_g), ("softener", water.softener_g))
    return [volume_words(water.ml, system), *(powder_words(grams, what, system) for what, grams in powders)]


def _for_words(writer: Writer, sitting: int, steps: Sequence[int]) -> str:
    told = steps_words(steps)
    several = len(writer.workshop.times.sittings) > 1
    return str(say("workshop.mixing.in_session", session=sitting, steps=told) if several else told)


def _pots(writer: Writer) -> list[Block]:
    many = writer.workshop.request.makers > 1
    lots = {lot.number: _for_words(writer, lot.sitting, lot.steps) for lot in writer.workshop.times.lots}
    rows = writer.rows(
        lambda mixes: mixes.pots,
        lambda pot: [pot.pot, lots[pot.lot]],
        lambda pot, system: [*([volume_words(pot.each_ml, system)] if many else []), *pot_cells(pot, system)],
    )
    said = texts()("workshop.mixing.pots_say")
    return _section(writer, "pots", rows, said=said, heads="pots_for_all" if many else "pots", care="dye")


def pot_parts(pot: PotMix, system: System = "metric") -> list[Message]:
    """What a pot is poured together from: "40 ml sun stock", "60 ml chemical water"."""
    parts = [say("handout.dye.stock", ml=volume_words(ml, system), dye=dye) for dye, ml in pot.stocks if ml > 0]
    chemical = [say("handout.dye.chemical", ml=volume_words(pot.chemical_ml, system))] if pot.chemical_ml > 0 else []
    return parts + chemical


def pot_cells(pot: PotMix, system: System = "metric") -> list[str]:
    """How much a pot holds, and its parts."""
    metric = system == "metric"  # there the parts' own sum, elsewhere the next measure that holds it
    whole = str(pot.poured_words) if metric else volume_words(pot.ml, system)
    return [whole, str(listed(pot_parts(pot, system)))]


def _waxes(writer: Writer) -> list[Block]:
    workshop = writer.workshop
    rows = [
        (
            [str(steps_words([use.step])), texts()(f"workshop.tool.{use.tool}"), str(area_words(use.mm2))],
            [_wax_cells(use, system) for system in writer.systems],
        )
        for use in workshop.waxes
    ]
    sentences = [say("workshop.mixing.wax_fill", grams=round(figure("wax_pot_g")))]
    if workshop.request.makers > 1:
        sentences.insert(0, say("workshop.mixing.wax_share", makers=round(figure("makers_per_wax_pot"))))
    return _section(writer, "waxes", rows, below=" ".join(map(str, sentences)), care="wax")


def _wax_cells(use: WaxUse, system: System) -> list[str]:
    grams = (use.beeswax_g, use.paraffin_g)
    none = texts()("workshop.mixing.none")
    return [str(amount_words(some, "weight", system)) if some > 0 else none for some in grams]


def _bleaches(writer: Writer) -> list[Block]:
    rows = [
        (
            [str(steps_words([bleach.step])), str(area_words(bleach.mm2))],
            [[volume_words(bleach.ml, system)] for system in writer.systems],
        )
        for bleach in writer.workshop.bleaches
    ]
    return _section(writer, "bleaches", rows, care="discharge")
