"""A written sheet as blocks, and those as plain text or Markdown."""

import re
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import zip_longest

WIDE = 100  # characters of a line of plain text
GAP = "  "


@dataclass(frozen=True, kw_only=True)
class Heading:
    """level 1 is the sheet's title."""

    text: str
    level: int = 2


@dataclass(frozen=True, kw_only=True)
class Paragraph:
    """Running text."""

    text: str


@dataclass(frozen=True, kw_only=True)
class Listing:
    """Points, one below another. lead : first words of each that stand out, "" for none."""

    points: tuple[tuple[str, str], ...]


@dataclass(frozen=True, kw_only=True)
class Rows:
    """A table. right : places of columns whose cells stand to the right."""

    titles: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: tuple[int, ...] = ()


Block = Heading | Paragraph | Listing | Rows


def without_empty(table: Rows) -> Rows:
    """The table without columns that hold nothing at all."""
    full = [place for place, column in enumerate(zip(table.titles, *table.rows, strict=True)) if any(column)]
    return Rows(
        titles=tuple(table.titles[place] for place in full),
        rows=tuple(tuple(row[place] for place in full) for row in table.rows),
        right=tuple(number for number, place in enumerate(full) if place in table.right),
    )


def plain_text(blocks: Sequence[Block]) -> str:
    """The sheet as plain text, lines no longer than 100 characters wherever a table allows."""
    return "\n\n".join(_plain(block) for block in blocks) + "\n"


def _plain(block: Block) -> str:
    if isinstance(block, Heading):
        text = block.text.upper() if block.level == 2 else block.text
        return f"{text}\n{'=' * min(len(text), WIDE)}" if block.level == 1 else text
    if isinstance(block, Paragraph):
        return textwrap.fill(block.text, WIDE)
    if isinstance(block, Listing):
        points = [f"{lead}: {text}" if lead else text for lead, text in block.points]
        return "\n".join(textwrap.fill(one, WIDE, initial_indent="- ", subsequent_indent="  ") for one in points)
    return _table(without_empty(block))


def _table(table: Rows) -> str:
    widths = _widths(table)
    lines: list[str] = []
    for row in (table.titles, *table.rows):
        cells = [textwrap.wrap(cell, wide) or [""] for cell, wide in zip(row, widths, strict=True)]
        lines += [_line(parts, widths, table.right) for parts in zip_longest(*cells, fillvalue="")]
        if row is table.titles:
            lines.append(GAP.join("-" * wide for wide in widths))
    return "\n".join(lines)


def _line(parts: Sequence[str], widths: Sequence[int], right: Sequence[int]) -> str:
    padded = [
        part.rjust(wide) if place in right else part.ljust(wide)
        for place, (part, wide) in enumerate(zip(parts, widths, strict=True))
    ]
    return GAP.join(padded).rstrip()


def _widths(table: Rows) -> list[int]:
    """Column widths: what the cells want, the widest ones narrowed until a line fits, none below its longest word."""
    columns = list(zip(table.titles, *table.rows, strict=True))
    widths = [max(len(cell) for cell in column) for column in columns]
    least = [max(max((len(word) for word in cell.split()), default=1) for cell in column) for column in columns]
    room = WIDE - len(GAP) * (len(widths) - 1)
    while sum(widths) > room:
        spare = [wide - low for wide, low in zip(widths, least, strict=True)]
        if max(spare) <= 0:
            break
        place = max((wide, number) for number, wide in enumerate(widths) if spare[number] > 0)[1]
        widths[place] -= 1
    return widths


def markdown(blocks: Sequence[Block]) -> str:
    """The sheet as Markdown."""
    return "\n\n".join(_marked(block) for block in blocks) + "\n"


def _marked(block: Block) -> str:
    if isinstance(block, Heading):
        return f"{'#' * block.level} {_safe(block.text)}"
    if isinstance(block, Paragraph):
        return _safe(block.text)
    if isinstance(block, Listing):
        points = [f"**{_safe(lead)}:** {_safe(text)}" if lead else _safe(text) for lead, text in block.points]
        return "\n".join(f"- {point}" for point in points)
    table = without_empty(block)
    titles, *rows = [list(map(_safe, row)) for row in (table.titles, *table.rows)]
    edges = ["---:" if place in table.right else ":---" for place in range(len(titles))]
    return "\n".join(f"| {' | '.join(row)} |" for row in (titles, edges, *rows))


def _safe(text: str) -> str:
    """The text with what Markdown would take for its own signs made plain."""
    return re.sub(r"[\\`*_\[\]<>|#]", r"\\\g<0>", text)
