"""What a PDF holds, read with other tools than made it: its tags, text in the order of the tags, fonts, pictures."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import pdfplumber
import pikepdf
import pytest

MM = 72 / 25.4


@dataclass(frozen=True)
class Element:
    """One element of the structure tree: its kind, alternative text, and the text marked with it and its children."""

    kind: str
    alt: str
    text: str
    children: tuple[Any, ...]

    def walk(self) -> Iterator[Element]:
        yield self
        for child in self.children:
            yield from child.walk()


class Reading:
    """A PDF as read."""

    def __init__(self, raw: bytes) -> None:
        self.raw = raw
        self.pdf = pikepdf.open(io.BytesIO(raw))
        self.plumbed = pdfplumber.open(io.BytesIO(raw))

    @property
    def sizes_mm(self) -> list[tuple[float, float]]:
        boxes = [[float(side) for side in page.MediaBox] for page in self.pdf.pages]
        return [((right - left) / MM, (top - foot) / MM) for left, foot, right, top in boxes]

    @cached_property
    def text(self) -> str:
        """All text, page by page, spaces made single."""
        return " ".join(" ".join(page.extract_text() for page in self.plumbed.pages).split())

    @cached_property
    def marked(self) -> dict[tuple[int, int], str]:
        """Text by page number and mark."""
        found: dict[tuple[int, int], list[str]] = {}
        for number, page in enumerate(self.plumbed.pages):
            for char in page.chars:
                if char.get("mcid") is not None:
                    found.setdefault((number, char["mcid"]), []).append(char["text"])
        return {key: "".join(letters) for key, letters in found.items()}

    @cached_property
    def tree(self) -> Element:
        numbers = {page.objgen: number for number, page in enumerate(self.pdf.pages)}

        def element(node: Any, page: int | None) -> Element:
            if "/Pg" in node:
                page = numbers[node.Pg.objgen]
            kids = node.get("/K", [])
            kids = list(kids) if isinstance(kids, pikepdf.Array) else [kids]
            children, text = [], []
            for kid in kids:
                if not isinstance(kid, pikepdf.Dictionary):
                    text.append(self.marked.get((page, int(kid)), ""))
                elif kid.get("/Type") == "/MCR":
                    text.append(self.marked.get((numbers[kid.Pg.objgen] if "/Pg" in kid else page, int(kid.MCID)), ""))
                elif "/S" in kid:
                    children.append(element(kid, page))
                    text.append(children[-1].text)
            kind = str(node.get("/S", "/Root"))[1:]
            return Element(kind, str(node.get("/Alt", "")), "\n".join(text), tuple(children))

        return element(self.pdf.Root.StructTreeRoot, None)

    @property
    def ordered(self) -> str:
        """All text in the order of the tags, spaces made single."""
        return " ".join(self.tree.text.split())

    def elements(self, *kinds: str) -> list[Element]:
        return [one for one in self.tree.walk() if one.kind in kinds]

    @property
    def headings(self) -> list[tuple[int, str]]:
        found = [one for one in self.tree.walk() if one.kind in ("H1", "H2", "H3", "H4", "H5", "H6")]
        return [(int(one.kind[1]), " ".join(one.text.split())) for one in found]

    def fonts(self) -> list[Any]:
        """The descriptors of every font on every page."""
        found = {}
        for page in self.pdf.pages:
            for _, font in page.get("/Resources", {}).get("/Font", {}).items():
                inner = font.DescendantFonts[0] if "/DescendantFonts" in font else font
                found[str(inner.BaseFont)] = inner.FontDescriptor
        return list(found.values())

    def grey(self, number: int, box: tuple[float, float, float, float], side: int = 64) -> np.ndarray:
        """A part of a page (x0, top, x1, bottom in points) as it prints in grey, side x side, 0..255."""
        page = self.plumbed.pages[number].crop(box, strict=False)
        picture = page.to_image(resolution=100).original.convert("L").resize((side, side))
        return np.asarray(picture, np.float64)


def assert_accessible(reading: Reading) -> None:
    """Tagged, titled, with a language; one main heading and no level left out; every picture told; fonts embedded."""
    root = reading.pdf.Root
    assert bool(root.MarkInfo.Marked)
    assert str(root.Lang) == "en-GB" or str(root.Lang) == "en"
    assert bool(root.ViewerPreferences.DisplayDocTitle)
    with reading.pdf.open_metadata() as meta:
        assert meta["pdfuaid:part"] == "1"
        assert meta["dc:title"]
    levels = [level for level, _ in reading.headings]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in zip(levels, levels[1:], strict=False))
    assert all(one.alt.strip() for one in reading.elements("Figure"))
    assert all(any(cell.kind == "TH" for cell in table.walk()) for table in reading.elements("Table"))
    descriptors = reading.fonts()
    assert descriptors
    assert all(any(f"/FontFile{kind}" in one for kind in ("", "2", "3")) for one in descriptors)


@pytest.fixture(scope="session")
def read_pdf() -> Callable[[bytes], Reading]:
    """Read a PDF's bytes with other tools than made it."""
    return Reading


@pytest.fixture(scope="session")
def accessible() -> Callable[[Reading], None]:
    """Assert that a PDF can be read aloud and printed anywhere."""
    return assert_accessible
