"""Other lights and wet cloth: how a reflectance looks there, and which colours match by day but part by lamp."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.kubelka_munk import wet_reflectance
from batiksim.colour.spaces import adapt, xyz_to_lab
from batiksim.colour.spectra import reflectance_to_xyz, white_point
from batiksim.errors import BatikError, nearest
from batiksim.types import Floats, Look

__all__ = [
    "DAY",
    "LIGHT_WORDS",
    "Parting",
    "other_lights",
    "parting_words",
    "partings",
    "seen_as",
    "seen_weights",
    "seen_xyz",
]

DAY = "D65"
LIGHT_WORDS = MappingProxyType(
    {"D65": "daylight", "D50": "warm daylight", "A": "a filament lamp", "LED": "a white LED"}
)
LAMPS = ("A", "LED")
# CIEDE2000. Below the first two cloths side by side pass for one colour; from the second on anyone sees two. Common
# practice in judging textile matches, no source; the figures are assumptions.
SAME, APART = 1.5, 3.0
BLOCK = 512  # rows of pairs at a time: bounds the memory


@dataclass(frozen=True, kw_only=True)
class Parting:
    """Two colours that match under one light, mostly by day, and part under another, mostly by lamp.

    one, other : their places in what was given, one < other
    day : the light under which they match; lamp : the one that parts them most
    by_day, by_lamp : CIEDE2000 between them under `day` and under `lamp`
    """

    one: int
    other: int
    day: str
    lamp: str
    by_day: float
    by_lamp: float


def seen_xyz(reflectance: ArrayLike, *, light: str = DAY, look: Look = "dry") -> Floats:
    """XYZ (..., 3) of dry cloth of a reflectance (..., 31; 0..1) as an eye used to the light sees it.

    light : one of `spectra.LIGHTS`; Bradford adaptation brings it to D65, so white stays white
    look : "wet" shows it wet, approximately (see `mixing.wet_reflectance`)
    """
    values = np.asarray(reflectance, dtype=np.float64)
    xyz = reflectance_to_xyz(wet_reflectance(values) if look == "wet" else values, light)
    return xyz if light == DAY else adapt(xyz, white_point(light), white_point(DAY))


@cache
def seen_weights(light: str = DAY) -> Floats:
    """(31, 3), read-only: dry reflectances @ weights are what `seen_xyz` gives."""
    weights = seen_xyz(np.eye(31), light=light)
    weights.setflags(write=False)
    return weights


def seen_as(light: str, look: Look) -> str:
    """The light and look in words, for a title: "by daylight", "wet (approximate), under a white LED"."""
    if light not in LIGHT_WORDS:
        raise BatikError("is not a known light", field="light", got=light, fix=nearest(light, LIGHT_WORDS))
    words = f"{'by' if light in ('D65', 'D50') else 'under'} {LIGHT_WORDS[light]}"
    return f"wet (approximate), {words}" if look == "wet" else words


def partings(
    reflectances: ArrayLike,
    *,
    day: str = DAY,
    lamps: Sequence[str] | None = None,
    same: float = SAME,
    apart: float = APART,
) -> tuple[Parting, ...]:
    """Pairs among dry reflectances (n, 31) that match by day and part by lamp, the furthest parted first.

    day : the light under which they are matched, at most `same` apart (CIEDE2000)
    lamps : they part by at least `apart` under one of these, each with its own adaptation; the filament lamp and the
        LED when left out, or daylight in place of the one under which they are matched
    """
    values = np.asarray(reflectances, dtype=np.float64)
    lamps = other_lights(day) if lamps is None else lamps
    matched = xyz_to_lab(seen_xyz(values, light=day))
    lit = {lamp: xyz_to_lab(seen_xyz(values, light=lamp)) for lamp in lamps}
    found = []
    for first in range(0, len(values), BLOCK):
        one, other = _matching(matched, first, same)
        gaps = {lamp: delta_e_2000(labs[one], labs[other]) for lamp, labs in lit.items()}
        by_day = delta_e_2000(matched[one], matched[other])
        for at, pair in enumerate(zip(one.tolist(), other.tolist(), strict=True)):
            by_lamp, lamp = max((float(gaps[name][at]), name) for name in lamps)
            if by_lamp >= apart:
                close = float(by_day[at])
                found.append(Parting(one=pair[0], other=pair[1], day=day, lamp=lamp, by_day=close, by_lamp=by_lamp))
    return tuple(sorted(found, key=lambda pair: (-pair.by_lamp, pair.one, pair.other)))


def other_lights(light: str) -> tuple[str, ...]:
    """The lights beside which a colour seen by one is to be looked at: both lamps, or daylight in place of a lamp."""
    return tuple(lamp if lamp != light else DAY for lamp in LAMPS)


def _matching(labs: Floats, first: int, same: float) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Places of pairs (one < other, one in the block from `first`) at most `same` apart."""
    one, other = np.nonzero(np.abs(labs[first : first + BLOCK, None, 0] - labs[None, :, 0]) <= 2 * same)
    one += first
    one, other = one[one < other], other[one < other]
    near = delta_e_2000(labs[one], labs[other]) <= same
    return one[near], other[near]


def parting_words(one: str, other: str, pair: Parting) -> str:
    """A parting as a sentence; one, other : what the two colours are called."""
    day, lamp = (_by(light) for light in (pair.day, pair.lamp))
    return (
        f"{one[:1].upper()}{one[1:]} and {other} match {day} and part {lamp} "
        f"(colour difference {pair.by_day:.1f} {day}, {pair.by_lamp:.1f} {lamp}; 1 is just seen)."
    )


def _by(light: str) -> str:
    return "by day" if light == DAY else seen_as(light, "dry")
