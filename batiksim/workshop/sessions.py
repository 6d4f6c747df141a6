"""Sessions from words: how many and how long."""

import re

from batiksim.errors import BatikError

_NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_NUMBER = rf"\d+|a|an|{'|'.join(_NUMBERS)}"
_OF = r"[x×*]|(?:evening|session|afternoon|morning|day|class|time|workshop)(?:e?s)?(?:\s+of)?"
_TERM = re.compile(rf"(?:({_NUMBER})\s*(?:{_OF})\s*)?(\d+(?:[.,]\d+)?|{_NUMBER})\s*(hours?|h|minutes?|min)(?:\s+each)?")
MOST_SITTINGS = 60
SHORTEST_MIN = 45.0  # setting up and clearing away leave nothing of less


def read_sessions(text: str) -> tuple[float, ...]:
    """Minutes of each sitting from words: "2x2h", "two evenings of 2 hours", "1 x 3 h + 2 h", "90 min, 2x2.5h".

    errors : BatikError for anything else, for none and for more than 60
    """
    sittings: list[float] = []
    for term in re.split(r"[+;]|,(?!\d)|\band\b", text):
        match = _TERM.fullmatch(term.strip().lower())
        if match is None:
            raise BatikError("workshop.error.sessions", field="sessions", got=text)
        many, length, unit = match.groups()
        minutes = _number(length) * (60 if unit.startswith("h") else 1)
        if not SHORTEST_MIN <= minutes <= 16 * 60:
            raise BatikError("workshop.error.session_length", field="sessions", got=term.strip())
        sittings += [minutes] * min(int(_number(many or "1")), MOST_SITTINGS + 1)
    if not 1 <= len(sittings) <= MOST_SITTINGS:
        raise BatikError("workshop.error.session_count", field="sessions", got=text, most=MOST_SITTINGS)
    return tuple(sittings)


def _number(word: str) -> float:
    if word in ("a", "an"):
        return 1.0
    return _NUMBERS.index(word) + 1.0 if word in _NUMBERS else float(word.replace(",", "."))
