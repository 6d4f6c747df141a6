"""Every way in which a design is changed, by the name that the page sends as `do`: one row each in `_ROWS`.

A row's name is that of its function in `steps` or `dyes_and_pots`, a pure function of a design. The same changes serve
for good, for a slider on its way, and for a trial that is only looked at.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from batiksim.changes import dyes_and_pots as pots
from batiksim.changes import steps
from batiksim.changes.request_fields import RequestFields
from batiksim.texts.catalogue import Message, say
from batiksim.values import Design, Dye
from batiksim.values.step_words import step_words

Change = Callable[[Design, RequestFields], Design]
Shown = tuple[str, ...]  # the fields of a change that its words name


def apply_changes(design: Design, changes: Sequence[Any]) -> Design:
    """A design with changes made one after another.

    Parameters
    ----------
    design : Design
        It stays as it is.
    changes : sequence of dict
        As a remedy has them, or read back from JSON: ``{"do": "set_strength", "pot": "leaf", "strength": 0.6}``.

    Returns
    -------
    Design
        The design with all of them made.

    Raises
    ------
    BatikError
        For a change that isn't known or can't be made on this design.

    Examples
    --------
    >>> from batiksim import Cloth, Design, DyeBath, Dye, Paint, apply_changes
    >>> baths = [DyeBath(paints=(Paint(pot=name),)) for name in ("sun", "sea")]
    >>> dyes = (Dye(name="sun", colour="#f0d92e"), Dye(name="sea", colour="#1aa7b8"))
    >>> design = Design(title="Tide", cloth=Cloth(width_mm=300), dyes=dyes, steps=tuple(baths))
    >>> apply_changes(design, [{"do": "move_step", "step": 2, "to": 1}]).steps[0].paints[0].pot
    'sea'
    """
    if isinstance(changes, str | Mapping):
        raise TypeError(f"changes needs a list of changes, not {type(changes).__name__}")
    for change in changes:
        fields = RequestFields(change)
        verb, _ = _row(fields)
        design = verb(design, fields)
    return design


def by_names(changes: Sequence[Any], names: Mapping[str, str]) -> list[Any]:
    """Changes with every pot by its present name. names : as `PotNames.now` gives them."""

    def named(change: Any) -> Any:
        pot = change.get("pot") if isinstance(change, dict) else None
        return change | {"pot": names[pot]} if isinstance(pot, str) and pot in names else change

    return list(map(named, changes))


def insert_own_dyes(changes: Sequence[Any], own: Mapping[str, Dye]) -> list[Any]:
    """Changes in which a dye marked "own" stands as that dye of the maker's own book. own : its dyes by name."""

    def is_own(change: Any) -> bool:
        return isinstance(change, dict) and bool(change.get("own")) and change.get("name") in own

    return [change | {"made": own[change["name"]]} if is_own(change) else change for change in changes]


def change_words(design: Design, changes: Sequence[Any]) -> Message:
    """What the first of some changes has done, for undo and the history. design : before it, and it can be made."""
    fields = RequestFields(changes[0])
    verb, shown = _row(fields)
    key = f"document.change.{verb.__name__}"
    if verb is pots.set_cloth:
        changed = [name for name in shown if name in fields]
        return say(key, changed=tuple(say(f"{key}.{name}") for name in changed or ["any"]))
    if verb is steps.add_step:
        return say(f"{key}.{fields.nested('step').text('kind')}")
    return say(key, **{name: _shown(design, fields, name) for name in shown})


def _shown(design: Design, fields: RequestFields, name: str) -> Any:
    return step_words(design, steps.step_number(design, fields))[0] if name == "step" else fields.text(name)


def _row(fields: RequestFields) -> tuple[Change, Shown]:
    return VERBS[fields.choice("do", tuple(VERBS))]


_ROWS: tuple[tuple[Change, Shown], ...] = (
    (pots.set_title, ()),
    (pots.set_cloth, ("width_mm", "colour", "grams_per_m2")),
    (pots.set_strength, ("pot",)),
    (pots.set_parts, ("pot",)),
    (pots.set_drops, ("pot",)),
    (pots.set_recipe, ("pot",)),
    (pots.add_pot, ("name",)),
    (pots.remove_pot, ("pot",)),
    (pots.rename_pot, ("pot",)),
    (pots.add_dye, ("name",)),
    (pots.swap_dye, ("name", "dye")),
    (pots.remove_dye, ("dye",)),
    (steps.move_step, ("step",)),
    (steps.add_step, ()),
    (steps.remove_step, ("step",)),
    (steps.set_wax, ("step",)),
    (steps.set_discharge, ()),
    (steps.set_paint, ("step",)),
    (steps.add_paint, ("pot",)),
    (steps.remove_paint, ()),
    (steps.set_mask, ("step",)),
)
VERBS = {change.__name__: (change, shown) for change, shown in _ROWS}
