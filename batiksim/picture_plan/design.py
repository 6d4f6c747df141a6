"""A picture's plan as a design: pots, steps, wants, and a mask for each picture that they name."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from batiksim.picture_plan.palette import bath_pot
from batiksim.picture_plan.plan import PicturePlan
from batiksim.picture_plan.report import PictureReport
from batiksim.types import Bytes
from batiksim.values import Cloth, Design, Dye, DyeBath, MaskUse, Paint, Pot, Step, Tool, Want, Wax
from batiksim.values.pot_words import described_pot

BROAD = 4.0  # lines: wax shapes mostly wider than this are laid with a brush (assumption)
LOOKED_PX = 600  # width at which that is looked at
MOST_WANTS = 8
LEAST_SHARE = 0.01  # share of the picture


@dataclass(frozen=True, kw_only=True, eq=False)
class DesignWithMasks:
    """A design, and its masks by the name of their picture: uint8 (rows, cols), 255 = marked."""

    design: Design
    masks: Mapping[str, Bytes]


def pot_names(plan: PicturePlan, taken: Sequence[str]) -> list[list[str]]:
    """A name for each pot, by dyeing, none of them that of a dye (`taken`) or of another pot."""
    used = set(taken)
    names: list[list[str]] = []
    for dyeing in plan.dyeings:
        names.append([])
        for name in map(described_pot, map(dict, dyeing)):
            tries = [name, *(f"{name} ({number})" for number in range(2, len(used) + 3))]
            free = next(tried for tried in tries if tried not in used)
            used.add(free)
            names[-1].append(free)
    return names


def planned_design(
    plan: PicturePlan,
    report: PictureReport,
    *,
    title: str,
    cloth: Cloth,
    dyes: Sequence[Dye],
    names: list[list[str]],
    pots: Mapping[str, Pot] | None = None,
) -> DesignWithMasks:
    """A design that gives the planned cloth.

    dyes : those to choose from; the unused are left out
    names : of the pots, as from `pot_names`; pots : those that are there already, by name
    """
    steps: list[Step] = []
    masks: dict[str, Bytes] = {}
    mixed: dict[str, Pot] = {}
    for at, dyeing in enumerate(plan.dyeings):
        if plan.waxed[at]:
            picture = f"wax-{at + 1}.png"
            masks[picture] = plan.wax[at]
            steps.append(Wax(mask=MaskUse(picture=picture, marks="dark"), tool=_tool(plan, plan.wax[at])))
        paints = []
        for place, (bath, name) in enumerate(zip(dyeing, names[at], strict=True)):
            mixed[name] = (pots or {}).get(name) or bath_pot(bath, name)
            where = None
            if plan.paint[at]:
                picture = f"brush-{at + 1}{'abc'[place]}.png"
                masks[picture] = plan.paint[at][place]
                where = MaskUse(picture=picture, marks="dark")
            paints.append(Paint(pot=name, where=where))
        steps.append(DyeBath(paints=tuple(paints)))
    used = {dye for pot in mixed.values() for dye in pot.dyes}
    own = [dye.name for dye in dyes]
    design = Design(
        title=title,
        cloth=cloth,
        dyes=tuple(dye for dye in dyes if dye.name in used),
        pots=tuple(pot for name, pot in mixed.items() if name not in own),
        steps=tuple(steps),
        wants=_wants(report),
        skip_checks=("fit",),  # masks made together fit each other
    )
    return DesignWithMasks(design=design, masks=masks)


def _tool(plan: PicturePlan, wax: Bytes) -> Tool:
    """A canting where most of the wax is fine lines, else a brush."""
    from scipy import ndimage

    by = max(1, wax.shape[1] // LOOKED_PX)
    shape = (wax[::by, ::by] > 127).view(np.uint8)
    px = plan.options.line_mm * wax.shape[1] / plan.options.width_mm / by
    size = max(2, round(BROAD * px))
    core = ndimage.maximum_filter(ndimage.minimum_filter(shape, size, mode="nearest"), size, mode="nearest")
    return "brush" if int((core & shape).sum()) > 0.5 * int(shape.sum()) else "canting"


def _wants(report: PictureReport) -> tuple[Want, ...]:
    """The picture's main colours as wants, so that orders can be ranked by them."""
    main = [region for region in report.regions if region.share >= LEAST_SHARE][:MOST_WANTS]
    return tuple(Want(colour=region.target, at_mm=region.at_mm, name=region.name) for region in main)
