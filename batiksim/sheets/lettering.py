"""Type for sheets: which style, how wide, where to break a line.

Sizes and widths are pixels. Alegreya for titles and Alegreya Sans for the rest; `typefaces` says where letters they
lack come from.
"""

import re
from collections.abc import Iterable
from functools import lru_cache
from typing import Literal, NotRequired, TypedDict, Unpack

from PIL import ImageDraw, ImageFont, features

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
_UNIT = re.compile(r"(?<=\d) (?=(?:mm|cm|m|km|ml|l|g|kg|h|min|s|%|°C|×)(?![\w²]))|(?<=×) (?=\d)")
_SHAPED = bool(features.check_feature("raqm"))
_FIGURES = ["lnum", "kern"] if _SHAPED else None


@lru_cache(maxsize=128)
def _face(file: str, size: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(file, size)


@lru_cache(maxsize=8192)
def text_width(text: str, style: Style, size: int) -> float:
    """Pixels that one line of text takes."""
    parts = silent_runs(text, _FILES[style])
    return float(sum(_face(file, size).getlength(part, features=_FIGURES) for file, part in parts))


def line_height(size: int) -> int:
    """Pixels from one baseline to the next."""
    return round(size * 1.28)


class Look(TypedDict):
    """How lines look, beside their size."""

    style: Style
    fill: str
    align: NotRequired[Align]


def write(
    draw: ImageDraw.ImageDraw,
    place: tuple[float, float],
    text: str,
    *,
    style: Style,
    size: int,
    fill: str,
    align: Align = "left",
) -> None:
    """One line of text, its baseline at `place` (x, y)."""
    x, y = place
    x -= text_width(text, style, size) * {"left": 0.0, "middle": 0.5, "right": 1.0}[align]
    for file, part in runs(text, _FILES[style]):
        face = _face(file, size)
        draw.text((x, y), part, font=face, fill=fill, anchor="ls", features=_FIGURES)
        x += face.getlength(part, features=_FIGURES)


def write_lines(
    draw: ImageDraw.ImageDraw,
    place: tuple[float, float],
    lines: Iterable[str],
    *,
    size: int,
    lead: int | None = None,
    **look: Unpack[Look],
) -> float:
    """Lines one below the other, the first one's baseline at `place`; returns where the next one's would be.

    lead : from line to line, `line_height` of the size when left out; look : as of `write`
    """
    x, y = place
    for line in lines:
        write(draw, (x, y), line, size=size, **look)
        y += line_height(size) if lead is None else lead
    return y


def _words(text: str | Message) -> list[str]:
    """What a line may be broken between: a number stays with its unit."""
    plain = " ".join(re.split(r"[^\S\u00a0\u202f]+", str(text).strip()))
    return [word for word in _UNIT.sub("\u00a0", plain).split(" ") if word]


def fitted(text: str | Message, style: Style, size: int, width: float) -> str:
    """The text on one line, cut with an ellipsis where it would run past `width`."""
    line = " ".join(_words(text))
    if text_width(line, style, size) <= width:
        return line
    low, high = 0, len(line)
    while low < high:
        middle = (low + high + 1) // 2
        if text_width(line[:middle].rstrip() + "…", style, size) <= width:
            low = middle
        else:
            high = middle - 1
    return line[:low].rstrip(" ,;:·-") + "…"


def _head(word: str, style: Style, size: int, width: float) -> str:
    """As much of an overlong word as one line takes; at least one letter."""
    count = len(word)
    while count > 1 and text_width(word[:count], style, size) > width:
        count -= 1
    return word[:count]


def wrapped(text: str | Message, style: Style, size: int, width: float, *, lines: int) -> list[str]:
    """The text in at most `lines` lines no wider than `width`; what is left over ends in an ellipsis."""
    words = _words(text)
    done: list[str] = []
    while words and len(done) < lines:
        if len(done) == lines - 1:
            return [*done, fitted(" ".join(words), style, size, width)]
        line = ""
        while words and text_width(f"{line} {words[0]}".strip(), style, size) <= width:
            line = f"{line} {words.pop(0)}".strip()
        if not line:
            line = _head(words[0], style, size, width)
            words[0] = words[0][len(line) :]
        done.append(line)
    return done


def balanced(text: str | Message, style: Style, size: int, width: float, *, lines: int) -> list[str]:
    """As `wrapped`, with lines of about one length: no single word left below."""
    best = wrapped(text, style, size, width, lines=lines)
    if len(best) < 2 or best[-1].endswith("…"):
        return best
    for share in (0.9, 0.8, 0.7, 0.6):
        narrower = wrapped(text, style, size, width * share, lines=lines + 1)
        longest = max(text_width(word, style, size) for word in _words(text))
        if len(narrower) > len(best) or longest > width * share:
            break
        best = narrower
    return best
