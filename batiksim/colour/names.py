"""Names for colours: the nearest of the 267 ISCC-NBS centroids, and one plain word.

Source: K. L. Kelly and D. B. Judd, "Color: Universal Language and Dictionary of Names", NBS Special Publication 440
(1976), public domain; centroids in sRGB, in `data/iscc_nbs_centroids_srgb.csv`. Spelling here is British.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from batiksim.colour._checks import Floats, as_triples
from batiksim.colour.spaces import delta_e_2000, hex_to_xyz, xyz_to_lab

__all__ = ["PLAIN", "ColourName", "colour_name", "colour_names", "known_names"]

PLAIN = (
    "white",
    "grey",
    "black",
    "pink",
    "red",
    "orange",
    "brown",
    "yellow",
    "olive",
    "green",
    "blue",
    "purple",
    "yellow-green",
    "blue-green",
)
_TABLE = Path(__file__).resolve().parent.parent / "data" / "iscc_nbs_centroids_srgb.csv"
# The plain word is the name's last ("reddish brown" is brown), but for these. Blue-greens of either side go together:
# their overdyes look alike. Orange that is dark or dull is what makers call brown; vivid purplish red is hot pink; the
# published centroid of deep yellowish pink (#e66721) is what anybody calls orange.
_ENDINGS = {
    "yellow green": "yellow-green",
    "olive green": "olive",
    "bluish green": "blue-green",
    "greenish blue": "blue-green",
    "violet": "purple",
    "brownish orange": "brown",
    "dark reddish orange": "brown",
    "greyish reddish orange": "brown",
    "vivid purplish red": "pink",
    "deep yellowish pink": "orange",
}


@dataclass(frozen=True, kw_only=True)
class ColourName:
    """A colour in words.

    name : ISCC-NBS, small letters: "deep yellowish pink"
    plain : one of `PLAIN`
    """

    name: str
    plain: str


def colour_name(lab: ArrayLike) -> ColourName:
    """The name of one CIELAB colour (3,), D65: the nearest centroid by CIEDE2000."""
    triple = as_triples(lab, "lab")
    if triple.shape != (3,):
        raise ValueError(f"lab needs shape (3,), got {triple.shape}")
    return colour_names(triple[None])[0]


def colour_names(labs: ArrayLike) -> list[ColourName]:
    """The names of CIELAB colours (n, 3), D65."""
    names, centroids = known_names()
    triples = as_triples(labs, "labs").reshape(-1, 1, 3)
    return [names[at] for at in np.argmin(delta_e_2000(triples, centroids), axis=-1).tolist()]


@cache
def known_names() -> tuple[tuple[ColourName, ...], Floats]:
    """All 267 names and their CIELAB centroids (267, 3), D65, read-only."""
    with _TABLE.open(encoding="utf-8", newline="") as table:
        rows = list(csv.DictReader(table))
    names = tuple(_named(row["title"]) for row in rows)
    centroids = xyz_to_lab(np.array([hex_to_xyz("#" + row["hex"]) for row in rows]))
    centroids.setflags(write=False)
    return names, centroids


def _named(title: str) -> ColourName:
    name = title.lower().replace("gray", "grey")
    plain = next((word for ending, word in _ENDINGS.items() if name.endswith(ending)), name.split()[-1])
    if plain not in PLAIN:
        raise ValueError(f"{_TABLE.name}: no plain word for {title!r}")
    return ColourName(name=name, plain=plain)
