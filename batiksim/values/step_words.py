"""What each step of a design does, in words."""

from typing import Literal

from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import percent
from batiksim.values.design import Design
from batiksim.values.steps import Discharge, DyeBath, Step, StepKind, Steps, Wax

Kind = Literal["bare", "cloth"] | StepKind


def step_kind(step: Step) -> StepKind:
    """The kind of a step, as report.json names it."""
    return next(kind for kind, of_kind in Steps.KINDS.items() if isinstance(step, of_kind))


def step_words(design: Design, number: int) -> tuple[Message, Message | None]:
    """What a step does: a title, and what there is to say about how. No two waxings of a design share a title."""
    step = design.steps[number - 1]
    if isinstance(step, Wax):
        tool = say(f"steps.tool.{step.tool}") if step.tool else None
        thin = say("steps.thin") if step.grey == "thin" else None
        how = say("steps.sentences", first=tool, then=thin) if tool and thin else tool or thin
        return wax_name(design, number), how
    if isinstance(step, DyeBath):
        return bath_name(step), bath_words(step)
    if isinstance(step, Discharge):
        taken = say("steps.discharge_part", share=percent(step.strength))
        return say("steps.discharge"), say("steps.discharge_all") if step.strength == 1 else taken
    return say("steps.wax_removed"), None


def bath_name(bath: DyeBath) -> Message:
    """A dyeing by its pots, each once: "Sun and leaf"."""
    return say("steps.pots", pots=tuple(dict.fromkeys(paint.pot for paint in bath.paints)))


def bath_words(bath: DyeBath) -> Message:
    """Which pots go over the whole cloth, and which are brushed on in shapes."""
    shapes = dict.fromkeys(use.shape or use.called for paint in bath.paints if (use := paint.where) is not None)
    over = tuple(paint.pot for paint in bath.paints if paint.where is None)
    if over and shapes:
        brushed = tuple(paint.pot for paint in bath.paints if paint.where is not None)
        return say("steps.over_and_brushed", over=over, brushed=brushed)
    return say("steps.brushed", count=len(shapes), shapes=tuple(shapes)) if shapes else say("steps.over")


def wax_name(design: Design, number: int) -> Message:
    """A waxing by its place among the design's waxings and by its picture: "Wax 2: petals"."""
    waxings = [place for place, step in enumerate(design.steps, start=1) if isinstance(step, Wax)]
    step = design.steps[number - 1]
    name = step.mask.shape if isinstance(step, Wax) else ""
    if len(waxings) == 1:
        return say("steps.only_wax_named", name=name) if name else say("steps.only_wax")
    place = waxings.index(number) + 1
    return say("steps.wax_named", number=place, name=name) if name else say("steps.wax", number=place)
