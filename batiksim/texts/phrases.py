"""Parts of sentences: words in a row, first letters, shares."""

from __future__ import annotations

from collections.abc import Sequence

__all__ = ["capital", "listed", "percent"]


def listed(words: Sequence[str]) -> str:
    """Words in a row: "a", "a and b", "a, b and c"."""
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1]


def capital(text: str) -> str:
    """The text with its first letter large."""
    return text[:1].upper() + text[1:]


def percent(share: float, *, whole: bool = False) -> str:
    """A share (1 is all) in percent, with no digit more than it needs: "12%", "3.4%", "99.6%", "0.03%", "0%".

    whole : whole percents only, as on sheets: "under 1%"
    """
    value = 100 * share
    if whole:
        return "under 1%" if 0 < value < 1 else f"{value:.0f}%"
    if 0 < value < 0.01:
        return "under 0.01%"
    edge = min(value, 100 - value) if 90 < value < 100 else value
    places = 0 if edge >= 10 or 1 <= edge < value else 1 if edge >= 0.1 else 2
    return f"{float(f'{value:.{places}f}'):g}%"
