"""Changes of the steps and their masks: pure functions of a design and the fields of a change."""

from dataclasses import replace
from typing import Any, TypeVar

from batiksim.changes.request_fields import RequestFields
from batiksim.errors import BatikError
from batiksim.texts.catalogue import say
from batiksim.values import Design, Discharge, DyeBath, MaskUse, Paint, RemoveWax, Step, Wax
from batiksim.values.step_words import step_kind
from batiksim.values.steps import StepKind, Steps

MOST_STEPS = 60
T = TypeVar("T")


def _spliced(each: tuple[T, ...], at: int, taken: int, *new: T) -> tuple[T, ...]:
    """All, but for some that are taken out at a place (from 0) where new ones come in."""
    return (*each[:at], *new, *each[at + taken :])


def step_number(design: Design, fields: RequestFields, key: str = "step", more: int = 0) -> int:
    """The number of a step that a field names, from 1."""
    last = len(design.steps) + more
    if not last:
        raise BatikError("document.error.no_steps")
    return fields.integer(key, 1, last)


def move_step(design: Design, fields: RequestFields) -> Design:
    """A step in another place."""
    at, to = step_number(design, fields) - 1, step_number(design, fields, "to") - 1
    return replace(design, steps=_spliced(_spliced(design.steps, at, 1), to, 0, design.steps[at]))


def _where(fields: RequestFields) -> MaskUse | None:
    return fields.nested("where").read(MaskUse) if "where" in fields else None


def _read_paint(fields: RequestFields) -> Paint:
    return Paint(where=_where(fields), pot=fields.text("pot"))


def _read_step(fields: RequestFields) -> Step:
    kind = fields.choice("kind", tuple(Steps.KINDS))
    if kind == "wax":
        return Wax(mask=fields.nested("where").read(MaskUse), tool="brush")
    if kind == "dye":
        return DyeBath(paints=(_read_paint(fields),))
    return Discharge(where=_where(fields)) if kind == "discharge" else RemoveWax()


def add_step(design: Design, fields: RequestFields) -> Design:
    """One more step."""
    if len(design.steps) >= MOST_STEPS:
        raise BatikError("document.error.too_many_steps", most=MOST_STEPS)
    at = step_number(design, fields, "at", more=1) - 1
    return replace(design, steps=_spliced(design.steps, at, 0, _read_step(fields.nested("step"))))


def remove_step(design: Design, fields: RequestFields) -> Design:
    """A step is taken out."""
    return replace(design, steps=_spliced(design.steps, step_number(design, fields) - 1, 1))


def _with_step(design: Design, fields: RequestFields, step: Step) -> Design:
    return replace(design, steps=_spliced(design.steps, step_number(design, fields) - 1, 1, step))


def _step_of_kind(design: Design, fields: RequestFields, kind: StepKind) -> Any:
    number = step_number(design, fields)
    step = design.steps[number - 1]
    if step_kind(step) != kind:
        raise BatikError(f"document.error.not_{kind}", field=say("error.step", number=number))
    return step


def set_wax(design: Design, fields: RequestFields) -> Design:
    """How a waxing lies: any of its settings."""
    step: Wax = _step_of_kind(design, fields, "wax")
    return _with_step(design, fields, replace(step, **fields.settings(type(step), without=("mask",))))


def set_discharge(design: Design, fields: RequestFields) -> Design:
    """Another strength of a discharge."""
    step: Discharge = _step_of_kind(design, fields, "discharge")
    return _with_step(design, fields, replace(step, strength=fields.setting(Discharge, "strength")))


def set_paint(design: Design, fields: RequestFields) -> Design:
    """One pot of a bath: another pot, another place, spreading or not."""
    step: DyeBath = _step_of_kind(design, fields, "dye")
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
    return _with_step(design, fields, replace(step, paints=_spliced(step.paints, place, 1, paint)))


def add_paint(design: Design, fields: RequestFields) -> Design:
    """One more pot in a bath."""
    step: DyeBath = _step_of_kind(design, fields, "dye")
    return _with_step(design, fields, replace(step, paints=(*step.paints, _read_paint(fields))))


def remove_paint(design: Design, fields: RequestFields) -> Design:
    """A pot is taken out of a bath."""
    step: DyeBath = _step_of_kind(design, fields, "dye")
    place = fields.integer("paint", 1, len(step.paints)) - 1
    return _with_step(design, fields, replace(step, paints=_spliced(step.paints, place, 1)))


def set_mask(design: Design, fields: RequestFields) -> Design:
    """Another picture for a waxing, a brushing or a discharge."""
    paint = fields.integer("paint", 1, 200) if "paint" in fields else None
    return with_mask(design, step_number(design, fields), paint, fields.nested("where").read(MaskUse))


def mask_at(design: Design, step: int, paint: int | None) -> MaskUse | None:
    """The mask of a step, or of one pot of a bath (from 1); None where it has none."""
    if not 1 <= step <= len(design.steps):
        raise BatikError("document.error.no_such_step", field="step", got=step)
    there = (use for number, place, use in design.mask_places() if number == step and place in (None, paint or 1))
    return next(there, None)


def with_mask(design: Design, step: int, paint: int | None, use: MaskUse) -> Design:
    """The design with another mask in that place."""
    mask_at(design, step, paint)
    there = design.steps[step - 1]
    place = (paint or 1) - 1
    changed: Step
    if isinstance(there, Wax):
        changed = replace(there, mask=use)
    elif isinstance(there, Discharge):
        changed = replace(there, where=use)
    elif isinstance(there, DyeBath) and 0 <= place < len(there.paints):
        painted = replace(there.paints[place], where=use)
        changed = replace(there, paints=_spliced(there.paints, place, 1, painted))
    else:
        raise BatikError("document.error.no_picture_there", field=say("error.step", number=step))
    return replace(design, steps=_spliced(design.steps, step - 1, 1, changed))
