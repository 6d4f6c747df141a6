"""Every way in which a design is changed, by the name that the page sends as `do`: one row each in `_ROWS`.

A row's name is that of its function in `steps` or `dyes_and_pots`, a pure function of a design. The same changes serve
for good, for a slider on its way, and for a trial that is only looked at.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from batiksim.document import dyes_and_pots as pots
from batiksim.document import steps
from batiksim.document.request_fields import RequestFields
from batiksim.values import Design, Dye
from batiksim.values.step_words import step_words

Change = Callable[[Design, RequestFields], Design]
Words = Callable[[Design, RequestFields], str]


def apply_changes(design: Design, changes: Sequence[Any]) -> Design:
    """A design with changes made one after another. Raises BatikError for one that can't be made."""
    for change in changes:
        fields = RequestFields(change)
        verb, _ = _row(fields)
        design = verb(design, fields)
    return design


def insert_own_dyes(changes: Sequence[Any], own: Mapping[str, Dye]) -> list[Any]:
    """Changes in which a dye marked "own" stands as that dye of the maker's own book. own : its dyes by name."""

    def is_own(change: Any) -> bool:
        return isinstance(change, dict) and bool(change.get("own")) and change.get("name") in own

    return [change | {"made": own[change["name"]]} if is_own(change) else change for change in changes]


def change_words(design: Design, changes: Sequence[Any]) -> str:
    """What the first of some changes does, in a few words: for undo and the history."""
    fields = RequestFields(changes[0])
    _, words = _row(fields)
    return words(design, fields)


def _row(fields: RequestFields) -> tuple[Change, Words]:
    return VERBS[fields.choice("do", tuple(VERBS))]


def _step_title(design: Design, fields: RequestFields) -> str:
    number = steps.step_number(design, fields)
    return f"“{step_words(design, number)[0]}”" if design.steps else "“a step”"


def _new_step_words(design: Design, fields: RequestFields) -> str:
    del design
    step = fields.entries.get("step")
    kinds = {"wax": "the new waxing", "dye": "the new dyeing", "discharge": "the new discharge"}
    return kinds.get(str(step.get("kind")), "the new step") if isinstance(step, dict) else "the new step"


_OF_CLOTH = {"width_mm": "the cloth's width", "colour": "the undyed colour", "grams_per_m2": "the cloth's weight"}


def _cloth_words(design: Design, fields: RequestFields) -> str:
    del design
    return " and ".join(words for key, words in _OF_CLOTH.items() if key in fields) or "the cloth"


def _say(words: str) -> Words:
    return lambda design, fields: words


_ROWS: tuple[tuple[Change, Words], ...] = (
    (pots.set_title, _say("the title")),
    (pots.set_cloth, _cloth_words),
    (pots.set_strength, lambda d, f: f"the strength of {f.text('pot')}"),
    (pots.set_parts, lambda d, f: f"the mix of {f.text('pot')}"),
    (pots.set_drops, lambda d, f: f"drops into {f.text('pot')}"),
    (pots.set_recipe, lambda d, f: f"{f.text('pot')} mixed anew"),
    (pots.add_pot, lambda d, f: f"the new pot {f.text('name')}"),
    (pots.remove_pot, lambda d, f: f"putting {f.text('pot')} away"),
    (pots.rename_pot, lambda d, f: f"the name of {f.text('pot')}"),
    (pots.add_dye, lambda d, f: f"the dye {f.text('name')}"),
    (pots.swap_dye, lambda d, f: f"{f.text('name')} instead of {f.text('dye')}"),
    (pots.remove_dye, lambda d, f: f"putting {f.text('dye')} away"),
    (steps.move_step, lambda d, f: f"moving {_step_title(d, f)}"),
    (steps.add_step, _new_step_words),
    (steps.remove_step, lambda d, f: f"taking out {_step_title(d, f)}"),
    (steps.set_wax, lambda d, f: f"how the wax of {_step_title(d, f)} lies"),
    (steps.set_discharge, _say("the strength of the discharge")),
    (steps.set_paint, lambda d, f: f"the dyeing {_step_title(d, f)}"),
    (steps.add_paint, lambda d, f: f"{f.text('pot')} in this dyeing"),
    (steps.remove_paint, _say("taking a pot out of a dyeing")),
    (steps.set_mask, lambda d, f: f"the picture of {_step_title(d, f)}"),
)
VERBS = {change.__name__: (change, words) for change, words in _ROWS}
