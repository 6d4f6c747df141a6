"""A script as someone else would write it, on public names alone: type checkers read it at their strictest."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

import batiksim
from batiksim import BatikError, Cloth, Design, Dye, DyeBath, Paint, Pot, Region, Wax, colour


def pond(strength: float) -> Design:
    """A small pond at a strength of its water."""
    return Design(
        title="Pond",
        cloth=Cloth(width_mm=300),
        dyes=[Dye(name="straw", colour="#f2e08a"), Dye(name="water", colour="#3d9fb4")],
        pots=[Pot(name="pond", parts={"water": 3, "straw": 1}, strength=strength)],
        steps=[Wax(mask="moon"), DyeBath(paints="pond"), DyeBath(paints=[Paint(pot="straw", where="reeds")])],
    )


def moon() -> NDArray[np.bool_]:
    """A round of wax."""
    down, along = np.mgrid[:90, :120]
    return np.asarray(np.hypot(along - 60, down - 45) < 20)


def darkest(regions: tuple[Region, ...]) -> Region:
    """The region of least lightness."""
    return min(regions, key=lambda region: region.lab[0])


def main(folder: Path) -> list[str]:
    """Look at the pond at several strengths, and keep the last."""
    masks = {"moon": moon(), "reeds": np.zeros((90, 120))}
    names: list[str] = []
    shown = batiksim.preview(pond(0.1), masks=masks)
    for strength in np.linspace(0.25, 1.0, 4):
        shown = batiksim.preview(pond(float(strength)), masks=masks, progress=lambda done, whole, what: None)
        names.append(darkest(shown.regions).name)
        reflectance: NDArray[np.float64] = shown.reflectance
        assert reflectance.shape[1] == len(colour.BANDS_NM)
        shown.save(folder / "pond")
    measured = Dye.from_reflectance("mine", np.arange(400, 701, 10), np.linspace(0.05, 0.9, 31))
    changed = dataclasses.replace(pond(1.0), dyes=(*pond(1.0).dyes, measured))
    found = batiksim.check(changed, masks=masks, only=["mud", "lost"])
    for finding in found:
        for remedy in finding.remedies:
            changed = remedy.apply(changed)
    ranked = batiksim.orders(changed, masks=masks, best=2)
    for design, points in zip(ranked.designs, ranked.points, strict=True):
        names.append(f"{design.title} {points:.1f}")
    chart = batiksim.overdye(changed, only="straw")
    apart = colour.delta_e_2000(chart.lab[0, 0], shown.lab[0])
    names.append(f"{float(apart):.1f}")
    try:
        batiksim.preview(folder / "nowhere")
    except BatikError as error:
        names.append(error.field or "design")
    return names
