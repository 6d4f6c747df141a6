"""The workshop sheet to print: its timetable drawn, then all its words and tables, as a tagged PDF."""

import io
from collections.abc import Sequence

from PIL import Image

from batiksim.sheets.documents import Block, Heading, Listing, Paragraph, Rows, without_empty
from batiksim.sheets.typesetting import typeset
from batiksim.texts.catalogue import texts
from batiksim.types import Bytes
from batiksim.values.plain_data import plain_data

_CHART = "chart.png"
_KINDS = {Heading: "heading", Paragraph: "paragraph", Listing: "list", Rows: "table"}
PAPERS = {"a4": "a4", "letter": "us-letter"}


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
    pictures = {} if chart is None else {_CHART: _png(chart)}
    title = next(block.text for block in blocks if isinstance(block, Heading))
    data = {
        "title": title,
        "subject": chart_words,
        "author": "",
        "by": "",
        "language": texts().language,
        "paper": PAPERS[paper],
        "words": {"page": texts().under("handout")["page"]},
        "blocks": [block_data(block) for block in blocks],
        "chart": None,
    }
    if chart is not None:
        aspect = chart.shape[1] / chart.shape[0]
        data["chart"] = {"picture": _CHART, "alt": chart_words, "before": chart_before, "aspect": aspect}
    return typeset("workshop.typ", data, pictures)


def _png(picture: Bytes) -> bytes:
    file = io.BytesIO()
    Image.fromarray(picture).quantize(128, dither=Image.Dither.NONE).save(file, format="PNG", optimize=True)
    return file.getvalue()


def block_data(block: Block) -> dict[str, object]:
    """A block as plain data, for the printed page and the worktable's; a table without its empty columns."""
    shown = without_empty(block) if isinstance(block, Rows) else block
    return {"kind": _KINDS[type(block)], **plain_data(shown)}
