"""A script of somebody who makes values of all kinds, by whatever they take."""

from dataclasses import replace
from pathlib import Path

import numpy as np

from batiksim import BuildUp, Cloth, Design, Discharge, Dye, DyeBath, MaskUse, Paint, Pot, RemoveWax, Undyed, Want, Wax

nm = np.arange(400, 701, 10)
sun = Dye.from_reflectance("sun", nm, np.linspace(0.05, 0.9, 31), seen_on=Undyed(note="poplin"))
bent = BuildUp(law="power", bend=0.8)
sea = Dye.from_reflectance("sea", [400, 500, 600, 700], [0.5, 0.4, 0.1, 0.05], build_up=bent)


class Measured:
    wavelengths = nm
    values = np.full(31, 0.5)


grey = Dye.from_reflectance("grey", Measured())
own = Dye(name="own", samples=zip(nm.tolist(), [0.5] * 31, strict=True))
filed = Dye(name="filed", spectrum=Path("blue.csv"))
where: MaskUse | None = Paint(pot="sun", where="sky.png").where
mask: MaskUse = Wax(mask=Path("petals.png")).mask
baths = [
    DyeBath(pot="sun", where="sky.png"),
    DyeBath(paints="sun"),
    DyeBath(paints=["sun", Paint(pot="sea", where=mask)]),
]
design = Design(
    title="Tide",
    cloth=Cloth(width_mm=300),
    dyes=[sun, sea, grey, own, filed],
    pots=[Pot(name="mix", parts={"sun": 1, "sea": 2.5})],
    steps=[Wax(mask="petals.png", crackle=0.3), *baths, Discharge(where="b.png"), RemoveWax()],
    wants=[Want(colour="#112233", at_mm=[10, 20]), Want(colour="#112233", where="leaves.png")],
    skip_checks=["fit"],
)
steps: tuple[Wax | DyeBath | Discharge | RemoveWax, ...] = design.steps
parts: dict[str, float] = dict(design.pots[0].parts)
again: Design = replace(design, steps=steps[:2])
TOLD = (len(again.steps), design.pot("mix").name, [bath.paints[0].pot for bath in baths])
