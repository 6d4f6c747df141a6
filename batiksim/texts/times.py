"""Lengths of time in words."""


def minutes_words(minutes: float) -> str:
    """A length of time: "45 min", "2 h", "1 h 40 min"."""
    whole = round(minutes) if minutes < 60 else 5 * round(minutes / 5)
    hours, rest = divmod(whole, 60)
    return " ".join(
        part for part in (f"{hours} h" if hours else "", f"{rest} min" if rest or not hours else "") if part
    )


def clock(minutes: float) -> str:
    """Minutes into a sitting as a clock shows them: "1:05"."""
    whole = round(minutes)
    return f"{whole // 60}:{whole % 60:02d}"
