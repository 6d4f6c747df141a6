"""Where a sheet of paper lies among all that a cloth takes, in words: "top row, 2nd from left"."""

import math
from collections.abc import Mapping, Sequence
from typing import Any

from batiksim.sheets.trace.layout import Sheets
from batiksim.texts.catalogue import Message, say, texts

_FEW = 3  # up to so many have names of their own: top, middle, bottom
_ROW_MM, _COLUMN_MM = 3.6, 9.0  # room on the page map for the word of a row, and for a number of a column
_WIDE_MM = 24.0  # room for all words of a column


def place_lines(row: int, column: int, shared: Sheets) -> tuple[Message, ...]:
    """The row and the place in it, as far as there are several. row, column : from 0."""
    lines = [_word("row", row, shared.rows)] if shared.rows > 1 else []
    lines += [_word("column", column, shared.columns)] if shared.columns > 1 else []
    return tuple(lines)


def place_words(row: int, column: int, shared: Sheets) -> Message | None:
    """The same in one line; None where there is only one sheet."""
    lines = place_lines(row, column, shared)
    return say("trace.place", row=lines[0], column=lines[1]) if len(lines) > 1 else next(iter(lines), None)


def map_axes(cells: Sequence[Mapping[str, Any]], shared: Sheets) -> dict[str, Any]:
    """What stands beside the rows and above the columns of the page map: (middle in mm of the map, words).

    cells : of the map, with row, column and at (left, top, width, height); small ones have no word each
    """
    across = {cell["column"]: cell["at"][0::2] for cell in cells}
    down = {cell["row"]: cell["at"][1::2] for cell in cells}
    wide, high = (sorted(size for _, size in axis.values())[len(axis) // 2] for axis in (across, down))
    full = wide >= _WIDE_MM or shared.columns <= _FEW
    columns = _spread(shared.columns, 1 if full else math.ceil(_COLUMN_MM / wide)) if shared.columns > 1 else []
    rows = _spread(shared.rows, math.ceil(_ROW_MM / high)) if shared.rows > 1 else []
    return {
        "rows": [(_middle(down[at]), str(_word("row", at, shared.rows))) for at in rows],
        "columns": [
            (_middle(across[at]), str(_word("column", at, shared.columns)) if full else texts().ordinal(at + 1))
            for at in columns
        ],
        "columns_from": "" if full or not columns else texts()("trace.columns_from"),
    }


def _middle(side: Sequence[float]) -> float:
    """Side : where it begins, and its length."""
    return side[0] + side[1] / 2


def _spread(count: int, every: int) -> list[int]:
    """Numbers from 0, the first and the last among them, so far apart."""
    last = count - 1
    return [at for at in range(0, count, every) if last - at >= every] + [last]


def _word(axis: str, at: int, count: int) -> Message:
    """The word for a row or column."""
    if axis == "row" or count <= _FEW:
        if at in (0, count - 1):
            return say(f"trace.{axis}.{'first' if at == 0 else 'last'}")
        if count == _FEW:
            return say(f"trace.{axis}.middle")
    return say(f"trace.{axis}.nth", nth=texts().ordinal(at + 1))
