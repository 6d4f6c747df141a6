"""A written sheet as blocks, and those as plain text or Markdown."""

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

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
        return "\n".join(_point(lead, text) for lead, text in block.points)
    return _table(without_empty(block))


def _point(lead: str, text: str) -> str:
    whole = f"{lead}: {text}" if lead else text
    return textwrap.fill(whole, WIDE, initial_indent="- ", subsequent_indent="  ")


def _table(table: Rows) -> str:
    widths = _widths(table)
    lines: list[str] = []
    wraps = False
    for row in (table.titles, *table.rows):
        cells = [textwrap.wrap(cell, wide) or [""] for cell, wide in zip(row, widths, strict=True)]
        wraps = wraps or max(len(cell) for cell in cells) > 1
        for number in range(max(len(cell) for cell in cells)):
            parts = [cell[number] if number < len(cell) else "" for cell in cells]
            lines.append(_line(parts, widths, table.right))
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
        return "\n".join(
            f"- **{_safe(lead)}:** {_safe(text)}" if lead else f"- {_safe(text)}" for lead, text in block.points
        )
    table = without_empty(block)
    edges = ["---:" if place in table.right else ":---" for place in range(len(table.titles))]
    rows = [table.titles, tuple(edges), *table.rows]
    return "\n".join(
        "| " + " | ".join(_safe(cell) if row is not rows[1] else cell for cell in row) + " |" for row in rows
    )


def _safe(text: str) -> str:
    """The text with what Markdown would take for its own signs made plain."""
    for sign in "\\`*_[]<>|#":
        text = text.replace(sign, f"\\{sign}")
    return text
