"""What each step of a design does, in words."""

from typing import Literal

from batiksim.texts.phrases import capital, listed, percent
from batiksim.values.design import Design
from batiksim.values.steps import Discharge, DyeBath, MaskUse, Step, Wax

Kind = Literal["bare", "wax", "dye", "discharge", "remove_wax", "cloth"]


def step_kind(step: Step) -> Kind:
    """The kind of a step, as report.json names it."""
    if isinstance(step, Wax):
        return "wax"
    if isinstance(step, DyeBath):
        return "dye"
    return "discharge" if isinstance(step, Discharge) else "remove_wax"


def step_words(design: Design, number: int) -> tuple[str, str]:
    """What a step does: a title and a line more, in the maker's words. No two waxings of a design share a title."""
    step = design.steps[number - 1]
    if isinstance(step, Wax):
        tool = f"With the {step.tool}. " if step.tool else ""
        thin = "Thin wax: it holds back only part of the dye." if step.grey == "thin" else ""
        return wax_name(design, number), f"{tool}{thin}".strip()
    if isinstance(step, DyeBath):
        painted = [paint.pot for paint in step.paints if paint.where is not None]
        over = [paint.pot for paint in step.paints if paint.where is None]
        detail = f"Brushed where {_pictures(step)}." if painted and not over else "Over the whole cloth."
        if painted and over:
            detail = f"{listed(over)} over the whole cloth, {listed(painted)} brushed."
        return capital(listed([paint.pot for paint in step.paints])), capital(detail)
    if isinstance(step, Discharge):
        part = "" if step.strength == 1 else f"Takes out {percent(step.strength)} of the dye that lies open."
        return "Discharge", part or "Takes the dye out of open cloth."
    return "Wax removed", ""


def _pictures(bath: DyeBath) -> str:
    called = [f"“{name}”" for name in dict.fromkeys(_shape(p.where) for p in bath.paints if p.where is not None)]
    return f"{listed(called)} {'says' if len(called) == 1 else 'say'}"


def _shape(use: MaskUse) -> str:
    return use.shape or use.called


def wax_name(design: Design, number: int) -> str:
    """A waxing by its place among the design's waxings and by its picture: "Wax 2: petals"."""
    waxings = [place for place, step in enumerate(design.steps, start=1) if isinstance(step, Wax)]
    step = design.steps[number - 1]
    name = step.mask.shape if isinstance(step, Wax) else ""
    return ("Wax" if len(waxings) == 1 else f"Wax {waxings.index(number) + 1}") + (f": {name}" if name else "")
