"""Letters that no typeface on this computer has: heard of while sheets are made, told in one note a script."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from batiksim.texts.catalogue import Message, say, texts

MOST_NAMED, MOST_QUOTED = 8, 60  # letters of one script that are named, and of the text that they are in
_OFFERED = {"Hani": "CJK", "Hira": "CJK", "Kana": "CJK", "Hang": "CJK", "Zyyy": "Symbols"}
_heard: ContextVar[dict[str, dict[str, str]] | None] = ContextVar("letters", default=None)


@contextmanager
def hearing() -> Iterator[Callable[[], tuple[Message, ...]]]:
    """Hear of letters that are left out in the block, and in threads that are given its context; gives their notes."""
    heard: dict[str, dict[str, str]] = {}
    token = _heard.set(heard)
    try:
        yield lambda: tuple(_note(script, letters) for script, letters in sorted(heard.items()))
    finally:
        _heard.reset(token)


def left_out(letter: str, script: str, text: str) -> None:
    """Tell of a letter that was left out of a text. script : its code of ISO 15924 ("Java")."""
    heard = _heard.get()
    if heard is not None:
        heard.setdefault(script, {}).setdefault(letter, text)


def _note(script: str, letters: dict[str, str]) -> Message:
    from babel import Locale
    from fontTools.unicodedata import script_name

    names = Locale.parse(texts().locale).scripts
    offered = _OFFERED.get(script) or script_name(script).replace("_", " ")
    text = " ".join(next(iter(letters.values())).split())
    return say(
        "sheets.fonts.missing",
        letters=(*list(letters)[:MOST_NAMED], *["…"][: len(letters) > MOST_NAMED]),
        script=say("sheets.fonts.signs") if script == "Zyyy" else names.get(script, script),
        text=text if len(text) <= MOST_QUOTED else text[:MOST_QUOTED] + "…",
        typeface=f"Noto Sans {offered}",
    )
