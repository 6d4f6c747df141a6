"""Layers of dye in words: "sun yellow 1 + sea blue 0.5". A dye's own name may end in a number ("navy 21")."""

import math
import re
from collections.abc import Iterable, Iterator

from batiksim.errors import BatikError
from batiksim.files.measurements.numbers import finite
from batiksim.values import Layers

UNDYED = "undyed"
# A strength written in another way: "moss=0.5" as in pots, "moss 0,5", "moss 50 %".
_OTHERWISE = re.compile(r"(?P<dye>.*?\S)(?P<sign>\s*=\s*|\s+)(?P<number>\d*[.,]?\d+)\s*(?P<percent>%?)")


# What tables and other programs leave where a number is missing.
_MISSING = frozenset({"nan", "inf", "-inf", "infinity", "n/a", "#n/a", "na", "none", "null", "-", "?"})


def layers_text(layers: Layers) -> str:
    """Layers in words. Every dye has its strength behind it, so that a number in its name does no harm."""
    return " + ".join(f"{dye} {_strength_text(strength)}" for dye, strength in layers) or UNDYED


def _strength_text(strength: float) -> str:
    """With a point where a whole number could be the end of a name."""
    return f"{strength:.1f}" if strength >= 2 and strength == math.floor(strength) else f"{strength:g}"


def read_layers(text: str, *, known: Iterable[str] = ()) -> Layers:
    """Layers from words; a dye without a strength is at full strength.

    known : names of dyes; what is one of them as a whole is that dye, though it ends in a number
    errors : BatikError where no dye is named, for strengths written as 0,5 or 50% or behind =, and for missing ones
    """
    names = frozenset(known)
    layers = []
    for part in _parts(text):
        dye, strength = (part, None) if part in names else _split(part)
        if not dye:
            raise BatikError("files.error.no_dye", got=text)
        _check_strength(part)
        layers.append((dye, 1.0 if strength is None else strength))
    return tuple(layers)


def _check_strength(part: str) -> None:
    """BatikError for a strength that is missing, or written in another way than `read_layers` reads."""
    before, _, last = part.rpartition(" ")
    if before and last.casefold() in _MISSING:
        raise BatikError("files.error.no_strength", got=part, dye=before.strip())
    given = _OTHERWISE.fullmatch(part)
    if given is None or not ("=" in given["sign"] or "," in given["number"] or given["percent"]):
        return
    strength = float(given["number"].replace(",", ".")) / (100 if given["percent"] else 1)
    raise BatikError("files.error.strength_unreadable", got=part, right=f"{given['dye']} {strength:g}", text=part)


def dye_names(texts: Iterable[str], known: Iterable[str] = ()) -> frozenset[str]:
    """The names of dyes, as far as texts leave no doubt.

    known : so are these; and what stands alone, or before a strength that can't end a name ("navy 21 0.5", "red 2.0")
    """
    parts = [part for text in texts for part in _parts(text)]
    return frozenset([*known, *(_split(part)[0] for part in parts if not _ends_a_name(part, least=1))])


def check_plain(text: str, known: frozenset[str]) -> None:
    """BatikError for a number that may be the end of a name or a strength, with nothing to show which.

    known : as `dye_names` gives them of all texts
    """
    numbered = {name.rpartition(" ")[0] for name in known if _ends_a_name(name, least=0)}
    for part in _parts(text):
        dye, strength = _split(part)
        least = 1 if dye in numbered else 2
        if _ends_a_name(part, least=least) and part not in known and dye not in known:
            fix = f"files.error.name_or_strength.{'full' if strength == 1 else 'times'}"
            raise BatikError("files.error.name_or_strength", got=part, fix=fix, text=part, dye=dye, strength=strength)


def _ends_a_name(part: str, *, least: int) -> bool:
    """Whether what is read as a strength may well be the end of a name: a whole number without a point."""
    last = part.rpartition(" ")[2]
    return _split(part)[1] is not None and last.isdecimal() and int(last) >= least


def _parts(text: str) -> Iterator[str]:
    if text.strip().casefold() not in ("", UNDYED):
        yield from (part.strip() for part in text.split("+"))


def _split(part: str) -> tuple[str, float | None]:
    """A dye and the strength behind it, if there is one."""
    dye, _, last = part.rpartition(" ")
    strength = finite(last)
    return (part, None) if strength is None else (dye.strip(), strength)
