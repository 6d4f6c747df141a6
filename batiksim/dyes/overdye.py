"""Every dye over every dye: colours, names, where they turn to mud, in an order that keeps families together."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np

from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.cloth.loads import share_taken
from batiksim.colour.gamut import xyz_to_hex
from batiksim.colour.names import colour_names
from batiksim.colour.spaces import xyz_to_lab
from batiksim.colour.viewing import seen_xyz
from batiksim.dyes.metamerism import metameric_pairs, metamerism_words
from batiksim.dyes.mud import dull_flags, mud_flags
from batiksim.errors import BatikError
from batiksim.texts.catalogue import Message, say
from batiksim.types import Floats, Look
from batiksim.values import Pot
from batiksim.values.plain_data import LEFT_OUT, as_data, plain_data
from batiksim.values.swatches import STRENGTH

What = Literal["dye", "pot"]
MOST = 48  # dyes on one chart: more can't be read
MOST_NOTES = 4
# Degrees of CIELAB hue where the circle of dyes is cut open: between yellow green, which ends the row, and greenish
# yellow, which begins it. From there hue falls: yellow, orange, red, purple, blue, green.
FIRST_HUE = 110.0


@dataclass(frozen=True, kw_only=True)
class Shade:
    """One colour of the chart, as seen: "#rrggbb", CIELAB and words. mud : see `plan.mud`, judged dry by daylight."""

    hex: str
    lab: tuple[float, float, float] = field(metadata=as_data(places=3))
    name: str
    plain: str
    mud: bool = False


@dataclass(frozen=True, kw_only=True)
class Overdye:
    """The chart as values.

    what : whether the bands are dyes alone or pots of a design
    dyes : their names, families together
    under, strength : full strengths of the first dye and of the one over it
    bare : the undyed cloth; firsts, seconds : each dye alone at `under` and at `strength`
    cells : cells[i][j] is dye j over dye i
    notes : what else was noticed
    """

    title: str
    what: What = field(metadata=as_data("of"))
    dyes: tuple[str, ...] = field(metadata=LEFT_OUT)
    under: float
    strength: float
    light: str
    look: Look
    bare: Shade = field(metadata=as_data("cloth"))
    firsts: tuple[Shade, ...] = field(metadata=LEFT_OUT)
    seconds: tuple[Shade, ...] = field(metadata=LEFT_OUT)
    cells: tuple[tuple[Shade, ...], ...] = field(metadata=LEFT_OUT)
    notes: tuple[Message, ...] = ()

    @property
    def muddy(self) -> int:
        """How many cells are mud."""
        return sum(shade.mud for row in self.cells for shade in row)

    @property
    def same_either_way(self) -> bool:
        """Whether it makes no difference which of two dyes comes first; False where there is one alone."""
        cells = self.cells
        return len(cells) > 1 and all(row[j] == cells[j][i] for i, row in enumerate(cells) for j in range(i))


def overdye(
    dyes: ClothDyes,
    pots: Sequence[Pot],
    *,
    title: str,
    strength: float = 1.0,
    under: float | None = None,
    light: str = "D65",
    look: Look = "dry",
) -> Overdye:
    """Work out the chart of some pots (a dye alone is the pot of that dye).

    strength : of the pot that goes on last; under : of the one beneath, the same when left out; both 0 < s <= 4
    Raises BatikError for no pots, too many, or strengths out of range.
    """
    under = strength if under is None else under
    if not pots:
        raise BatikError("dyes.error.nothing_to_chart", field="dyes")
    if len(pots) > MOST:
        raise BatikError("dyes.error.too_many_to_chart", got=len(pots), most=MOST)
    STRENGTH.check(strength, "strength")
    STRENGTH.check(under, "under")
    pots = [pots[at] for at in family_order(dyes.labs(dyes.offered(pots, 1.0)[0]))]
    first_ks, first_load = dyes.offered(pots, under)
    second_ks, second_load = dyes.offered(pots, strength)
    firsts = first_ks * share_taken(0.0, first_load)[:, None]
    seconds = second_ks * share_taken(0.0, second_load)[:, None]
    together = firsts[:, None] + second_ks[None] * share_taken(first_load[:, None], second_load[None, :])[..., None]
    every = np.concatenate([np.zeros((1, 31)), firsts, seconds, together.reshape(-1, 31)])
    shades = _shades(dyes, every, len(pots), light, look)
    count, rows = len(pots), shades[1 + 2 * len(pots) :]
    return Overdye(
        title=title,
        what="dye" if all(dict(pot.parts) == {pot.name: 1.0} and pot.strength == 1 for pot in pots) else "pot",
        dyes=tuple(pot.name for pot in pots),
        under=under,
        strength=strength,
        light=light,
        look=look,
        bare=shades[0],
        firsts=tuple(shades[1 : 1 + count]),
        seconds=tuple(shades[1 + count : 1 + 2 * count]),
        cells=tuple(tuple(rows[i * count : (i + 1) * count]) for i in range(count)),
        notes=_lamp_notes(dyes, [pot.name for pot in pots], seconds, together),
    )


def overdye_data(chart: Overdye) -> dict[str, Any]:
    """The chart as plain data, as `--json` and a .json file give it."""
    return plain_data(chart, without=("title",)) | {
        "alone": [
            {"name": name, "first": plain_data(first), "over": plain_data(over)}
            for name, first, over in zip(chart.dyes, chart.firsts, chart.seconds, strict=True)
        ],
        "overdyes": [
            {"first": below, "over": over, **plain_data(shade)}
            for below, row in zip(chart.dyes, chart.cells, strict=True)
            for over, shade in zip(chart.dyes, row, strict=True)
        ],
    }


def overdye_rows(chart: Overdye) -> list[list[str]]:
    """The chart as the lines of a table, the first its heading: each overdye with its names, hex, CIELAB and mud."""
    lines = [["first", "over", "first strength", "over strength", "hex", "L*", "a*", "b*", "name", "plain", "mud"]]
    for below, row in zip(chart.dyes, chart.cells, strict=True):
        for over, shade in zip(chart.dyes, row, strict=True):
            numbers = [f"{chart.under:g}", f"{chart.strength:g}", shade.hex, *(f"{part:.2f}" for part in shade.lab)]
            lines.append([below, over, *numbers, shade.name, shade.plain, "mud" if shade.mud else ""])
    return lines


def family_order(labs: Floats) -> list[int]:
    """Places of colours (n, 3) in the chart's order: by hue from yellow through red and blue to green, dull ones last.

    Brown, olive, grey, black and white stand at the end, the lightest first. Hue keeps families
    together, where an order by colour difference would sort by lightness as much.
    """
    hues = np.degrees(np.arctan2(labs[:, 2], labs[:, 1])) % 360
    neutral = dull_flags(labs) | (np.hypot(labs[:, 1], labs[:, 2]) < 10)
    order: list[int] = np.lexsort((np.where(neutral, -labs[:, 0], (FIRST_HUE - hues) % 360), neutral)).tolist()
    return order


def _shades(dyes: ClothDyes, ks: Floats, count: int, light: str, look: Look) -> list[Shade]:
    """Shades of all K/S (1 + 2 n + n * n, 31): the bare cloth, the dyes below, the dyes on top, each over each."""
    seen = seen_xyz(dyes.reflectance(ks), light=light, look=look)
    labs, dry = xyz_to_lab(seen), dyes.labs(ks)
    firsts, seconds, cells = dry[1 : 1 + count], dry[1 + count : 1 + 2 * count], dry[1 + 2 * count :]
    parents = np.stack([np.repeat(firsts, count, axis=0), np.tile(seconds, (count, 1))], axis=1)
    mud = [False] * (1 + 2 * count) + mud_flags(cells, parents).tolist()
    return [
        Shade(hex=xyz_to_hex(xyz), lab=(lab[0], lab[1], lab[2]), name=named.name, plain=named.plain, mud=muddy)
        for xyz, lab, named, muddy in zip(seen, labs.tolist(), colour_names(labs), mud, strict=True)
    ]


def _lamp_notes(dyes: ClothDyes, names: list[str], alone: Floats, together: Floats) -> tuple[Message, ...]:
    """Colours of the chart that match by day and differ by lamp, each two sets of dyes at most once."""
    count = len(names)
    ks = np.concatenate([alone, together.reshape(-1, 31)])
    called: list[str | Message] = [*names]
    called += [say("dyes.overdye.over", over=over, below=below) for below in names for over in names]
    made = [{name} for name in names] + [{below, over} for below in names for over in names]
    notes, seen = [], set()
    for pair in metameric_pairs(dyes.reflectance(ks)):
        key = frozenset([frozenset(made[pair.first]), frozenset(made[pair.second])])
        if key in seen or len(key) == 1 or (pair.first < count and made[pair.first] == made[pair.second]):
            continue
        seen.add(key)
        notes.append(metamerism_words(called[pair.first], called[pair.second], pair))
        if len(notes) == MOST_NOTES:
            break
    return tuple(notes)
