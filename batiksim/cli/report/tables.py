"""Tables and swatches as every longer answer on the terminal has them."""

from rich.table import Table
from rich.text import Text


def plain_table(*titles: str, right: tuple[str, ...] = ()) -> Table:
    """A table without lines, its numbers to the right."""
    table = Table(box=None, pad_edge=False, header_style="bold")
    for title in titles:
        table.add_column(title, justify="right" if title in right else "left", overflow="fold")
    return table


def cloth_piece(hexed: str, wide: int = 3) -> Text:
    """A swatch, where the terminal shows colour."""
    return Text(" " * wide, style=f"on {hexed}")
