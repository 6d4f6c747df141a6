"""Parts of sentences: words in a row, shares, lengths of time, the step that is meant."""

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


def minutes_words(minutes: float) -> Message:
    """A length of time: "45 min", "2 h", "1 h 40 min"."""
    whole = round(minutes) if minutes < 60 else 5 * round(minutes / 5)
    hours, rest = divmod(whole, 60)
    if not hours:
        return say("phrase.minutes", minutes=rest)
    return say("phrase.hours_minutes", hours=hours, minutes=rest) if rest else say("phrase.hours", hours=hours)


def hours_words(short: float, long: float) -> Message:
    """A span of hours: "24 to 48 h", "2 h", and minutes where it is short."""
    if long < 1.5:
        few, many = round(short * 60), round(long * 60)
        return say("phrase.minutes", minutes=few) if few == many else say("phrase.minutes_range", least=few, most=many)
    least, most = (round(hours) if hours >= 5 else round(2 * hours) / 2 for hours in (short, long))
    return say("phrase.hours", hours=least) if least == most else say("phrase.hours_range", least=least, most=most)


def clock(minutes: float) -> str:
    """Minutes into a sitting as a clock shows them: "1:05"."""
    hours, rest = divmod(round(minutes), 60)
    return str(say("phrase.clock", hours=hours, minutes=rest))
