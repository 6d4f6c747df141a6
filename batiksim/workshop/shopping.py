"""What to buy and what to have ready for a workshop, and what it costs where prices are known."""

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from batiksim.errors import BatikError
from batiksim.values import BookDye
from batiksim.workshop.amounts import cloth_piece_mm
from batiksim.workshop.figures import figure
from batiksim.workshop.measures import UNITS, measured
from batiksim.workshop.values import Workshop

Kind = Literal["length", "weight", "volume"]
_PACK = re.compile(r"(\d+(?:[.,]\d+)?)\s*([a-z]+)", re.IGNORECASE)
_PACK_UNITS = {
    "weight": {"g": "g", "kg": "kg", "oz": "oz", "lb": "lb"},
    "length": {"m": "m", "cm": "cm", "yd": "yard", "yard": "yard", "yards": "yard"},
    "volume": {"ml": "ml", "l": "l"},
}


@dataclass(frozen=True, kw_only=True)
class Pack:
    """How something is sold. amount : g, ml or mm in a pack; price : of one; whole : only packs are sold."""

    amount: float
    price: float
    whole: bool = True


@dataclass(frozen=True, kw_only=True)
class Item:
    """One thing to buy.

    need : g, ml or mm
    packs : how many to buy, 0 where not sold in packs
    used, pay : cost of what is used, and of what is bought; None = no price
    """

    name: str
    kind: Kind
    need: float
    note: str = ""
    packs: int = 0
    used: float | None = None
    pay: float | None = None


@dataclass(frozen=True, kw_only=True)
class Shopping:
    """The list. ready : what to have ready, in words; currency : of the costs; notes : about prices."""

    items: tuple[Item, ...]
    ready: tuple[str, ...]
    currency: str = ""
    notes: tuple[str, ...] = ()

    @property
    def used(self) -> float:
        """Cost of what is used, of everything that has a price."""
        return sum(item.used for item in self.items if item.used is not None)

    @property
    def pay(self) -> float:
        """Cost of what has to be bought, of everything that has a price."""
        return sum(item.pay for item in self.items if item.pay is not None)

    @property
    def priced(self) -> bool:
        """Whether anything has a price."""
        return any(item.pay is not None for item in self.items)


def shopping_list(
    workshop: Workshop,
    *,
    packs: Mapping[str, tuple[str, float]] | None = None,
    currency: str = "",
    book: Mapping[str, BookDye] | None = None,
    book_currency: str = "",
) -> Shopping:
    """Everything to buy, with costs where a price is given.

    packs : (pack in words, price) by the name on the list: "urea": ("500 g", 4.5)
    book : dyes by name, with prices of 100 g in `book_currency` where known; `packs` come first
    errors : BatikError for a pack that is no amount of that thing
    """
    plain = _items(workshop)
    sold = packs_of(packs or {}, plain)
    wanted = {item.name for item in plain}
    notes = [
        f"The price list also has {name}, which is not on this list." for name in packs or {} if name not in wanted
    ]
    for name, entry in (book or {}).items():
        if entry.price_per_100_g is None or name in sold or name not in wanted:
            continue
        if packs and currency and book_currency and currency != book_currency:
            notes.append(f"The dye book's price of {name} is in {book_currency} and left out.")
        else:
            sold[name] = Pack(amount=100.0, price=entry.price_per_100_g, whole=False)
    items = tuple(_priced(item, sold.get(item.name)) for item in plain)
    missing = [item.name for item in items if item.pay is None]
    if sold and missing:
        notes.append(f"No price given for {', '.join(missing)}.")
    return Shopping(items=items, ready=tuple(_ready(workshop)), currency=currency or book_currency, notes=tuple(notes))


def packs_of(packs: Mapping[str, tuple[str, float]], items: Sequence[Item]) -> dict[str, Pack]:
    """Packs by name, read from words such as "500 g", "1 kg", "2 m", "1 yd"; those of things not on the list left out.

    errors : BatikError for a pack that is no amount of that thing
    """
    kinds = {item.name: item.kind for item in items}
    made = {}
    for name, (text, price) in packs.items():
        if name not in kinds:
            continue
        units = _PACK_UNITS[kinds[name]]
        match = _PACK.fullmatch(text.strip())
        unit = units.get(match[2].lower()) if match else None
        amount = float(match[1].replace(",", ".")) * UNITS[unit] if match and unit else 0.0
        if amount <= 0:
            example = {"weight": "500 g", "length": "1 m", "volume": "1 l"}[kinds[name]]
            fix = f'write pack = "{example}"'
            raise BatikError("is no amount to sell it by", field=f"{name}: pack", got=text, fix=fix)
        made[name] = Pack(amount=amount, price=price)
    return made


def _priced(item: Item, pack: Pack | None) -> Item:
    if pack is None:
        return item
    used = item.need / pack.amount * pack.price
    count = math.ceil(item.need / pack.amount - 1e-9) if pack.whole else 0
    return replace(item, packs=count, used=used, pay=count * pack.price if pack.whole else used)


def _items(workshop: Workshop) -> list[Item]:
    items = [_cloth(workshop)]
    powders: dict[str, float] = {}  # of each dye, in the system of measures that takes most
    for stock in (stock for mixes in workshop.mixes for stock in mixes.stocks):
        powders[stock.dye] = max(powders.get(stock.dye, 0.0), stock.powder_g)
    items += [Item(name=dye, kind="weight", need=grams, note="dye powder") for dye, grams in powders.items()]
    for name, key, note in (
        ("urea", "urea_g", "keeps the cloth damp while the dye takes"),
        ("soda ash", "soda_g", "the fixative"),
        ("softener", "softener_g", "for hard water"),
    ):
        grams = max(sum(getattr(water, key) for water in mixes.waters) for mixes in workshop.mixes)
        if key == "soda_g" and workshop.presoak is not None:
            grams += workshop.presoak.soda_g
        if grams > 0:
            items.append(Item(name=name, kind="weight", need=grams, note=note))
    fill = workshop.pot_fill_g
    for name, grams, stays in (
        ("beeswax", sum(use.beeswax_g for use in workshop.waxes), fill[0]),
        ("paraffin", sum(use.paraffin_g for use in workshop.waxes), fill[1]),
    ):
        if grams > 0:
            whole = measured(grams + stays, "weight").amount
            note = f"{measured(grams, 'weight').text} for the cloth; the rest fills the pots and stays"
            items.append(Item(name=name, kind="weight", need=whole, note=note))
    bleach = sum(one.ml for one in workshop.bleaches)
    if bleach > 0:
        items.append(Item(name="bleach", kind="volume", need=bleach, note="ready to use, as its label says"))
    return items


def _cloth(workshop: Workshop) -> Item:
    """Length of cloth to buy off a bolt of the usual width, pieces laid whichever way takes less."""
    wide, high = (side * (1 + figure("shrinks")) for side in cloth_piece_mm(workshop.areas))
    bolt, makers = figure("bolt_mm"), workshop.request.makers
    laid = [
        (math.ceil(makers / math.floor(bolt / across)) * along, across)
        for across, along in ((wide, high), (high, wide))
        if across <= bolt
    ]
    size = f"{_cm(wide)} × {_cm(high)} cm"
    pieces = f"{makers} {'piece' if makers == 1 else 'pieces'} of {size}"
    if not laid:
        note = f"{pieces}, wider than a bolt of {bolt / 10:.0f} cm: buy wide sheeting"
        return Item(name="cloth", kind="length", need=min(wide, high) * makers, note=note)
    note = f"{pieces}, off a bolt {bolt / 10:.0f} cm wide, {workshop.grams_per_m2:.0f} g/m²"
    return Item(name="cloth", kind="length", need=min(laid)[0], note=note)


def _cm(mm: float) -> int:
    return math.ceil(mm / 10 - 1e-9)


def _ready(workshop: Workshop) -> list[str]:
    makers, areas = workshop.request.makers, workshop.areas
    line = measured(makers * (areas.width_mm + figure("margin_mm") * 2 + figure("line_gap_mm")), "length").text
    tools = dict.fromkeys(use.tool for use in workshop.waxes)
    told = [f"{_count(makers, 'frame')} for a picture of {areas.width_mm / 10:.3g} × {areas.height_mm / 10:.3g} cm"]
    if workshop.waxes:
        told.append(f"{_count(workshop.wax_pots, 'wax pot')} with thermostat and lid, a fire blanket, dry powder")
        names = {"canting": "canting", "brush": "wax brush", "stamp": "stamp"}
        told.append(", ".join(_count(makers, names[tool]) for tool in tools) + "; spare paper to catch drips")
    told.append(f"{line} of drying line" + _dryers(workshop))
    told.append(
        f"Gloves for {_count(makers, 'maker')}, eye protection, and a fitted dust mask for whoever weighs powder"
    )
    if workshop.pots:
        count = len({pot.pot for pot in workshop.pots})
        told.append(
            f"{_count(count, 'lidded pot')} for dye, {_count(len(workshop.mixes[0].stocks), 'jar')} for stocks, a "
            "measuring spoon "
            "set, a syringe and a jug kept for dye alone"
        )
        told.append("Plastic sheet to batch under, paper to iron between")
    return told


def _dryers(workshop: Workshop) -> str:
    slots = [slot for sitting in workshop.times.sittings for slot in sitting.slots]
    if not any(slot.task.work == "dry" for slot in slots):
        return ""
    many = math.ceil(workshop.request.makers / figure("makers_per_dryer"))
    return f", {_count(many, 'air dryer')} with a cold setting"


def _count(many: int, word: str) -> str:
    ending = "es" if word.endswith("sh") else "s"
    return f"{many} {word}" if many == 1 else f"{many} {word}{ending}"
