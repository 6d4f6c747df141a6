"""What things cost where the maker buys them."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from batiksim.errors import BatikError
from batiksim.values.rules import number, text
from batiksim.values.settings import Value, tables


@dataclass(frozen=True, kw_only=True)
class Price(Value):
    """What one thing costs."""

    KIND = "price"

    name: str = field(metadata=text("The thing, or a dye by its name.", "urea"))
    pack: str = field(metadata=text("What you get for the price.", "500 g"))
    price: float = field(metadata=number("Its price, in the list's currency.", 4.5, 0, 1e6))


@dataclass(frozen=True, kw_only=True)
class PriceList(Value):
    """What things cost, each listed once."""

    KIND = "price_list"

    currency: str = field(default="", metadata=text("The currency of all prices.", "EUR", longest=20))
    prices: tuple[Price, ...] = field(default=(), metadata=tables(Price, "price", "The prices", numbered=True))

    def agree(self) -> None:
        names = [price.name for price in self.prices]
        for number_, name in enumerate(names, start=1):
            if name in names[: number_ - 1]:
                raise BatikError("values.error.two_prices", field=f"price {number_}: name", got=name)

    @property
    def packs(self) -> Mapping[str, tuple[str, float]]:
        """By name: the pack in words, and its price."""
        return {price.name: (price.pack, price.price) for price in self.prices}
