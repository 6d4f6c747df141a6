"""Price lists (format 1): what things cost where the maker buys them, in one TOML file."""

from dataclasses import dataclass, field
from pathlib import Path

from batiksim.errors import in_file
from batiksim.files.toml.tables import Table, check_format, read_toml
from batiksim.types import StrPath

_EXAMPLE = {"name": 'name = "urea"', "pack": 'pack = "500 g"', "price": "price = 4.50"}


@dataclass(frozen=True, kw_only=True)
class PriceList:
    """packs : name -> (pack in words, price); currency : in words, "EUR"; "" where not told."""

    packs: dict[str, tuple[str, float]] = field(default_factory=dict)
    currency: str = ""


def read_prices(path: StrPath) -> PriceList:
    """Read a price list: `currency = "EUR"` and one [[price]] with name, pack and price for each thing.

    errors : BatikError naming file, field, what was found and what to write
    """
    file = Path(path)
    with in_file(file):
        return _prices(read_toml(file))


def _prices(entries: dict[str, object]) -> PriceList:
    top = Table(entries, "", ("format", "currency", "price"))
    check_format(entries)
    packs: dict[str, tuple[str, float]] = {}
    for number, entry in enumerate(top.tables("price"), start=1):
        table = Table(entry, f"price {number}", tuple(_EXAMPLE))
        name = table.text("name", example=_EXAMPLE["name"])
        price = table.number("price", example=_EXAMPLE["price"])
        if not 0 <= price <= 1e6:
            raise table.wrong("price", "is no price", "use 0 or more")
        if name in packs:
            raise table.wrong("name", "has a price already", "keep one of the two")
        packs[name] = (table.text("pack", example=_EXAMPLE["pack"]), price)
    currency = top.text("currency", example='currency = "EUR"') if "currency" in top else ""
    return PriceList(packs=packs, currency=currency)
