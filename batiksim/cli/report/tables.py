"""Tables and swatches as every longer answer on the terminal has them."""

from rich.table import Table
from rich.text import Text

from batiksim.texts.catalogue import say, texts


def plain_table(*columns: str, right: tuple[str, ...] = ()) -> Table:
    """A table without lines.

    columns : the last word of their titles' keys, "" = no title; right : those of numbers
    """
    table = Table(box=None, pad_edge=False, header_style="bold")
    for column in columns:
        title = str(say(f"cli.column.{column}")) if column else ""
        table.add_column(title, justify="right" if column in right else "left", overflow="fold")
    return table


def tenths(value: float) -> str:
    """A number to one decimal place."""
    return texts().number(value, "0.0")


def cloth_piece(hexed: str, wide: int = 3) -> Text:
    """A swatch, where the terminal shows colour."""
    return Text(" " * wide, style=f"on {hexed}")
