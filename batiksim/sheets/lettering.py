"""Type for sheets: which face, how wide, where to break a line, what to do about a missing letter.

Sizes and widths are pixels. Alegreya for titles and Alegreya Sans for the rest ship in `data/fonts`; letters they
lack come from a face of the machine if one has them, else a plain stand-in is written.
"""

import re
import unicodedata
from collections.abc import Iterable
from functools import lru_cache
from itertools import groupby
from pathlib import Path
from typing import Literal, NotRequired, TypedDict, Unpack

from PIL import ImageDraw, ImageFont, features

from batiksim.texts.catalogue import Message

FONT_FOLDER = Path(__file__).parent.parent / "data" / "fonts"
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
_OTHERS = (
    "DejaVuSans.ttf",
    "NotoSans-Regular.ttf",
    "NotoSansCJK-Regular.ttc",
    "wqy-zenhei.ttc",
    "Arial Unicode.ttf",
    "seguisym.ttf",
    "msyh.ttc",
    "msgothic.ttc",
    "arial.ttf",
)
_PLAIN = {"→": "›", "←": "‹", "≈": "~", "✓": "+", "\u2011": "-", "\u202f": "\u00a0", "\u2010": "-"}
_PLAIN |= {sign: f"\u00a0{top}/8" for sign, top in zip("⅛⅜⅝⅞", "1357", strict=True)}
STAND_IN = "·"
_NO_LETTER = "\U0010fffe"
_UNIT = re.compile(r"(?<=\d) (?=(?:mm|cm|m|km|ml|l|g|kg|h|min|s|%|°C|×)(?![\w²]))|(?<=×) (?=\d)")
_SHAPED = bool(features.check_feature("raqm"))
_FIGURES = ["lnum", "kern"] if _SHAPED else None


@lru_cache(maxsize=128)
def _face(file: str, size: int) -> ImageFont.FreeTypeFont:
    name = FONT_FOLDER / file if file in _FILES.values() else file
    return ImageFont.truetype(name, size)


@lru_cache(maxsize=4096)
def _has(file: str, letter: str) -> bool:
    """Whether the face draws this letter rather than its empty box."""
    if unicodedata.category(letter) in {"Mn", "Cf", "Zs"}:
        return True
    face = _face(file, 24)
    shape, box = face.getmask(letter), face.getmask(_NO_LETTER)
    return not (shape.size == box.size and bytes(shape) == bytes(box))


@lru_cache(maxsize=1)
def _other_files() -> tuple[str, ...]:
    found = []
    for file in _OTHERS:
        try:
            _face(file, 24)
        except OSError:
            continue
        found.append(file)
    return tuple(found)


@lru_cache(maxsize=2048)
def _place(letter: str, file: str) -> tuple[str, str]:
    """The file that has the letter, and the letter to write with it."""
    if letter < "\u0250" or _has(file, letter):
        return file, letter
    if letter in _PLAIN:
        return file, _PLAIN[letter]
    for other in _other_files():
        if _has(other, letter):
            return other, letter
    base = unicodedata.normalize("NFKD", letter)[0]
    return file, base if _has(file, base) else STAND_IN


@lru_cache(maxsize=4096)
def _runs(text: str, style: str) -> tuple[tuple[str, str], ...]:
    file = _FILES[style]
    if text.isascii():
        return ((file, text),)
    placed = _words_together([_place(letter, file) for letter in unicodedata.normalize("NFC", text)])
    return tuple((name, "".join(part for _, part in group)) for name, group in groupby(placed, key=lambda p: p[0]))


def _words_together(placed: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """Spaces between words of one other face go to that face: what is written from the right keeps its order."""
    for at in range(1, len(placed) - 1):
        before, after = placed[at - 1][0], placed[at + 1][0]
        if placed[at][1].isspace() and before == after:
            placed[at] = before, placed[at][1]
    return placed


@lru_cache(maxsize=8192)
def text_width(text: str, style: Style, size: int) -> float:
    """Pixels that one line of text takes."""
    return float(sum(_face(file, size).getlength(part, features=_FIGURES) for file, part in _runs(text, style)))


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
    for file, part in _runs(text, style):
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
