"""The difference between two colours in a dyer's words: "a little greener and darker"."""

import numpy as np
from numpy.typing import ArrayLike

from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.texts.catalogue import Message, say
from batiksim.types import Floats, alone, as_triples

# Where in CIELAB a maker would place the pure hues, degrees; set by eye.
_HUES = {"redder": 25.0, "yellower": 90.0, "greener": 160.0, "bluer": 270.0, "more_purple": 320.0}
NEUTRAL = 6.0  # CIELAB chroma below which a colour has no hue of its own to turn; assumption
_SEEN = 0.5  # CIEDE2000; assumption, as in the checks
_DEGREES = ((1.0, "barely"), (2.5, "a_touch"), (5.0, "a_little"), (12.0, "clearly"), (np.inf, "much"))
NO_DIFFERENCE = say("colour.difference.same")
_LEAST_SHARE = 0.4  # of the largest part of a difference, for another part to be worth a word; assumption


def difference_words(start: ArrayLike, end: ArrayLike) -> Message:
    """How one colour differs from another, in a dyer's words.

    Parameters
    ----------
    start, end : array_like, (3,)
        CIELAB, D65; L* 0..100.

    Returns
    -------
    Message
        How `end` differs from `start`; ``str`` gives it in the language spoken: "a touch paler", "the same".

    Raises
    ------
    TypeError, ValueError
        If an argument isn't three finite numbers.

    Notes
    -----
    Lightness, chroma and hue are weighed as CIEDE2000 does (see `delta_e_2000`); what counts for little beside the rest
    is left out. Below CIEDE2000 0.5 two colours are the same; that and the degrees ("a little", "much") are assumed.

    Examples
    --------
    >>> print(batiksim.colour.difference_words([50, 30, 20], [47, 26, 20]))
    a little darker, yellower and duller
    """
    first, second = alone(as_triples(start, "start"), "start"), alone(as_triples(end, "end"), "end")
    delta_e = float(delta_e_2000(first, second))
    if delta_e < _SEEN:
        return NO_DIFFERENCE
    parts = [(float(delta_e_2000(first, lab)), way) for lab, way in _parts(first, second)]
    largest = max(size for size, _ in parts)
    ways = tuple(
        say(f"colour.way.{way}") for size, way in sorted(parts, reverse=True) if size >= _LEAST_SHARE * largest
    )
    degree = next(word for most, word in _DEGREES if delta_e < most)
    return say(f"colour.difference.{degree}", ways=ways)


def _parts(first: Floats, second: Floats) -> list[tuple[tuple[float, float, float], str]]:
    """The first colour with lightness, chroma or hue of the second alone, and which way each of them goes."""
    (l1, a1, b1), (l2, a2, b2) = first.tolist(), second.tolist()
    c1, c2 = float(np.hypot(a1, b1)), float(np.hypot(a2, b2))
    light = (l2, a1, b1), "paler" if l2 > l1 else "darker"
    if min(c1, c2) < NEUTRAL:
        towards = float(np.degrees(np.arctan2(b2 - b1, a2 - a1))) % 360
        greyer = c2 < c1 and c2 < NEUTRAL
        word = "greyer" if greyer else min(_HUES, key=lambda name: abs((_HUES[name] - towards + 180) % 360 - 180))
        return [light, ((l1, a2, b2), word)]
    scale = c2 / c1
    chroma = (l1, a1 * scale, b1 * scale), "clearer" if c2 > c1 else "duller"
    hue = (l1, a2 / scale, b2 / scale), _turn(a1, b1, a2, b2)
    return [light, chroma, hue]


def _turn(a1: float, b1: float, a2: float, b2: float) -> str:
    """The pure hue that a colour turns towards: the next one round the circle."""
    start = float(np.degrees(np.arctan2(b1, a1))) % 360
    turn = (float(np.degrees(np.arctan2(b2, a2))) - start + 180) % 360 - 180
    ahead = {name: ((hue - start) if turn > 0 else (start - hue)) % 360 for name, hue in _HUES.items()}
    # a hue that is all but reached, or that the turn runs past, says nothing: the one after it
    return min((name for name in ahead if ahead[name] > 0.9 * abs(turn)), key=lambda name: ahead[name])
