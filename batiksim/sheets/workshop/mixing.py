"""The part of the workshop sheet to have beside the scales: stocks, chemical water, pots, wax, bleach."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from batiksim.sheets.documents import Block, Heading, Listing, Paragraph, Rows
from batiksim.texts.catalogue import say, texts
from batiksim.texts.phrases import listed
from batiksim.texts.times import minutes_words
from batiksim.workshop.cautions import cautions_for
from batiksim.workshop.figures import figure
from batiksim.workshop.measures import System, amount_words, together_words
from batiksim.workshop.shopping import Shopping
from batiksim.workshop.tasks import area_words
from batiksim.workshop.timetable_values import steps_words
from batiksim.workshop.values import ChemicalWater, PotMix, Stock, WaxUse, Workshop


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
    cautions = {caution.key: caution for kind in kinds for caution in cautions_for(kind)}
    fresh = [caution for key, caution in cautions.items() if key not in told]
    old = tuple(caution.title for key, caution in cautions.items() if key in told)
    points = [(tell("workshop.sheet.care_lead", caution=caution.title), str(caution.text)) for caution in fresh]
    if old and again:
        points.append((tell("workshop.sheet.care_again_lead"), tell("workshop.sheet.care_again", cautions=old)))
    told.update(cautions)
    return [Listing(points=tuple(points))] if points else []


def mixing_blocks(writer: Writer) -> list[Block]:
    """Everything to weigh, measure and mix."""
    parts = (_stocks, _presoak, _waters, _pots, _waxes, _bleaches)
    return [block for part in parts for block in part(writer)]


def _heading(key: str) -> Heading:
    return Heading(text=texts()(f"workshop.mixing.{key}"))


def _heads(key: str) -> tuple[str, ...]:
    return texts().lines(f"workshop.mixing.{key}_head")


def _volume(ml: float, system: System) -> str:
    return str(amount_words(ml, "volume", system))


def _powder(grams: float, system: System, what: str) -> str:
    return str(amount_words(grams, "powder", system, figure(f"{what}_g_per_tsp"))) if grams > 0 else ""


def _stocks(writer: Writer) -> list[Block]:
    mixes = writer.workshop.mixes
    if not mixes[0].stocks:
        return []
    rows = [
        (
            [same[0].dye, _strength_words(same[0])],
            [
                [_powder(stock.powder_g, system, "powder"), _volume(stock.water_ml, system)]
                for stock, system in zip(same, writer.systems, strict=True)
            ],
        )
        for same in zip(*(mix.stocks for mix in mixes), strict=True)
    ]
    heads = _heads("stocks")
    return [
        _heading("stocks"),
        Paragraph(text=texts()("workshop.mixing.stocks_say")),
        writer.table(heads[:2], heads[2:], rows),
        *caution_blocks(["powders"], writer.told),
    ]


def _strength_words(stock: Stock) -> str:
    times = stock.grams_per_litre / stock.grams_full
    return texts()("workshop.mixing.full_strength" if abs(times - 1) < 0.005 else "workshop.mixing.times", times=times)


def _presoak(writer: Writer) -> list[Block]:
    soak = writer.workshop.presoak
    if soak is None:
        return []
    cells = [[_volume(soak.ml, system), _powder(soak.soda_g, system, "soda")] for system in writer.systems]
    heads = _heads("presoak")
    return [
        _heading("presoak"),
        Paragraph(text=texts()("workshop.mixing.presoak_say", minutes=round(figure("soak_min")))),
        writer.table(heads[:1], heads[1:], [([texts()("workshop.mixing.all_cloths")], cells)]),
        *caution_blocks(["soak"], writer.told),
    ]


def _waters(writer: Writer) -> list[Block]:
    workshop = writer.workshop
    if not workshop.mixes[0].waters:
        return []
    rows = [
        (
            [_for_words(writer, same[0].sitting, same[0].steps)],
            [_water_cells(water, system) for water, system in zip(same, writer.systems, strict=True)],
        )
        for same in zip(*(mix.waters for mix in workshop.mixes), strict=True)
    ]
    if workshop.presoak is not None:
        note = say("workshop.mixing.waters_presoaked")
    else:
        useful, strong = minutes_words(workshop.times.useful_min), minutes_words(workshop.times.strong_min)
        note = say("workshop.mixing.waters_say", useful=useful, strong=strong)
    soda = [] if workshop.presoak is not None else caution_blocks(["fixative"], writer.told)
    heads = _heads("waters")
    return [_heading("waters"), Paragraph(text=str(note)), writer.table(heads[:1], heads[1:], rows), *soda]


def _water_cells(water: ChemicalWater, system: System) -> list[str]:
    powders = (("urea", water.urea_g), ("soda", water.soda_g), ("softener", water.softener_g))
    return [_volume(water.ml, system), *(_powder(grams, system, what) for what, grams in powders)]


def _lot_words(writer: Writer, number: int) -> str:
    times = writer.workshop.times
    lot = next(lot for lot in times.lots if lot.number == number)
    return _for_words(writer, lot.sitting, lot.steps)


def _for_words(writer: Writer, sitting: int, steps: Sequence[int]) -> str:
    told = steps_words(steps)
    several = len(writer.workshop.times.sittings) > 1
    return str(say("workshop.mixing.in_session", session=sitting, steps=told) if several else told)


def _pots(writer: Writer) -> list[Block]:
    workshop = writer.workshop
    if not workshop.pots:
        return []
    many = workshop.request.makers > 1
    rows = [
        (
            [same[0].pot, _lot_words(writer, same[0].lot)],
            [_pot_cells(pot, system, many) for pot, system in zip(same, writer.systems, strict=True)],
        )
        for same in zip(*(mix.pots for mix in workshop.mixes), strict=True)
    ]
    heads = _heads("pots_for_all" if many else "pots")
    return [
        _heading("pots"),
        Paragraph(text=texts()("workshop.mixing.pots_say")),
        writer.table(heads[:2], heads[2:], rows),
        *caution_blocks(["dye"], writer.told),
    ]


def _pot_cells(pot: PotMix, system: System, many: bool) -> list[str]:
    parts = [say("handout.dye.stock", ml=_volume(ml, system), dye=dye) for dye, ml in pot.stocks if ml > 0]
    if pot.chemical_ml > 0:
        parts.append(say("handout.dye.chemical", ml=_volume(pot.chemical_ml, system)))
    each = [_volume(pot.each_ml, system)] if many else []
    metric = system == "metric"  # there the parts' own sum, elsewhere the next measure that holds it
    poured = together_words([*(ml for _, ml in pot.stocks), pot.chemical_ml])
    return [*each, str(poured) if metric else _volume(pot.ml, system), str(listed(parts))]


def _waxes(writer: Writer) -> list[Block]:
    workshop = writer.workshop
    if not workshop.waxes:
        return []
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
    heads = _heads("waxes")
    return [
        _heading("waxes"),
        writer.table(heads[:3], heads[3:], rows),
        Paragraph(text=" ".join(map(str, sentences))),
        *caution_blocks(["wax"], writer.told),
    ]


def _wax_cells(use: WaxUse, system: System) -> list[str]:
    grams = (use.beeswax_g, use.paraffin_g)
    none = texts()("workshop.mixing.none")
    return [str(amount_words(some, "weight", system)) if some > 0 else none for some in grams]


def _bleaches(writer: Writer) -> list[Block]:
    bleaches = writer.workshop.bleaches
    if not bleaches:
        return []
    rows = [
        (
            [str(steps_words([bleach.step])), str(area_words(bleach.mm2))],
            [[_volume(bleach.ml, system)] for system in writer.systems],
        )
        for bleach in bleaches
    ]
    heads = _heads("bleaches")
    return [_heading("bleaches"), writer.table(heads[:2], heads[2:], rows), *caution_blocks(["discharge"], writer.told)]
