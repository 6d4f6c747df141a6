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
from batiksim.types import Floats, alone, as_triples, finite
from batiksim.values.colour_words import history_names

_DATA = Path(__file__).resolve().parent.parent / "data"
_TABLE = _DATA / "iscc_nbs_centroids_srgb.csv"
_WORDS = tomllib.loads((_DATA / "plain_colour_names.toml").read_text("utf-8"))


@dataclass(frozen=True, kw_only=True)
class ColourName:
    """A colour in words.

    Parameters
    ----------
    name : str
        ISCC-NBS, small letters: "deep yellowish pink".
    plain : str
        What makers call it: "pink". A published name that reaches over two such words has either.

    Notes
    -----
    Both are codes, English whatever is spoken.

    Examples
    --------
    >>> batiksim.colour.colour_name([40, 55, 20])
    ColourName(name='vivid red', plain='red')
    """

    name: str
    plain: str


def layered(names: Iterable[str]) -> Message | str:
    """Dyes over one another, from the lowest up: "ink over straw". Takes "discharge" for a bleaching."""
    return reduce(lambda lower, upper: say("colour.over", upper=upper, lower=lower), history_names(tuple(names)))


def colour_name(lab: ArrayLike) -> ColourName:
    """The name of one colour.

    Parameters
    ----------
    lab : array_like, (3,)
        CIELAB, D65; L* 0..100.

    Returns
    -------
    ColourName
        The nearest of `known_names` by CIEDE2000.

    Raises
    ------
    TypeError, ValueError
        If `lab` isn't three finite numbers.

    See Also
    --------
    colour_names : Of many at once.

    Notes
    -----
    ISCC-NBS centroids: Kelly and Judd, NBS Special Publication 440 (1976). The plain words are this project's own.

    Examples
    --------
    >>> batiksim.colour.colour_name(batiksim.colour.hex_to_lab("#1c3f94")).plain
    'blue'
    """
    return colour_names(alone(as_triples(lab, "lab"), "lab"))[0]


def colour_names(labs: ArrayLike) -> list[ColourName]:
    """The names of many colours.

    Parameters
    ----------
    labs : array_like, (..., 3)
        CIELAB, D65; L* 0..100.

    Returns
    -------
    list of ColourName
        One for each colour, row by row, the nearest of `known_names` by CIEDE2000.

    Raises
    ------
    TypeError, ValueError
        If `labs` isn't finite numbers, or its last axis isn't 3.

    See Also
    --------
    colour_name : Of one alone, with the sources.

    Examples
    --------
    >>> [one.name for one in batiksim.colour.colour_names([[95, 0, 0], [5, 0, 0]])]
    ['white', 'black']
    """
    names, centroids = known_names()
    triples = finite(as_triples(labs, "labs"), "labs").reshape(-1, 1, 3)
    nearest = np.argmin(delta_e_2000(triples, centroids), axis=-1).tolist()
    return [
        ColourName(name=names[at].name, plain=_turned(_plain(names[at].name), lab))
        for at, lab in zip(nearest, triples[:, 0].tolist(), strict=True)
    ]


@cache
def known_names() -> tuple[tuple[ColourName, ...], Floats]:
    """All published names with their colours.

    Returns
    -------
    names : tuple of ColourName
        All 267 of them.
    centroids : numpy.ndarray, (267, 3)
        Their CIELAB, D65, read-only.

    Notes
    -----
    ISCC-NBS centroids: Kelly and Judd, NBS Special Publication 440 (1976), public domain. Spelling here is British.

    Examples
    --------
    >>> names, centroids = batiksim.colour.known_names()
    >>> len(names), names[0].name
    (267, 'black')
    """
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
