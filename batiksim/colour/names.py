"""Names for colours: the nearest of the 267 ISCC-NBS centroids, and one plain word.

Source: K. L. Kelly and D. B. Judd, "Color: Universal Language and Dictionary of Names", NBS Special Publication 440
(1976), public domain; centroids in sRGB, in `data/iscc_nbs_centroids_srgb.csv`; the plain words, in
`data/plain_colour_names.toml`, are this project's own. Spelling here is British.
"""

import csv
import math
import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache, reduce
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.spaces import hex_to_xyz, xyz_to_lab
from batiksim.texts.catalogue import Message, say
from batiksim.types import Floats, as_triples
from batiksim.values.colour_words import history_names

_DATA = Path(__file__).resolve().parent.parent / "data"
_TABLE = _DATA / "iscc_nbs_centroids_srgb.csv"
_WORDS = tomllib.loads((_DATA / "plain_colour_names.toml").read_text("utf-8"))


@dataclass(frozen=True, kw_only=True)
class ColourName:
    """A colour in words.

    name : ISCC-NBS, small letters: "deep yellowish pink"
    plain : what makers call it, one of `PLAIN`; a published name that reaches over two such words has either

    Both are codes, English whatever is spoken; a sentence takes `name_message` of them.
    """

    name: str
    plain: str


def layered(names: Iterable[str]) -> Message | str:
    """Dyes over one another, from the lowest up: "ink over straw". Takes "discharge" for a bleaching."""
    return reduce(lambda lower, upper: say("colour.over", upper=upper, lower=lower), history_names(tuple(names)))


def colour_name(lab: ArrayLike) -> ColourName:
    """The name of one CIELAB colour (3,), D65: the nearest centroid by CIEDE2000."""
    return colour_names(as_triples(lab, "lab")[None])[0]


def colour_names(labs: ArrayLike) -> list[ColourName]:
    """The names of CIELAB colours (n, 3), D65."""
    names, centroids = known_names()
    triples = as_triples(labs, "labs").reshape(-1, 1, 3)
    nearest = np.argmin(delta_e_2000(triples, centroids), axis=-1).tolist()
    return [
        ColourName(name=names[at].name, plain=_turned(_plain(names[at].name), lab))
        for at, lab in zip(nearest, triples[:, 0].tolist(), strict=True)
    ]


@cache
def known_names() -> tuple[tuple[ColourName, ...], Floats]:
    """All 267 names and their CIELAB centroids (267, 3), D65, read-only."""
    with _TABLE.open(encoding="utf-8", newline="") as table:
        rows = list(csv.DictReader(table))
    centroids = xyz_to_lab(np.array([hex_to_xyz("#" + row["hex"]) for row in rows]))
    centroids.setflags(write=False)
    titles = [row["title"].lower().replace("gray", "grey") for row in rows]
    names = tuple(
        ColourName(name=title, plain=_turned(_plain(title), lab))
        for title, lab in zip(titles, centroids.tolist(), strict=True)
    )
    return names, centroids


@cache
def _plain(name: str) -> str:
    """The plain word that a published name ends with."""
    return next((word for ending, word in _WORDS["endings"].items() if name.endswith(ending)), name.split()[-1])


def _turned(plain: str, lab: Sequence[float]) -> str:
    """The plain word that makers use for a colour, where it isn't its name's."""
    light, chroma, hue = lab[0], math.hypot(lab[1], lab[2]), math.degrees(math.atan2(lab[2], lab[1]))
    turned: str
    for word, *bounds, turned in _WORDS["turns"]:
        if word == plain and all(low <= x < high for x, (low, high) in zip((light, chroma, hue), bounds, strict=True)):
            return turned
    return plain
