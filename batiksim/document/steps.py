"""Changes of the steps and their masks: pure functions of a design and the fields of a change."""

from dataclasses import replace
from typing import Any

from batiksim.document.request_fields import RequestFields
from batiksim.errors import BatikError
from batiksim.texts.catalogue import say
from batiksim.values import Design, Discharge, DyeBath, MaskUse, Paint, RemoveWax, Step, Wax

MOST_STEPS = 60
_KINDS: dict[type[Any], str] = {Wax: "wax", DyeBath: "dye", Discharge: "discharge"}


def step_number(design: Design, fields: RequestFields, key: str = "step", more: int = 0) -> int:
    """The number of a step that a field names, from 1."""
    return fields.integer(key, 1, max(1, len(design.steps) + more))


def move_step(design: Design, fields: RequestFields) -> Design:
    """A step in another place."""
    steps = list(design.steps)
    step = steps.pop(step_number(design, fields) - 1)
    steps.insert(step_number(design, fields, "to") - 1, step)
    return replace(design, steps=tuple(steps))


def _read_step(fields: RequestFields) -> Step:
    kind = fields.choice("kind", ("wax", "dye", "discharge", "remove_wax"))
    if kind == "wax":
        return Wax(mask=fields.nested("where").read(MaskUse), tool="brush")
    if kind == "dye":
        where = fields.nested("where").read(MaskUse) if "where" in fields else None
        return DyeBath(paints=(Paint(pot=fields.text("pot"), where=where),))
    if kind == "discharge":
        return Discharge(where=fields.nested("where").read(MaskUse) if "where" in fields else None)
    return RemoveWax()


def add_step(design: Design, fields: RequestFields) -> Design:
    """One more step."""
    if len(design.steps) >= MOST_STEPS:
        raise BatikError("document.error.too_many_steps", most=MOST_STEPS)
    steps = list(design.steps)
    steps.insert(step_number(design, fields, "at", more=1) - 1, _read_step(fields.nested("step")))
    return replace(design, steps=tuple(steps))


def remove_step(design: Design, fields: RequestFields) -> Design:
    """A step is taken out."""
    steps = list(design.steps)
    if not steps:
        raise BatikError("document.error.no_steps")
    steps.pop(step_number(design, fields) - 1)
    return replace(design, steps=tuple(steps))


def _with_step(design: Design, fields: RequestFields, step: Step) -> Design:
    steps = list(design.steps)
    steps[step_number(design, fields) - 1] = step
    return replace(design, steps=tuple(steps))


def _step_of_kind(design: Design, fields: RequestFields, kind: type[Any]) -> Any:
    if not design.steps:
        raise BatikError("document.error.no_steps")
    step = design.steps[step_number(design, fields) - 1]
    if not isinstance(step, kind):
        number = step_number(design, fields)
        raise BatikError(f"document.error.not_{_KINDS[kind]}", field=say("error.step", number=number))
    return step


def set_wax(design: Design, fields: RequestFields) -> Design:
    """How a waxing lies: any of its settings."""
    step: Wax = _step_of_kind(design, fields, Wax)
    return _with_step(design, fields, replace(step, **fields.settings(type(step), without=("mask",))))


def set_discharge(design: Design, fields: RequestFields) -> Design:
    """Another strength of a discharge."""
    step: Discharge = _step_of_kind(design, fields, Discharge)
    return _with_step(design, fields, replace(step, strength=fields.setting(Discharge, "strength")))


def set_paint(design: Design, fields: RequestFields) -> Design:
    """One pot of a bath: another pot, another place, spreading or not."""
    step: DyeBath = _step_of_kind(design, fields, DyeBath)
    place = fields.integer("paint", 1, len(step.paints)) - 1
    paint = step.paints[place]
    if "pot" in fields:
        paint = replace(paint, pot=fields.text("pot"))
    if "spread" in fields:
        reach = fields.number("reach_mm", 0.1, 30) if "reach_mm" in fields else None
        spread = fields.flag("spread")
        paint = replace(paint, spread=spread, reach_mm=reach if spread else None)
    if fields.flag("everywhere"):
        paint = replace(paint, where=None)
    paints = (*step.paints[:place], paint, *step.paints[place + 1 :])
    return _with_step(design, fields, replace(step, paints=paints))


def add_paint(design: Design, fields: RequestFields) -> Design:
    """One more pot in a bath."""
    step: DyeBath = _step_of_kind(design, fields, DyeBath)
    where = fields.nested("where").read(MaskUse) if "where" in fields else None
    paints = (*step.paints, Paint(pot=fields.text("pot"), where=where))
    return _with_step(design, fields, replace(step, paints=paints))


def remove_paint(design: Design, fields: RequestFields) -> Design:
    """A pot is taken out of a bath."""
    step: DyeBath = _step_of_kind(design, fields, DyeBath)
    place = fields.integer("paint", 1, len(step.paints)) - 1
    return _with_step(design, fields, replace(step, paints=step.paints[:place] + step.paints[place + 1 :]))


def set_mask(design: Design, fields: RequestFields) -> Design:
    """Another picture for a waxing, a brushing or a discharge."""
    paint = fields.integer("paint", 1, 200) if "paint" in fields else None
    return with_mask(design, step_number(design, fields), paint, fields.nested("where").read(MaskUse))


def mask_at(design: Design, step: int, paint: int | None) -> MaskUse | None:
    """The mask of a step, or of one pot of a bath (from 1); None where it has none."""
    if not 1 <= step <= len(design.steps):
        raise BatikError("document.error.no_such_step", field="step", got=step)
    there = design.steps[step - 1]
    if isinstance(there, Wax):
        return there.mask
    if isinstance(there, Discharge):
        return there.where
    if isinstance(there, DyeBath) and 1 <= (paint or 1) <= len(there.paints):
        return there.paints[(paint or 1) - 1].where
    return None


def with_mask(design: Design, step: int, paint: int | None, use: MaskUse) -> Design:
    """The design with another mask in that place."""
    mask_at(design, step, paint)
    there = design.steps[step - 1]
    steps = list(design.steps)
    if isinstance(there, Wax):
        steps[step - 1] = replace(there, mask=use)
    elif isinstance(there, Discharge):
        steps[step - 1] = replace(there, where=use)
    elif isinstance(there, DyeBath) and 1 <= (paint or 1) <= len(there.paints):
        paints = list(there.paints)
        paints[(paint or 1) - 1] = replace(paints[(paint or 1) - 1], where=use)
        steps[step - 1] = replace(there, paints=tuple(paints))
    else:
        raise BatikError("document.error.no_picture_there", field=say("error.step", number=step))
    return replace(design, steps=tuple(steps))
