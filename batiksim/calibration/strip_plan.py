"""Strips to dye for a calibration: which patch is what and where it lies. Strip file and sheet are made of this.

A dye stands in a row: full, half, quarter strength, then two overlays with others. What can't
be overlaid afresh stays bare, which shows how even the light was. All lengths are mm.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from batiksim.errors import BatikError
from batiksim.texts.catalogue import Message, say
from batiksim.values import COTTON, Layers

STRENGTHS = (1.0, 0.5, 0.25)
COLUMNS = 5
CELL = (34.0, 26.0)
GAP = 0.24  # share of a cell that stays bare around its patch: as wide as thin dye creeps, 1-5 mm (assumption)
MOST_ROWS = 7  # what a sheet of US Letter holds
CARD = 0.18  # a photographer's grey card
CARD_BOX = (34.0, 8.0, 102.0, 16.0)  # below the strip: left, from its foot, width, height


@dataclass(frozen=True, kw_only=True)
class StripPlan:
    """One strip, on one sheet of paper.

    cells : what is dyed in each cell, in reading order, (dye, strength) each; () stays bare
    rows : of `COLUMNS` cells; card : reflectance of the card beside it, None without one
    number, of : which strip this is of how many with the same title
    """

    title: str
    cloth: str
    cells: tuple[Layers, ...]
    card: float | None = CARD
    number: int = 1
    of: int = 1

    @property
    def heading(self) -> str | Message:
        """The title, with the strip's number where there are several."""
        if self.of == 1:
            return self.title
        return say("calibration.strip.numbered", title=self.title, number=self.number, of=self.of)

    @property
    def rows(self) -> int:
        """How many rows of cells there are."""
        return len(self.cells) // COLUMNS

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the strip."""
        return COLUMNS * CELL[0], self.rows * CELL[1]

    @property
    def dyes(self) -> tuple[str, ...]:
        """The dyes of the strip, in the order of its rows."""
        return tuple(self.cells[row * COLUMNS][0][0] for row in range(self.rows))

    def patch(self, place: int) -> tuple[float, float, float, float]:
        """Left, top, width, height of a cell's patch."""
        row, column = divmod(place, COLUMNS)
        left, top = (column + GAP / 2) * CELL[0], (row + GAP / 2) * CELL[1]
        return left, top, (1 - GAP) * CELL[0], (1 - GAP) * CELL[1]

    @property
    def card_box(self) -> tuple[float, float, float, float]:
        """Left, top, width, height of the card's place, below the strip."""
        left, below, width, height = CARD_BOX
        return left, self.size[1] + below, width, height


def strip_plans(
    dyes: Sequence[str], *, title: str, cloth: str = COTTON, card: float | None = CARD
) -> tuple[StripPlan, ...]:
    """Strips for some dyes, as many as it takes at seven dyes a strip, each as long as the others where that works.

    errors : BatikError without a dye
    """
    if not dyes:
        raise BatikError("calibration.error.no_dye_for_strip")
    count = -(-len(dyes) // MOST_ROWS)
    ends = [round(len(dyes) * place / count) for place in range(count + 1)]
    parts = [tuple(dyes[start:end]) for start, end in zip(ends, ends[1:], strict=False)]
    return tuple(
        StripPlan(title=title, cloth=cloth, cells=_cells(part), card=card, number=number, of=count)
        for number, part in enumerate(parts, start=1)
    )


def _cells(dyes: tuple[str, ...]) -> tuple[Layers, ...]:
    first = max(1, len(dyes) // 2)  # far apart in a book that is kept by hue, so that an overlay shows much
    second = first - 1 if first > 1 else min(2, len(dyes) - 1)
    cells: list[Layers] = []
    for place, dye in enumerate(dyes):
        cells += [((dye, strength),) for strength in STRENGTHS]
        for ahead, (own, other) in ((first, (1.0, 0.5)), (second, (0.5, 0.5))):
            over = dyes[(place + ahead) % len(dyes)]
            layers = ((dye, own), (over, other))
            new = over != dye and set(layers) not in [set(cell) for cell in cells]
            cells.append(layers if new else ())
    return tuple(cells)
