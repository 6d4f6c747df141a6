"""The workshop sheet to print: its timetable drawn, then all its words and tables, as a tagged PDF."""

from collections.abc import Sequence

from PIL import Image

from batiksim.sheets.documents import Block, Heading, Listing, Paragraph, Rows, without_empty
from batiksim.sheets.drawing import picture_bytes
from batiksim.sheets.typesetting import typeset
from batiksim.types import Bytes
from batiksim.values.papers import TYPST_PAPERS
from batiksim.values.plain_data import plain_data

_CHART = "chart.png"
_KINDS = {Heading: "heading", Paragraph: "paragraph", Listing: "list", Rows: "table"}


def blocks_pdf(
    blocks: Sequence[Block],
    *,
    chart: Bytes | None = None,
    chart_words: str = "",
    chart_before: str = "",
    paper: str = "a4",
) -> bytes:
    """Blocks as pages, the first of them the title.

    chart : a picture, uint8 (rows, cols, 3), laid above the heading `chart_before`; chart_words : what it shows
    paper : "a4" or "letter"
    """
    pictures = {}
    title = next(block.text for block in blocks if isinstance(block, Heading))
    data: dict[str, object] = {
        "title": title,
        "subject": chart_words,
        "paper": TYPST_PAPERS[paper],
        "blocks": [block_data(block) for block in blocks],
        "chart": None,
    }
    if chart is not None:
        drawn = Image.fromarray(chart).quantize(128, dither=Image.Dither.NONE)
        pictures[_CHART] = picture_bytes(drawn, "PNG", optimize=True)
        aspect = chart.shape[1] / chart.shape[0]
        data["chart"] = {"picture": _CHART, "alt": chart_words, "before": chart_before, "aspect": aspect}
    return typeset("workshop.typ", data, pictures)


def block_data(block: Block) -> dict[str, object]:
    """A block as plain data, for the printed page and the worktable's; a table without its empty columns."""
    shown = without_empty(block) if isinstance(block, Rows) else block
    return {"kind": _KINDS[type(block)], **plain_data(shown)}
