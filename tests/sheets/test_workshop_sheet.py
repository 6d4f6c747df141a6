"""The workshop sheet as pages: what belongs together stands on one page, wherever the page ends."""

from __future__ import annotations

import io

import pdfplumber
import pytest

from batiksim.sheets.documents import Heading, Listing, Paragraph, Rows
from batiksim.sheets.workshop.pdf import blocks_pdf

TITLE = "Garden poppies, leaves waxed too late: workshop sheet"
POTS = [(f"pot {place}" if system == "metric" else "", system) for place in "ab" for system in ("metric", "US")]


def lines_of(pdf: bytes) -> list[list[str]]:
    """The lines of every page, from the top, without its foot."""
    with pdfplumber.open(io.BytesIO(pdf)) as document:
        return [page.extract_text().splitlines()[:-1] for page in document.pages]


@pytest.mark.full
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_heading_its_words_and_a_short_table_are_never_parted(paper):
    broken = 0
    for filling in range(30, 50):
        blocks = (
            Heading(text=TITLE, level=1),
            *(Paragraph(text=f"Line {line}.") for line in range(filling)),
            Heading(text="What to mix"),
            Paragraph(text="Mix it well."),
            Rows(titles=("Pot", "Measures"), rows=tuple(POTS)),
            Paragraph(text="It serves four."),
        )
        pages = lines_of(blocks_pdf(blocks, paper=paper))
        assert pages[0][0] == TITLE  # whole, on one line
        (page,) = (lines for lines in pages if "What to mix" in lines)
        start = page.index("What to mix")
        assert page[start + 1 : start + 7] == ["Mix it well.", "Pot Measures", *(" ".join(row).strip() for row in POTS)]
        broken += len(pages) > 1 and start == 0
    assert broken  # the page did end within it somewhere


@pytest.mark.full
def test_a_list_is_whole_and_keeps_the_words_that_close_it():
    points = tuple(("Take care", f"of this, {place}.") for place in "abc")
    moved = 0
    for filling in range(35, 55):
        words = (Paragraph(text=f"Line {line}.") for line in range(filling))
        blocks = (Heading(text=TITLE, level=1), *words, Listing(points=points), Paragraph(text="Shared by all."))
        pages = lines_of(blocks_pdf(blocks))
        (page,) = (lines for lines in pages if "Shared by all." in lines)
        end = page.index("Shared by all.")
        assert [line[-20:] for line in page[end - 3 : end]] == [
            f"Take care: of this, {place}."[-20:] for place in "abc"
        ]
        moved += len(pages) > 1 and end == 3
    assert moved
