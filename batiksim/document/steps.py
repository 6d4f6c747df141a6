"""Changes of the steps and their masks: pure functions of a design and what was asked."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from batiksim.document.request_fields import Asked
from batiksim.errors import BatikError
from batiksim.values import GREYS, MARKS, TOOLS, Design, Discharge, DyeBath, MaskUse, Paint, RemoveWax, Step, Wax

__all__ = [
    "MOST_STEPS", "add_paint", "add_step", "drop_paint", "mask_at", "move_step", "remove_step", "set_bleach",
    "set_mask", "set_paint", "set_wax", "step_number", "with_mask",
]  # fmt: skip

MOST_STEPS = 60
_KINDS: dict[type[Any], str] = {Wax: "a waxing", DyeBath: "a dyeing", Discharge: "a discharge"}


def step_number(design: Design, asked: Asked, key: str = "step", more: int = 0) -> int:
    """The number of a step that is asked for, from 1."""
    return asked.whole(key, 1, max(1, len(design.steps) + more))


def move_step(design: Design, asked: Asked) -> Design:
    """A step in another place."""
    steps = list(design.steps)
    step = steps.pop(step_number(design, asked) - 1)
    steps.insert(step_number(design, asked, "to") - 1, step)
    return replace(design, steps=tuple(steps))


def _read_step(asked: Asked) -> Step:
    kind = asked.choice("kind", ("wax", "dye", "discharge", "remove_wax"))
    if kind == "wax":
        return Wax(mask=_use(asked.inner("where")), tool="brush")
    if kind == "dye":
        where = _use(asked.inner("where")) if "where" in asked else None
        return DyeBath(paints=(Paint(pot=asked.text("pot"), where=where),))
    if kind == "discharge":
        return Discharge(where=_use(asked.inner("where")) if "where" in asked else None)
    return RemoveWax()


def _use(asked: Asked) -> MaskUse:
    marks: Any = asked.choice("marks", MARKS) if "marks" in asked else None
    return MaskUse(picture=asked.text("picture"), marks=marks, clean=asked.flag("clean"))


def add_step(design: Design, asked: Asked) -> Design:
    """One more step."""
    if len(design.steps) >= MOST_STEPS:
        raise BatikError("has steps enough", field="step", got=len(design.steps), fix=f"use at most {MOST_STEPS}")
    steps = list(design.steps)
    steps.insert(step_number(design, asked, "at", more=1) - 1, _read_step(asked.inner("step")))
    return replace(design, steps=tuple(steps))


def remove_step(design: Design, asked: Asked) -> Design:
    """A step is taken out."""
    steps = list(design.steps)
    if not steps:
        raise BatikError("there is no step yet", fix="add one on the line first")
    steps.pop(step_number(design, asked) - 1)
    return replace(design, steps=tuple(steps))


def _with_step(design: Design, asked: Asked, step: Step) -> Design:
    steps = list(design.steps)
    steps[step_number(design, asked) - 1] = step
    return replace(design, steps=tuple(steps))


def _one(design: Design, asked: Asked, kind: type[Any]) -> Any:
    if not design.steps:
        raise BatikError("there is no step yet", fix="add one on the line first")
    step = design.steps[step_number(design, asked) - 1]
    if not isinstance(step, kind):
        number = step_number(design, asked)
        raise BatikError("isn't that kind of step", field=f"step {number}", fix=f"choose {_KINDS[kind]} on the line")
    return step


def set_wax(design: Design, asked: Asked) -> Design:
    """How a waxing lies."""
    step: Wax = _one(design, asked, Wax)
    keys: dict[str, Any] = {}
    if "grey" in asked:
        keys["grey"] = asked.choice("grey", GREYS)
    if "tool" in asked:
        keys["tool"] = asked.choice("tool", TOOLS)
    for key in ("crackle", "paraffin", "edges", "cool"):
        if key in asked:
            keys[key] = asked.number(key, 0, 1)
    return _with_step(design, asked, replace(step, **keys))


def set_bleach(design: Design, asked: Asked) -> Design:
    """Another strength of a discharge."""
    step: Discharge = _one(design, asked, Discharge)
    return _with_step(design, asked, replace(step, strength=asked.number("strength", 0, 1)))


def set_paint(design: Design, asked: Asked) -> Design:
    """One pot of a bath: another pot, another place, spreading or not."""
    step: DyeBath = _one(design, asked, DyeBath)
    place = asked.whole("paint", 1, len(step.paints)) - 1
    paint = step.paints[place]
    if "pot" in asked:
        paint = replace(paint, pot=asked.text("pot"))
    if "spread" in asked:
        reach = asked.number("reach_mm", 0.1, 30) if "reach_mm" in asked else None
        spread = asked.flag("spread")
        paint = replace(paint, spread=spread, reach_mm=reach if spread else None)
    if asked.flag("everywhere"):
        paint = replace(paint, where=None)
    paints = (*step.paints[:place], paint, *step.paints[place + 1 :])
    return _with_step(design, asked, replace(step, paints=paints))


def add_paint(design: Design, asked: Asked) -> Design:
    """One more pot in a bath."""
    step: DyeBath = _one(design, asked, DyeBath)
    where = _use(asked.inner("where")) if "where" in asked else None
    paints = (*step.paints, Paint(pot=asked.text("pot"), where=where))
    return _with_step(design, asked, replace(step, paints=paints))


def drop_paint(design: Design, asked: Asked) -> Design:
    """A pot is taken out of a bath."""
    step: DyeBath = _one(design, asked, DyeBath)
    place = asked.whole("paint", 1, len(step.paints)) - 1
    return _with_step(design, asked, replace(step, paints=step.paints[:place] + step.paints[place + 1 :]))


def set_mask(design: Design, asked: Asked) -> Design:
    """Another picture for a waxing, a brushing or a discharge."""
    paint = asked.whole("paint", 1, 200) if "paint" in asked else None
    return with_mask(design, step_number(design, asked), paint, _use(asked.inner("where")))


def mask_at(design: Design, step: int, paint: int | None) -> MaskUse | None:
    """The mask of a step, or of one pot of a bath (from 1); None where it has none."""
    if not 1 <= step <= len(design.steps):
        raise BatikError("there is no such step", field="step", got=step)
    one = design.steps[step - 1]
    if isinstance(one, Wax):
        return one.mask
    if isinstance(one, Discharge):
        return one.where
    if isinstance(one, DyeBath) and 1 <= (paint or 1) <= len(one.paints):
        return one.paints[(paint or 1) - 1].where
    return None


def with_mask(design: Design, step: int, paint: int | None, use: MaskUse) -> Design:
    """The design with another mask in that place."""
    mask_at(design, step, paint)
    one = design.steps[step - 1]
    steps = list(design.steps)
    if isinstance(one, Wax):
        steps[step - 1] = replace(one, mask=use)
    elif isinstance(one, Discharge):
        steps[step - 1] = replace(one, where=use)
    elif isinstance(one, DyeBath) and 1 <= (paint or 1) <= len(one.paints):
        paints = list(one.paints)
        paints[(paint or 1) - 1] = replace(paints[(paint or 1) - 1], where=use)
        steps[step - 1] = replace(one, paints=tuple(paints))
    else:
        raise BatikError("has no mask", field=f"step {step}", fix="choose a waxing, a dyeing or a discharge")
    return replace(design, steps=tuple(steps))
