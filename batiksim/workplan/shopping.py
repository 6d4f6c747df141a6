"""What to buy and what to have ready for a workshop, and what it costs where prices are known."""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from batiksim.errors import BatikError
from batiksim.texts.catalogue import Message, say
from batiksim.values import BookDye
from batiksim.values.plain_data import LEFT_OUT, as_data
from batiksim.workplan.amounts import cloth_piece_mm
from batiksim.workplan.figures import figure
from batiksim.workplan.measures import UNITS, measured
from batiksim.workplan.values import Workshop

Kind = Literal["length", "weight", "volume"]
_UNIT_OF: dict[Kind, str] = {"length": "mm", "weight": "g", "volume": "ml"}
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

    key : what a price list calls it: "soda ash", or the dye's name; need : g, ml or mm
    packs : how many to buy, 0 where not sold in packs
    used, pay : cost of what is used, and of what is bought; None = no price
    """

    key: str
    name: str | Message
    kind: Kind = field(metadata=as_data("unit", make=_UNIT_OF.__getitem__))
    need: float
    note: Message
    packs: int = 0
    used: float | None = None
    pay: float | None = None


@dataclass(frozen=True, kw_only=True)
class Shopping:
    """The list. ready : what to have ready; currency : of the costs; notes : about prices."""

    items: tuple[Item, ...]
    ready: tuple[Message, ...]
    currency: str = ""
    notes: tuple[Message, ...] = field(default=(), metadata=LEFT_OUT)

    DATA = ("used", "pay")

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

    packs : (pack in words, price) by the key of an item: "urea": ("500 g", 4.5)
    book : dyes by name, with prices of 100 g in `book_currency` where known; `packs` come first
    errors : BatikError for a pack that doesn't say how much of that thing it holds
    """
    plain = _items(workshop)
    kinds = {item.key: item.kind for item in plain}
    sold = {name: _pack(name, *pack, kinds[name]) for name, pack in (packs or {}).items() if name in kinds}
    notes = [say("workshop.note.not_on_list", name=name) for name in packs or {} if name not in kinds]
    for name, entry in (book or {}).items():
        if entry.price_per_100_g is None or name in sold or name not in kinds:
            continue
        if packs and currency and book_currency and currency != book_currency:
            notes.append(say("workshop.note.other_currency", name=name, currency=book_currency))
        else:
            sold[name] = Pack(amount=100.0, price=entry.price_per_100_g, whole=False)
    items = tuple(_priced(item, sold.get(item.key)) for item in plain)
    missing = tuple(item.name for item in items if item.pay is None)
    if sold and missing:
        notes.append(say("workshop.note.no_price", names=missing))
    return Shopping(items=items, ready=tuple(_ready(workshop)), currency=currency or book_currency, notes=tuple(notes))


def _pack(name: str, text: str, price: float, kind: Kind) -> Pack:
    """A pack, read from words such as "500 g", "1 kg", "2 m", "1 yd"."""
    match = _PACK.fullmatch(text.strip())
    unit = _PACK_UNITS[kind].get(match[2].lower()) if match else None
    amount = float(match[1].replace(",", ".")) * UNITS[unit] if match and unit else 0.0
    if amount <= 0:
        example = {"weight": "500 g", "length": "1 m", "volume": "1 l"}[kind]
        raise BatikError("workshop.error.pack", field=f"{name}: pack", got=text, example=example)
    return Pack(amount=amount, price=price)


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
    note = say("workshop.buy.dye.note")
    items += [Item(key=dye, name=dye, kind="weight", need=grams, note=note) for dye, grams in powders.items()]
    for key, of in (("urea", "urea_g"), ("soda ash", "soda_g"), ("softener", "softener_g")):
        grams = max(sum(getattr(water, of) for water in mixes.waters) for mixes in workshop.mixes)
        if key == "soda ash" and workshop.presoak is not None:
            grams += workshop.presoak.soda_g
        if grams > 0:
            items.append(_item(key, "weight", grams))
    fill = workshop.pot_fill_g
    for key, grams, stays in (
        ("beeswax", sum(use.beeswax_g for use in workshop.waxes), fill[0]),
        ("paraffin", sum(use.paraffin_g for use in workshop.waxes), fill[1]),
    ):
        if grams > 0:
            whole = measured(grams + stays, "weight").amount
            note = say("workshop.buy.wax.note", amount=measured(grams, "weight").text)
            items.append(_item(key, "weight", whole, note))
    bleach = sum(one.ml for one in workshop.bleaches)
    if bleach > 0:
        items.append(_item("bleach", "volume", bleach))
    return items


def _item(key: str, kind: Kind, need: float, note: Message | None = None) -> Item:
    """Something that every workshop calls by the same name."""
    name = say(f"workshop.buy.{key.replace(' ', '_')}")
    return Item(key=key, name=name, kind=kind, need=need, note=note or say(f"{name.key}.note"))


def _cloth(workshop: Workshop) -> Item:
    """Length of cloth to buy off a bolt of the usual width, pieces laid whichever way takes less."""
    wide, high = (side * (1 + figure("shrinks")) for side in cloth_piece_mm(workshop.areas))
    bolt, makers = figure("bolt_mm"), workshop.request.makers
    laid = [
        (math.ceil(makers / math.floor(bolt / across)) * along, across)
        for across, along in ((wide, high), (high, wide))
        if across <= bolt
    ]
    width, height = (math.ceil(side / 10 - 1e-9) for side in (wide, high))
    pieces = say("workshop.buy.cloth.pieces", count=makers, width=width, height=height)
    parts = {"pieces": pieces, "bolt": round(bolt / 10), "grams": round(workshop.grams_per_m2)}
    if not laid:
        return _item("cloth", "length", min(wide, high) * makers, say("workshop.buy.cloth.too_wide", **parts))
    return _item("cloth", "length", min(laid)[0], say("workshop.buy.cloth.note", **parts))


def _ready(workshop: Workshop) -> list[Message]:
    makers, areas = workshop.request.makers, workshop.areas
    line = measured(makers * (areas.width_mm + figure("margin_mm") * 2 + figure("line_gap_mm")), "length").text
    tools = dict.fromkeys(use.tool for use in workshop.waxes)
    width, height = areas.width_mm / 10, areas.height_mm / 10
    ready = [say("workshop.ready.frames", count=makers, width=width, height=height)]
    if workshop.waxes:
        ready.append(say("workshop.ready.wax_pots", count=workshop.wax_pots))
        counted = tuple(say(f"workshop.ready.tool.{tool}", count=makers) for tool in tools)
        ready.append(say("workshop.ready.tools", tools=counted))
    if any(slot.task.work == "dry" for sitting in workshop.times.sittings for slot in sitting.slots):
        dryers = math.ceil(makers / figure("makers_per_dryer"))
        ready.append(say("workshop.ready.line_and_dryers", line=line, count=dryers))
    else:
        ready.append(say("workshop.ready.line", line=line))
    ready.append(say("workshop.ready.gloves", count=makers))
    if workshop.pots:
        pots = say("workshop.ready.pots", count=len({pot.pot for pot in workshop.pots}))
        jars = say("workshop.ready.jars", count=len(workshop.mixes[0].stocks))
        ready += [say("workshop.ready.dye_things", pots=pots, jars=jars), say("workshop.ready.plastic")]
    return ready
