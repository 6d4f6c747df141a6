"""Changes of the cloth itself, of dyes and of pots: pure functions of a design and the fields of a change."""

import re
from dataclasses import replace
from typing import Any

from batiksim.changes.request_fields import RequestFields
from batiksim.errors import BatikError
from batiksim.files.toml import dyebooks
from batiksim.texts.catalogue import languages, say, texts
from batiksim.values import Design, Dye, DyeBath, Pot, Step
from batiksim.values.pot_words import described_pot

LEAST_ML = 0.1  # what drops go into at least: a pot that holds less is a slip


def set_title(design: Design, fields: RequestFields) -> Design:
    """Another title."""
    return replace(design, title=fields.text("title", longest=200))


def set_cloth(design: Design, fields: RequestFields) -> Design:
    """Another width, undyed colour or weight of the cloth."""
    return replace(design, cloth=replace(design.cloth, **fields.settings(type(design.cloth))))


# Dyes and pots


def as_pot(design: Design, name: str) -> Design:
    """The design with a dye that is used by its own name turned into a pot of it alone, so that it can be changed."""
    known = pot_name(design, name)
    if any(pot.name == known for pot in design.pots):
        return design
    design.pot(name)  # says which names there are
    pot = Pot(name=known, parts={name: 1.0})
    return replace(design, pots=(*design.pots, pot), steps=_repainted(design, name, pot.name))


def pot_name(design: Design, name: str) -> str:
    """What `as_pot` calls the pot of a name.

    A dye that no bath uses by its own name any more stands for the pot that was made of it: fast presses of one key
    all name the dye as it was at the first of them.
    """
    if any(pot.name == name for pot in design.pots):
        return name
    if not used_in(design, name):
        for pot in design.pots:
            if is_pot_of(pot.name, name) and name in pot.dyes and used_in(design, pot.name):
                return pot.name
    return _free_name(design, pot_of(name))


def pot_of(dye: str) -> str:
    """What a pot of one dye alone is called at first."""
    return str(say("document.pot_of_dye", dye=dye))


def is_pot_of(name: str, dye: str) -> bool:
    """Whether a name is what `pot_of` makes of a dye in any language, with or without a number behind it."""
    made = (re.escape(texts(language)("document.pot_of_dye", dye=dye)) for language in languages())
    return re.fullmatch(rf"(?:{'|'.join(made)})(?: \d+)?", name) is not None


def _names(design: Design) -> list[str]:
    return [dye.name for dye in design.dyes] + [pot.name for pot in design.pots]


def _free_name(design: Design, name: str) -> str:
    """A name that no dye and no pot has yet: the one given, or with a number behind it."""
    taken = {*_names(design)}
    numbered = (name, *(f"{name} {number}" for number in range(2, len(taken) + 3)))
    return next(free for free in numbered if free not in taken)


def _repainted(design: Design, old: str, new: str) -> tuple[Step, ...]:
    """The steps with every brushing of one pot now of another."""

    def repainted(step: Step) -> Step:
        if not isinstance(step, DyeBath):
            return step
        return replace(step, paints=tuple(replace(p, pot=new) if p.pot == old else p for p in step.paints))

    return tuple(map(repainted, design.steps))


def _with_pot(design: Design, fields: RequestFields, **keys: Any) -> Design:
    name = fields.text("pot")
    new = pot_name(design, name)
    design = as_pot(design, name)
    pots = tuple(replace(pot, **keys) if pot.name == new else pot for pot in design.pots)
    return _described_anew(design, replace(design, pots=pots))


def _described_anew(before: Design, after: Design, *, swapped: tuple[str, str] = ("", "")) -> Design:
    """Pots whose names say what is in them, renamed where that is another now; names of the maker's own stay.

    swapped : a dye, and the one in its place, by their names
    """
    for was, now in zip(before.pots, after.pots, strict=True):
        name = _described_name(was, now, swapped)
        if name != now.name:
            after = _pot_renamed(after, now.name, _free_name(after, name))
    return after


def _described_name(was: Pot, now: Pot, swapped: tuple[str, str]) -> str:
    old, new = swapped
    if old and is_pot_of(was.name, old):
        return pot_of(new)
    filled = any(was.loads().values()) and any(now.loads().values())
    return described_pot(now.loads()) if filled and was.name == described_pot(was.loads()) else now.name


def set_strength(design: Design, fields: RequestFields) -> Design:
    """Another strength of a pot."""
    return _with_pot(design, fields, strength=fields.setting(Pot, "strength"))


def set_parts(design: Design, fields: RequestFields) -> Design:
    """Another mix of a pot, in parts."""
    parts = {name: amount for name, amount in fields.setting(Pot, "parts").items() if amount > 0}
    return _with_pot(design, fields, parts=parts)


def set_drops(design: Design, fields: RequestFields) -> Design:
    """Drops into a pot."""
    drops = {name: amount for name, amount in fields.setting(Pot, "drops").items() if amount > 0}
    ml = fields.number("ml", LEAST_ML, 1_000_000) if "ml" in fields else None
    return _with_pot(design, fields, drops=drops, ml=ml)


def set_recipe(design: Design, fields: RequestFields) -> Design:
    """A pot remixed to a matched recipe."""
    parts, strength = fields.setting(Pot, "parts"), fields.setting(Pot, "strength")
    return _with_pot(design, fields, parts=parts, strength=strength, drops={}, ml=None)


def add_pot(design: Design, fields: RequestFields) -> Design:
    """One more pot."""
    name = _free_name(design, fields.text("name", longest=200))
    pot = Pot(name=name, **fields.settings(Pot, without=("name",)))
    return replace(design, pots=(*design.pots, pot))


def remove_pot(design: Design, fields: RequestFields) -> Design:
    """A pot that no step uses is put away."""
    name = fields.text("pot")
    _check_unused(design, name)
    return replace(design, pots=tuple(pot for pot in design.pots if pot.name != name))


def used_in(design: Design, name: str) -> list[int]:
    """The steps, from 1, whose bath uses a pot or dye by this name."""
    steps = enumerate(design.steps, start=1)
    return [n for n, step in steps if isinstance(step, DyeBath) and any(paint.pot == name for paint in step.paints)]


def _check_unused(design: Design, name: str) -> None:
    for number in used_in(design, name):
        raise BatikError("document.error.used_in_step", field=name, number=number)


def rename_pot(design: Design, fields: RequestFields) -> Design:
    """Another name for a pot, in every step."""
    old, new = fields.text("pot"), fields.text("to", longest=200)
    if old == new:
        return design
    if not any(pot.name == old for pot in design.pots):
        raise BatikError("document.error.dye_not_pot", field="pot", got=old)
    if new in _names(design):
        raise BatikError("document.error.name_taken", field="name", got=new)
    return _pot_renamed(design, old, new)


def _pot_renamed(design: Design, old: str, new: str) -> Design:
    pots = tuple(replace(pot, name=new) if pot.name == old else pot for pot in design.pots)
    return replace(design, pots=pots, steps=_repainted(design, old, new))


def _read_dye(fields: RequestFields) -> Dye:
    """A dye out of the built-in book by its name, a new one by its colour, or one that `insert_own_dyes` has put in."""
    name = fields.text("name", longest=200)
    made = fields.entries.get("made")
    if isinstance(made, Dye):
        return made
    if "colour" in fields:
        return Dye(name=name, colour=fields.text("colour"))
    return dyebooks.read_book(dyebooks.DEMO).entry(name).dye(dyebooks.DEMO)


def add_dye(design: Design, fields: RequestFields) -> Design:
    """One more dye."""
    return replace(design, dyes=(*design.dyes, _read_dye(fields)))


def swap_dye(design: Design, fields: RequestFields) -> Design:
    """Another dye in the place of one: in every pot and every bath."""
    old, new = fields.text("dye"), _read_dye(fields)
    dyes = tuple(new if dye.name == old else dye for dye in design.dyes if dye.name != new.name or dye.name == old)

    def amounts(there: Any) -> dict[str, float]:
        swapped: dict[str, float] = {}
        for name, amount in there.items():
            key = new.name if name == old else name
            swapped[key] = swapped.get(key, 0.0) + amount
        return swapped

    pots = tuple(replace(pot, parts=amounts(pot.parts), drops=amounts(pot.drops)) for pot in design.pots)
    after = replace(design, dyes=dyes, pots=pots, steps=_repainted(design, old, new.name))
    return _described_anew(design, after, swapped=(old, new.name))


def remove_dye(design: Design, fields: RequestFields) -> Design:
    """A dye that nothing uses is put away."""
    name = fields.text("dye")
    _check_unused(design, name)
    for pot in design.pots:
        if name in pot.dyes:
            raise BatikError("document.error.used_in_pot", field=name, pot=pot.name)
    return replace(design, dyes=tuple(dye for dye in design.dyes if dye.name != name))
