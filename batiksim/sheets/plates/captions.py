"""Words beside a plate: what was done, a line more, and its main colours as pieces of cloth with their names.

A caption is measured first (`high`), so that a sheet knows its own height before anything is drawn.
"""

import math
from dataclasses import dataclass
from functools import cached_property

from PIL import Image, ImageDraw

from batiksim.sheets.colours import QUIET
from batiksim.sheets.drawing import put, swatch
from batiksim.sheets.lettering import Lettering, Lines, lines_high
from batiksim.texts.catalogue import Message
from batiksim.texts.phrases import percent

Piece = tuple[str | Message, str, float]
Swatches = tuple[Piece, ...]


@dataclass(frozen=True, kw_only=True)
class Looks:
    """One kind of caption; lengths in pixels.

    title, detail, name : sizes of their letters
    piece : width and height of a swatch; with `strips` its width is the longest strip's
    strips : swatches are as long as their share of the cloth, and the share is written behind the name
    """

    title: int
    detail: int
    name: int
    piece: tuple[int, int]
    pitch: int
    detail_lines: int = 4
    most: int = 5
    strips: bool = False
    shares: bool = False


UNDER_PLATE = Looks(title=33, detail=27, name=26, piece=(46, 36), pitch=46)
FINISHED = Looks(
    title=60, detail=34, name=33, piece=(420, 64), pitch=86, detail_lines=6, most=9, strips=True, shares=True
)
FINISHED_WIDE = Looks(title=60, detail=34, name=33, piece=(92, 68), pitch=92, detail_lines=6, most=12, shares=True)


@dataclass(frozen=True, kw_only=True)
class Caption:
    """A title, a detail and swatches (colour name, "#rrggbb", share 0..1), set `wide` pixels wide."""

    looks: Looks
    wide: int
    title: str | Message
    detail: str | Message
    swatches: Swatches

    @cached_property
    def _words(self) -> Lines:
        looks = self.looks
        title, detail = Lettering("serif-bold", looks.title), Lettering("sans", looks.detail, QUIET)
        lines = [(line, title) for line in title.balanced(self.title, self.wide, lines=4)]
        told = detail.wrapped(self.detail, min(self.wide, 1000), lines=looks.detail_lines)
        return [*lines, *((line, detail) for line in told)]

    @property
    def _name(self) -> Lettering:
        return Lettering("sans", self.looks.name)

    @property
    def _share(self) -> Lettering:
        return Lettering("italic", self.looks.name, QUIET)

    @property
    def _after_title(self) -> int:
        return round(self.looks.title * 0.14)

    @cached_property
    def _pieces(self) -> Swatches:
        return self.swatches[: self.looks.most]

    @cached_property
    def _columns(self) -> int:
        """How many swatches stand side by side: as many as leave each name on one line, in even rows."""
        count = len(self._pieces)
        if self.looks.strips or count < 2:
            return 1
        widest = max(self._name.width(str(piece[0])) + self._share_width(piece) for piece in self._pieces)
        most = max(1, min(4, int(self.wide // (self.looks.piece[0] + widest + self.looks.name * 1.4))))
        return math.ceil(count / math.ceil(count / most))

    def _share_width(self, piece: Piece) -> float:
        return self._share.width(self._tail(piece))

    @cached_property
    def _names(self) -> list[list[str]]:
        """Each swatch's name, in two lines where one is too short."""
        size = self.looks.name
        room = self.wide / self._columns - self._long - size * (0.6 if self._columns == 1 else 1.4)
        return [
            self._name.wrapped(piece[0], room - self._share_width(piece), lines=2) or [""] for piece in self._pieces
        ]

    @property
    def _long(self) -> int:
        return min(self.looks.piece[0], round(self.wide * 0.4))

    @cached_property
    def _tops(self) -> list[int]:
        """Where each row of swatches starts below the first, and where the last one ends; long names take more."""
        tops = [0]
        for first in range(0, len(self._names), self._columns):
            lines = max(len(name) for name in self._names[first : first + self._columns])
            tops.append(tops[-1] + max(self.looks.pitch, round(lines * self.looks.name * 1.1 + 14)))
        return tops

    def _tail(self, piece: Piece) -> str:
        return f"  {percent(piece[2], whole=True)}" if self.looks.shares else ""

    @property
    def _before_pieces(self) -> float:
        return self.looks.detail * (1.2 if self.looks.shares else 0.85)

    @property
    def high(self) -> int:
        """Pixels from its top to its foot."""
        words = lines_high(self._words) + self._after_title
        return words + (round(self._before_pieces) + self._tops[-1] if self._pieces else 0)

    def write_on(self, sheet: Image.Image, x: int, y: int) -> None:
        """Write it with its top left corner at (x, y)."""
        draw, base = ImageDraw.Draw(sheet), float(y)
        for line, look in self._words:
            drop = self._after_title if look.style == "sans" else 0
            look.write(draw, (x, base + drop + look.size), line)
            base += look.high
        base += self._after_title + self._before_pieces
        step = self.wide / self._columns
        for place in range(len(self._pieces)):
            row, column = divmod(place, self._columns)
            top, end = self._tops[row : row + 2]
            lower = (end - top - self.looks.pitch) / 2  # swatches stand in the middle of a row of long names
            self._write_piece(sheet, place, (x + column * step, base + top + lower))

    def _write_piece(self, sheet: Image.Image, place: int, corner: tuple[float, float]) -> None:
        (_, colour, share), high, size = self._pieces[place], self.looks.piece[1], self.looks.name
        long, draw = self._long, ImageDraw.Draw(sheet)
        if self.looks.strips:
            most = max(piece[2] for piece in self._pieces) or 1.0
            long = max(round(high * 0.6), round(long * share / most))
        x, y = corner
        put(sheet, swatch(colour, long, high), (x + long / 2, y + high / 2))
        lines, left = self._names[place], x + self._long + size * 0.6
        base = y + high / 2 + size * 0.3 - (len(lines) - 1) * size * 0.55
        for line in lines:
            self._name.write(draw, (left, base), line)
            base += size * 1.1
        end = left + self._name.width(lines[-1])
        self._share.write(draw, (end, base - size * 1.1), self._tail(self._pieces[place]))
