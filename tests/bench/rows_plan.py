"""Plans: every choice and order of many dyes over a cloth of many histories, and a workshop's amounts and times."""

from __future__ import annotations

import statistics
import tempfile
from pathlib import Path

import numpy as np
from pictures import on_disk, soft_masks, waxings
from timing import Row, seconds

from batiksim.cloth.dyes_on_cloth import cloth_dyes, dyes_on_cloth
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.gamut import lab_to_hex
from batiksim.colour.kubelka_munk import reflectance_from_ks
from batiksim.colour.spaces import hex_to_lab, oklab_to_xyz, oklch_to_oklab, xyz_to_lab
from batiksim.colour.spectra import reflectance_to_xyz
from batiksim.dyes.match import find_pots
from batiksim.jobs import overdye, workshop
from batiksim.ordering import Question, rank_orders
from batiksim.values import Cloth, Design, Dye, DyeBath, MaskUse, Paint, RemoveWax, Want, Wax

DYE_COUNT, BATHS, AREAS = 24, 4, 12
ROWS_PX, COLS_PX = 600, 800


def many_dyes(count: int) -> tuple[Dye, ...]:
    """Invented dyes all round the hues, pale and deep in turn."""
    lightness = np.where(np.arange(count) % 2 == 0, 0.72, 0.45)
    hues = np.linspace(0, 360, count, endpoint=False)
    lch = np.stack([lightness, np.full(count, 0.11), hues], axis=-1)
    labs = xyz_to_lab(oklab_to_xyz(oklch_to_oklab(lch)))
    return tuple(Dye(name=f"dye {n}", colour=lab_to_hex(lab)) for n, lab in enumerate(labs))


def twelve_histories() -> tuple[Design, np.ndarray]:
    """Four dyeings, wax out between them: twelve areas, each open to another set of the four."""
    dyes = many_dyes(DYE_COUNT)
    steps: list[Wax | DyeBath | RemoveWax] = []
    for n in range(BATHS):
        steps += [RemoveWax()] if n else []
        steps += [Wax(mask=MaskUse(picture=f"wax-{n}.png")), DyeBath(paints=(Paint(pot=f"dye {5 * n}"),))]
    column = np.arange(COLS_PX) * AREAS // COLS_PX + 4  # 4..15: which dyeings reach it, as bits
    masks = np.stack([np.tile(np.where(column >> n & 1, 0, 255), (ROWS_PX, 1)) for n in range(BATHS)]).astype(np.uint8)
    wants = tuple(
        Want(colour=colour, at_mm=(450 * (place + 0.5) / AREAS, 100.0))
        for place, colour in ((1, "#2f8f6d"), (4, "#c8553d"), (8, "#e8c547"), (11, "#1d2b53"))
    )
    design = Design(title="Bench", cloth=Cloth(width_mm=450), dyes=dyes, steps=tuple(steps), wants=wants)
    return design, masks


def _orders() -> str:
    design, masks = twelve_histories()
    dyes = dyes_on_cloth(design)
    found = []

    def rank() -> None:
        none = np.zeros((0, ROWS_PX, COLS_PX), np.uint8)
        found.append(rank_orders(design, dyes, masks, Question(choose=(BATHS, BATHS)), wanted=none))

    took = statistics.median(seconds(rank) for _ in range(3))
    if found[0].areas.count != AREAS or found[0].how != "every":
        raise RuntimeError(f"{found[0].areas.count} areas, {found[0].how}: not what is to be measured")
    return f"{found[0].tried:,} in {took:.1f} s"


def _workshop() -> str:
    with tempfile.TemporaryDirectory() as scratch:
        design = on_disk(Path(scratch), waxings(4), soft_masks(4, 1500, 2000))
        took = statistics.median(seconds(lambda: workshop(design, makers=12, measures="all").text()) for _ in range(5))
    return f"{took:.2f} s"


def _match() -> str:
    """The pot nearest to a colour, beside the plain working out of 100,000 pots of the 14 million there are."""
    dyes = cloth_dyes(Cloth(width_mm=450), many_dyes(DYE_COUNT))
    wanted = hex_to_lab("#4d7358")
    curves = np.stack([dye.ks for dye in dyes.dyes.values()])
    loads = np.random.default_rng(1).uniform(0, 0.3, (100_000, DYE_COUNT))

    def plainly() -> None:
        shown = reflectance_from_ks(dyes.cloth_ks + loads @ curves, surface=dyes.surface)
        delta_e_2000(xyz_to_lab(reflectance_to_xyz(shown)), wanted).min()

    find_pots(dyes, wanted)
    took = [(seconds(lambda: find_pots(dyes, wanted)), seconds(plainly)) for _ in range(5)]
    ratio = statistics.median(one / other for one, other in took)
    return f"{ratio:.1f} x, {statistics.median(one for one, _ in took):.2f} s"


def _overdye() -> str:
    """The chart of 24 dyes over each other, drawn and written, beside a chart of 6."""
    with tempfile.TemporaryDirectory() as scratch:
        out = Path(scratch) / "chart.png"

        def chart(count: int) -> None:
            overdye(Design(title="Bench", cloth=Cloth(width_mm=450), dyes=many_dyes(count))).save(out)

        chart(6)
        took = [(seconds(lambda: chart(DYE_COUNT)), seconds(lambda: chart(6))) for _ in range(3)]
    ratio = statistics.median(one / other for one, other in took)
    return f"{ratio:.1f} x, {statistics.median(one for one, _ in took):.1f} s"


ROWS = {
    "orders": Row(what="24 dyes choose 4 in order over 12 areas, all of them", reach="under 5 s", measure=_orders),
    "match": Row(
        what="pots of 24 dyes, 3 at a time, parts to 8, against 100,000 of them", reach="under 0.5 s", measure=_match
    ),
    "overdye": Row(what="chart of 24 dyes, worked out and written, against 6", reach="under 3 s", measure=_overdye),
    "workshop": Row(
        what="workshop sheet of a 3 MP design for twelve, in all measures", reach="under 1 s", measure=_workshop
    ),
}
