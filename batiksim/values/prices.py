"""What things cost where the maker buys them."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from batiksim.errors import BatikError
from batiksim.values.rules import number, setting, text
from batiksim.values.settings import Tables, Value


@dataclass(frozen=True, kw_only=True)
class Price(Value):
    """What one thing costs."""

    KIND = "price"

    name: str = field(metadata=text(example="urea", help="The thing, or a dye by its name."))
    pack: str = field(metadata=text(example="500 g", help="What you get for the price."))
    price: float = field(metadata=number(0, 1e6, example=4.5, help="Its price, in the list's currency."))


@dataclass(frozen=True, kw_only=True)
class PriceList(Value):
    """What things cost, each once. currency : "" where not told."""

    KIND = "price_list"

    currency: str = field(default="", metadata=text(longest=20, example="EUR", help="Of all prices, in words."))
    prices: tuple[Price, ...] = field(
        default=(),
        metadata=setting(Tables(of=Price, key="price", numbered=True, help="The prices, each under [[price]].")),
    )

    def agree(self) -> None:
        names = [price.name for price in self.prices]
        for number_, name in enumerate(names, start=1):
            if name in names[: number_ - 1]:
                raise BatikError("values.error.two_prices", field=f"price {number_}: name", got=name)

    @property
    def packs(self) -> Mapping[str, tuple[str, float]]:
        """By name: the pack in words, and its price."""
        return {price.name: (price.pack, price.price) for price in self.prices}
