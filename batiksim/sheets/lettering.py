"""Lettering of sheets: how it looks, how wide it is, where a line is broken.

Sizes and widths are pixels. Alegreya for titles and Alegreya Sans for the rest; `typefaces` says where letters they
lack come from.
"""

import re
from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from PIL import ImageDraw, ImageFont, features

from batiksim.sheets.colours import INK
from batiksim.sheets.typefaces import runs, silent_runs
from batiksim.texts.catalogue import Message

Style = Literal["serif", "italic", "serif-bold", "sans", "sans-medium", "sans-bold"]
Align = Literal["left", "middle", "right"]
_FILES: dict[str, str] = {
    "serif": "Alegreya-Regular.ttf",
    "italic": "Alegreya-Italic.ttf",
    "serif-bold": "Alegreya-Bold.ttf",
    "sans": "AlegreyaSans-Regular.ttf",
    "sans-medium": "AlegreyaSans-Medium.ttf",
    "sans-bold": "AlegreyaSans-Bold.ttf",
}
BACK = {"left": 0.0, "middle": 0.5, "right": 1.0}
_UNIT = re.compile(r"(?<=\d) (?=(?:mm|cm|m|km|ml|l|g|kg|h|min|s|%|°C|×)(?![\w²]))|(?<=×) (?=\d)")
_FIGURES = ["lnum", "kern"] if features.check_feature("raqm") else None


@lru_cache(maxsize=128)
def _face(file: str, size: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(file, size)


@lru_cache(maxsize=8192)
def _width(text: str, style: Style, size: int) -> float:
    parts = silent_runs(text, _FILES[style])
    return float(sum(_face(file, size).getlength(part, features=_FIGURES) for file, part in parts))


def line_height(size: int) -> int:
    """Pixels from one baseline to the next."""
    return round(size * 1.28)


def _words(text: str | Message) -> list[str]:
    """What a line may be broken between: a number stays with its unit."""
    plain = " ".join(re.split(r"[^\S\u00a0\u202f]+", str(text).strip()))
    return [word for word in _UNIT.sub("\u00a0", plain).split(" ") if word]


@dataclass(frozen=True)
class Lettering:
    """How text looks: its style and size, its colour "#rrggbb", and what of a line stands at its place.

    lead : pixels from line to line, `line_height` of the size when left out
    """

    style: Style
    size: int
    fill: str = INK
    align: Align = "left"
    lead: int | None = None

    @property
    def high(self) -> int:
        """Pixels from one baseline to the next."""
        return line_height(self.size) if self.lead is None else self.lead

    def width(self, text: str) -> float:
        """Pixels that one line of text takes."""
        return _width(text, self.style, self.size)

    def back(self, text: str) -> float:
        """Pixels from a line's place back to where it begins, along the line."""
        return self.width(text) * BACK[self.align]

    def fitted(self, text: str | Message, room: float) -> str:
        """The text on one line, cut with an ellipsis where it would run past `room`."""
        line = " ".join(_words(text))
        if not line or self.width(line) <= room:
            return line
        lengths = range(len(line), 0, -1)
        cut = bisect_left(lengths, True, key=lambda length: self.width(line[:length].rstrip() + "…") <= room)
        return line[: len(line) - cut].rstrip(" ,;:·-") + "…"

    def wrapped(self, text: str | Message, room: float, *, lines: int) -> list[str]:
        """The text in at most `lines` lines no wider than `room`; what is left over ends in an ellipsis."""
        words = _words(text)
        done: list[str] = []
        while words and len(done) < lines:
            if len(done) == lines - 1:
                return [*done, self.fitted(" ".join(words), room)]
            line = ""
            while words and self.width(f"{line} {words[0]}".strip()) <= room:
                line = f"{line} {words.pop(0)}".strip()
            if not line:  # an overlong word: as much of it as there is room for, at least one letter
                word = words[0]
                length = next((most for most in range(len(word), 1, -1) if self.width(word[:most]) <= room), 1)
                line, words[0] = word[:length], word[length:]
            done.append(line)
        return done

    def balanced(self, text: str | Message, room: float, *, lines: int) -> list[str]:
        """As `wrapped`, with lines of about one length: no single word left below."""
        best = self.wrapped(text, room, lines=lines)
        if len(best) < 2 or best[-1].endswith("…"):
            return best
        for share in (0.9, 0.8, 0.7, 0.6):
            narrower = self.wrapped(text, room * share, lines=lines + 1)
            longest = max(map(self.width, _words(text)))
            if len(narrower) > len(best) or longest > room * share:
                break
            best = narrower
        return best

    def all_wrapped(self, texts: Iterable[str | Message], room: float, *, lines: int = 3) -> list[str]:
        """Several texts one below the other, each in at most `lines` lines."""
        return [line for text in texts for line in self.wrapped(text, room, lines=lines)]

    def write(
        self, draw: ImageDraw.ImageDraw, place: tuple[float, float], text: str | Message, room: float | None = None
    ) -> None:
        """One line of text, its baseline at `place` (x, y). room : what it is `fitted` to."""
        line = str(text) if room is None else self.fitted(text, room)
        x, y = place
        x -= self.back(line)
        for file, part in runs(line, _FILES[self.style]):
            face = _face(file, self.size)
            draw.text((x, y), part, font=face, fill=self.fill, anchor="ls", features=_FIGURES)
            x += face.getlength(part, features=_FIGURES)

    def write_lines(self, draw: ImageDraw.ImageDraw, place: tuple[float, float], lines: Iterable[str]) -> float:
        """Lines one below the other, the first one's baseline at `place`; returns where the next one's would be."""
        x, y = place
        for line in lines:
            self.write(draw, (x, y), line)
            y += self.high
        return y


Lines = Sequence[tuple[str, Lettering]]  # of several looks, one below the other


def lines_high(lines: Lines) -> int:
    """Pixels from the top of the first line to the top of one that would follow."""
    return sum(look.high for _, look in lines)


def write_head(draw: ImageDraw.ImageDraw, place: tuple[float, float], lines: Lines) -> float:
    """The lines of a sheet's head, their top left corner at `place`; returns where the next one's top would be."""
    x, y = place
    for line, look in lines:
        look.write(draw, (x, y + look.size * 0.8), line)
        y += look.high
    return y
