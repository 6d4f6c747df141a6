"""Lengths of time in words."""

from batiksim.texts.catalogue import Message, say


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
