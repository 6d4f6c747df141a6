"""Layers of dye in words: "sun yellow 1 + sea blue 0.5". A dye's own name may end in a number ("navy 21")."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator

from batiksim.errors import BatikError
from batiksim.values import Layers

__all__ = ["UNDYED", "check_plain", "dye_names", "layers_text", "read_layers"]

UNDYED = "undyed"
# A strength written in another way: "moss=0.5" as in pots, "moss 0,5", "moss 50 %".
_OTHERWISE = re.compile(r"(?P<dye>.*?\S)(?P<sign>\s*=\s*|\s+)(?P<number>\d*[.,]?\d+)\s*(?P<percent>%?)")


def layers_text(layers: Layers) -> str:
    """Layers in words. Every dye has its strength behind it, so that a number in its name does no harm."""
    return " + ".join(f"{dye} {strength:g}" for dye, strength in layers) or UNDYED


def read_layers(text: str, *, known: Iterable[str] = ()) -> Layers:
    """Layers from words; a dye without a strength is at full strength.

    known : names of dyes; what is one of them as a whole is that dye, though it ends in a number
    errors : BatikError where no dye is named, and for strengths written as 0,5 or 50% or behind =
    """
    names = frozenset(known)
    layers = []
    for part in _parts(text):
        dye, strength = (part, None) if part in names else _split(part)
        if not dye:
            raise BatikError("names no dye", got=text, fix='write "sun yellow 1 + sea blue 0.5", or "undyed"')
        _check_strength(part)
        layers.append((dye, 1.0 if strength is None else strength))
    return tuple(layers)


def _check_strength(part: str) -> None:
    """BatikError for a strength that is written in another way than `read_layers` reads."""
    given = _OTHERWISE.fullmatch(part)
    if given is None or not ("=" in given["sign"] or "," in given["number"] or given["percent"]):
        return
    strength = float(given["number"].replace(",", ".")) / (100 if given["percent"] else 1)
    fix = f'write "{given["dye"]} {strength:g}"; or "{part} 1" where all of it is the dye\'s name'
    raise BatikError("has a strength that can't be read", got=part, fix=fix)


def dye_names(texts: Iterable[str], known: Iterable[str] = ()) -> frozenset[str]:
    """The names of dyes, as far as texts leave no doubt.

    known : so are these; and what stands alone, or before a strength that hardly ends a name ("navy 21 0.5", "red 1")
    """
    split = [_split(part) for text in texts for part in _parts(text)]
    return frozenset([*known, *(dye for dye, strength in split if not _ends_a_name(strength))])


def check_plain(text: str, known: frozenset[str]) -> None:
    """BatikError for a number that may be the end of a name or a strength, and nothing tells which.

    known : as `dye_names` gives them of all texts
    """
    for part in _parts(text):
        dye, strength = _split(part)
        if _ends_a_name(strength) and part not in known and dye not in known:
            raise BatikError(
                "may be a dye's name, or a dye and its strength", got=part, fix=f'write the strength too: "{part} 1"'
            )


def _ends_a_name(strength: float | None) -> bool:
    """Whether what was read as a strength may well be the end of a name: a whole number of 2 or more."""
    return strength is not None and strength >= 2 and strength == math.floor(strength)


def _parts(text: str) -> Iterator[str]:
    if text.strip().casefold() not in ("", UNDYED):
        yield from (part.strip() for part in text.split("+"))


def _split(part: str) -> tuple[str, float | None]:
    """A dye and the strength behind it, if there is one."""
    dye, _, last = part.rpartition(" ")
    try:
        strength = float(last)
    except ValueError:
        return part, None
    return (dye.strip(), strength) if math.isfinite(strength) else (part, None)
