"""Every way in which the page changes a design: one row each in `VERBS`. A change is a pure function of a design.

The same changes serve for good, for a slider on its way, and for a trial that is only looked at.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from batiksim.errors import BatikError
from batiksim.files import dyebooks
from batiksim.plan.stages import step_words
from batiksim.values import (
    GREYS,
    MARKS,
    TOOLS,
    Cloth,
    Design,
    Discharge,
    Dye,
    DyeBath,
    MaskUse,
    Paint,
    Pot,
    RemoveWax,
    Step,
    Wax,
)
from batiksim.worktable.asked import Asked

__all__ = ["VERBS", "Verb", "as_pot", "blank", "changed", "change_words", "mask_at", "with_mask"]

MOST_STEPS = 60


@dataclass(frozen=True, kw_only=True)
class Verb:
    """One way to change a design. words : what it did, for undo and the history; a new design comes from `change`."""

    change: Callable[[Design, Asked], Design]
    words: Callable[[Design, Asked], str]


def changed(design: Design, changes: Sequence[Any]) -> Design:
    """A design with changes made one after another. Raises BatikError for one that can't be made."""
    for entries in changes:
        asked = Asked(entries)
        design = VERBS[asked.choice("do", tuple(VERBS))].change(design, asked)
    return design


def change_words(design: Design, changes: Sequence[Any]) -> str:
    """What the first of some changes does, in a few words."""
    asked = Asked(changes[0])
    return VERBS[asked.choice("do", tuple(VERBS))].words(design, asked)


# The cloth


def _title(design: Design, asked: Asked) -> Design:
    return replace(design, title=asked.text("title", longest=200))


def _cloth(design: Design, asked: Asked) -> Design:
    cloth = design.cloth
    if "width_mm" in asked:
        cloth = replace(cloth, width_mm=asked.number("width_mm", 10, 20_000))
    if "colour" in asked:
        cloth = replace(cloth, colour=asked.text("colour"))
    if "grams_per_m2" in asked:
        cloth = replace(cloth, grams_per_m2=asked.number("grams_per_m2", 10, 2_000))
    return replace(design, cloth=cloth)


# Dyes and pots


def as_pot(design: Design, name: str) -> Design:
    """The design with a dye that is used by its own name turned into a pot of it alone, so that it can be changed."""
    if any(pot.name == name for pot in design.pots):
        return design
    design.pot(name)  # says which names there are
    pot = Pot(name=_free(design, f"{name} pot"), parts={name: 1.0})
    return _renamed(replace(design, pots=(*design.pots, pot)), name, pot.name)


def pot_name(design: Design, name: str) -> str:
    """What `as_pot` calls the pot of a name."""
    return name if any(pot.name == name for pot in design.pots) else _free(design, f"{name} pot")


def _names(design: Design) -> list[str]:
    return [dye.name for dye in design.dyes] + [pot.name for pot in design.pots]


def _free(design: Design, name: str) -> str:
    taken = {*_names(design)}
    names = (name, *(f"{name} {number}" for number in range(2, 1000)))
    return next(one for one in names if one not in taken)


def _renamed(design: Design, old: str, new: str) -> Design:
    """Every brushing of one pot is of another from now on."""

    def step(one: Step) -> Step:
        if not isinstance(one, DyeBath):
            return one
        return DyeBath(paints=tuple(replace(p, pot=new) if p.pot == old else p for p in one.paints))

    return replace(design, steps=tuple(step(one) for one in design.steps))


def _with_pot(design: Design, asked: Asked, **keys: Any) -> Design:
    name = asked.text("pot")
    new = pot_name(design, name)
    design = as_pot(design, name)
    pots = tuple(replace(pot, **keys) if pot.name == new else pot for pot in design.pots)
    return replace(design, pots=pots)


def _strength(design: Design, asked: Asked) -> Design:
    return _with_pot(design, asked, strength=asked.number("strength", 0, 4))


def _parts(design: Design, asked: Asked) -> Design:
    parts = {name: amount for name, amount in asked.amounts("parts").items() if amount > 0}
    return _with_pot(design, asked, parts=parts)


def _drops(design: Design, asked: Asked) -> Design:
    drops = {name: amount for name, amount in asked.amounts("drops").items() if amount > 0}
    ml = asked.number("ml", 0.1, 1_000_000) if "ml" in asked else None
    return _with_pot(design, asked, drops=drops, ml=ml)


def _recipe(design: Design, asked: Asked) -> Design:
    """A pot mixed anew, as a match found it."""
    keys: dict[str, Any] = {"parts": asked.amounts("parts"), "drops": {}, "ml": None}
    return _with_pot(design, asked, strength=asked.number("strength", 0, 4), **keys)


def _new_pot(design: Design, asked: Asked) -> Design:
    strength = asked.number("strength", 0, 4) if "strength" in asked else 1.0
    pot = Pot(name=_free(design, asked.text("name", longest=200)), parts=asked.amounts("parts"), strength=strength)
    return replace(design, pots=(*design.pots, pot))


def _drop_pot(design: Design, asked: Asked) -> Design:
    name = asked.text("pot")
    _unused(design, name)
    return replace(design, pots=tuple(pot for pot in design.pots if pot.name != name))


def _unused(design: Design, name: str) -> None:
    for number, step in enumerate(design.steps, start=1):
        if isinstance(step, DyeBath) and any(paint.pot == name for paint in step.paints):
            raise BatikError("is still used", field=name, got=f"step {number}", fix="take it out of that step first")


def _rename(design: Design, asked: Asked) -> Design:
    old, new = asked.text("pot"), asked.text("to", longest=200)
    if old == new:
        return design
    if not any(pot.name == old for pot in design.pots):
        raise BatikError("is a dye, not a pot", field="pot", got=old, fix="swap the dye, or mix a pot of it")
    if new in _names(design):
        raise BatikError("there is one of that name already", field="name", got=new, fix="choose another name")
    pots = tuple(replace(pot, name=new) if pot.name == old else pot for pot in design.pots)
    steps = _renamed(replace(design, pots=(*design.pots, replace(design.pot(old), name=new))), old, new).steps
    return replace(design, pots=pots, steps=steps)


def _read_dye(asked: Asked) -> Dye:
    """A dye out of the built-in book by its name, a new one by its colour, or one that the server has put in."""
    name = asked.text("name", longest=200)
    made = asked.entries.get("made")
    if isinstance(made, Dye):
        return made
    if "colour" in asked:
        return Dye(name=name, colour=asked.text("colour"))
    return dyebooks.read_book(dyebooks.DEMO).entry(name).dye(dyebooks.DEMO)


def _new_dye(design: Design, asked: Asked) -> Design:
    return replace(design, dyes=(*design.dyes, _read_dye(asked)))


def _swap_dye(design: Design, asked: Asked) -> Design:
    """Another dye in the place of one: in every pot and every bath."""
    old, new = asked.text("dye"), _read_dye(asked)
    dyes = tuple(new if dye.name == old else dye for dye in design.dyes if dye.name != new.name or dye.name == old)

    def amounts(there: Any) -> dict[str, float]:
        found: dict[str, float] = {}
        for name, amount in there.items():
            key = new.name if name == old else name
            found[key] = found.get(key, 0.0) + amount
        return found

    pots = tuple(replace(pot, parts=amounts(pot.parts), drops=amounts(pot.drops)) for pot in design.pots)
    steps = _renamed(design if old == new.name else _both(design, new), old, new.name).steps
    return replace(design, dyes=dyes, pots=pots, steps=steps)


def _both(design: Design, dye: Dye) -> Design:
    """The design with one more dye, or one of that name changed."""
    if any(one.name == dye.name for one in design.dyes):
        return design
    return replace(design, dyes=(*design.dyes, dye))


def _drop_dye(design: Design, asked: Asked) -> Design:
    name = asked.text("dye")
    _unused(design, name)
    for pot in design.pots:
        if name in pot.dyes:
            raise BatikError("is still used", field=name, got=pot.name, fix="take it out of that pot first")
    return replace(design, dyes=tuple(dye for dye in design.dyes if dye.name != name))


# Steps


def _number(design: Design, asked: Asked, key: str = "step", more: int = 0) -> int:
    return asked.whole(key, 1, max(1, len(design.steps) + more))


def _move(design: Design, asked: Asked) -> Design:
    steps = list(design.steps)
    step = steps.pop(_number(design, asked) - 1)
    steps.insert(_number(design, asked, "to") - 1, step)
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


def _add(design: Design, asked: Asked) -> Design:
    if len(design.steps) >= MOST_STEPS:
        raise BatikError("has steps enough", field="step", got=len(design.steps), fix=f"use at most {MOST_STEPS}")
    steps = list(design.steps)
    steps.insert(_number(design, asked, "at", more=1) - 1, _read_step(asked.inner("step")))
    return replace(design, steps=tuple(steps))


def _remove(design: Design, asked: Asked) -> Design:
    steps = list(design.steps)
    if not steps:
        raise BatikError("has no steps", field="step")
    steps.pop(_number(design, asked) - 1)
    return replace(design, steps=tuple(steps))


def _with_step(design: Design, asked: Asked, step: Step) -> Design:
    steps = list(design.steps)
    steps[_number(design, asked) - 1] = step
    return replace(design, steps=tuple(steps))


def _one(design: Design, asked: Asked, kind: type[Any]) -> Any:
    if not design.steps:
        raise BatikError("has no steps", field="step")
    step = design.steps[_number(design, asked) - 1]
    if not isinstance(step, kind):
        raise BatikError("is another kind of step", field=f"step {_number(design, asked)}")
    return step


def _wax(design: Design, asked: Asked) -> Design:
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


def _bleach(design: Design, asked: Asked) -> Design:
    step: Discharge = _one(design, asked, Discharge)
    return _with_step(design, asked, replace(step, strength=asked.number("strength", 0, 1)))


def _paint(design: Design, asked: Asked) -> Design:
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
    return _with_step(design, asked, DyeBath(paints=paints))


def _add_paint(design: Design, asked: Asked) -> Design:
    step: DyeBath = _one(design, asked, DyeBath)
    where = _use(asked.inner("where")) if "where" in asked else None
    return _with_step(design, asked, DyeBath(paints=(*step.paints, Paint(pot=asked.text("pot"), where=where))))


def _drop_paint(design: Design, asked: Asked) -> Design:
    step: DyeBath = _one(design, asked, DyeBath)
    place = asked.whole("paint", 1, len(step.paints)) - 1
    return _with_step(design, asked, DyeBath(paints=step.paints[:place] + step.paints[place + 1 :]))


def _mask(design: Design, asked: Asked) -> Design:
    """Another picture for a waxing, a brushing or a discharge."""
    paint = asked.whole("paint", 1, 200) if "paint" in asked else None
    return with_mask(design, _number(design, asked), paint, _use(asked.inner("where")))


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
        steps[step - 1] = DyeBath(paints=tuple(paints))
    else:
        raise BatikError("has no mask", field=f"step {step}", fix="choose a waxing, a dyeing or a discharge")
    return replace(design, steps=tuple(steps))


def _step_name(design: Design, asked: Asked) -> str:
    number = _number(design, asked)
    return step_words(design.steps[number - 1])[0] if design.steps else "a step"


def _say(text: str) -> Callable[[Design, Asked], str]:
    return lambda design, asked: text


VERBS: dict[str, Verb] = {
    "title": Verb(change=_title, words=_say("the title")),
    "cloth": Verb(change=_cloth, words=_say("the cloth")),
    "strength": Verb(change=_strength, words=lambda d, a: f"the strength of {a.text('pot')}"),
    "parts": Verb(change=_parts, words=lambda d, a: f"the mix of {a.text('pot')}"),
    "drops": Verb(change=_drops, words=lambda d, a: f"drops into {a.text('pot')}"),
    "recipe": Verb(change=_recipe, words=lambda d, a: f"{a.text('pot')} mixed anew"),
    "new_pot": Verb(change=_new_pot, words=lambda d, a: f"the new pot {a.text('name')}"),
    "drop_pot": Verb(change=_drop_pot, words=lambda d, a: f"putting {a.text('pot')} away"),
    "rename": Verb(change=_rename, words=lambda d, a: f"the name of {a.text('pot')}"),
    "new_dye": Verb(change=_new_dye, words=lambda d, a: f"the dye {a.text('name')}"),
    "swap_dye": Verb(change=_swap_dye, words=lambda d, a: f"{a.text('name')} instead of {a.text('dye')}"),
    "drop_dye": Verb(change=_drop_dye, words=lambda d, a: f"putting {a.text('dye')} away"),
    "move": Verb(change=_move, words=lambda d, a: f"moving “{_step_name(d, a)}”"),
    "add": Verb(change=_add, words=_say("a new step")),
    "remove": Verb(change=_remove, words=lambda d, a: f"taking out “{_step_name(d, a)}”"),
    "wax": Verb(change=_wax, words=_say("how the wax lies")),
    "bleach": Verb(change=_bleach, words=_say("the strength of the discharge")),
    "paint": Verb(change=_paint, words=lambda d, a: f"the dyeing “{_step_name(d, a)}”"),
    "add_paint": Verb(change=_add_paint, words=lambda d, a: f"{a.text('pot')} in this dyeing"),
    "drop_paint": Verb(change=_drop_paint, words=_say("taking a pot out of a dyeing")),
    "mask": Verb(change=_mask, words=_say("where it goes")),
}


def blank(title: str, cloth: Cloth) -> Design:
    """A design with nothing on it yet."""
    return Design(title=title, cloth=cloth)
