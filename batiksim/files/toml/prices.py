"""Price lists (format 1): what things cost where the maker buys them, in one TOML file."""

from pathlib import Path

from batiksim.errors import in_file
from batiksim.files.toml.reading import formatted, read_toml
from batiksim.types import StrPath
from batiksim.values import PriceList


def read_prices(path: StrPath) -> PriceList:
    """Read a price list: `currency = "EUR"` and one [[price]] with name, pack and price for each thing.

    errors : BatikError naming file, field, what was found and what to write
    """
    file = Path(path)
    with in_file(file):
        return formatted(PriceList, read_toml(file))
