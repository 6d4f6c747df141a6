"""Price lists: what is read, and what is refused."""

from __future__ import annotations

import pytest

from batiksim.errors import BatikError
from batiksim.files.toml.reading import read_prices
from batiksim.values import Price, PriceList

UREA = '[[price]]\nname = "urea"\npack = "500 g"\nprice = 4.5\n'


@pytest.fixture
def prices(tmp_path):
    def read(text):
        file = tmp_path / "prices.toml"
        file.write_text(text, encoding="utf-8")
        return read_prices(file)

    return read


def test_packs_and_currency(prices):
    text = f'format = 1\ncurrency = "EUR"\n{UREA}[[price]]\nname = "wax"\npack = "1 kg"\nprice = 0\n'
    two = (Price(name="urea", pack="500 g", price=4.5), Price(name="wax", pack="1 kg", price=0))
    assert prices(text) == PriceList(prices=two, currency="EUR")
    assert prices("format = 1\n") == PriceList()


@pytest.mark.parametrize(("price", "good"), [("0", True), ("-0.01", False), ("1000000", True), ("1000000.5", False)])
def test_a_price_is_from_nothing_to_a_million(prices, price, good):
    text = "format = 1\n" + UREA.replace("4.5", price)
    if good:
        assert prices(text).packs["urea"] == ("500 g", float(price))
    else:
        with pytest.raises(BatikError, match="price 1: price: out of range"):
            prices(text)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("currency = 'EUR'\n", "format: is missing"),
        ("format = 1\n" + UREA + UREA, "price 2: name: 'urea' has a price already"),
        ("format = 1\ncurrency = 3\n", "currency: needs text"),
        ("format = 1\n" + UREA.replace("pack", "packs"), "price 1: 'packs' isn't a setting of a price"),
        ("format = 1\n" + UREA.replace('pack = "500 g"\n', ""), "price 1: pack: is missing.*pack = .500 g."),
        ("format = 1\n" + UREA.replace('name = "urea"\n', ""), "price 1: name: is missing.*name = .urea."),
        ("format = 1\n" + UREA.replace("price = 4.5\n", ""), "price 1: price: is missing.*price = 4.5"),
    ],
)
def test_mistakes_are_placed(prices, text, said):
    with pytest.raises(BatikError, match=said) as told:
        prices(text)
    assert told.value.file.endswith("prices.toml")
