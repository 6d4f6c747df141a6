"""Parts of sentences: words in a row, shares, the step that is meant."""

from collections.abc import Sequence

from batiksim.texts.catalogue import Message, say
from batiksim.texts.catalogue import capital as capital


def listed(words: Sequence[object]) -> Message:
    """Words in a row: "a", "a and b", "a, b and c"."""
    return say("phrase.listed", words=tuple(words))


def percent(share: float, *, whole: bool = False) -> Message:
    """A share (1 is all) in percent, with no digit more than it needs: "12%", "3.4%", "99.6%", "0.03%", "0%".

    whole : whole percents only, as on sheets: "under 1%"
    """
    value = 100 * share
    if whole:
        return say("phrase.under_1_percent") if 0 < value < 1 else say("phrase.percent", value=round(value))
    if 0 < value < 0.01:
        return say("phrase.under_0_01_percent")
    edge = min(value, 100 - value) if 90 < value < 100 else value
    places = 0 if edge >= 10 or 1 <= edge < value else 1 if edge >= 0.1 else 2
    return say("phrase.percent", value=float(f"{value:.{places}f}"))
