"""Every way in which the page changes a design: one row each in `VERBS`. A change is a pure function of a design.

The same changes serve for good, for a slider on its way, and for a trial that is only looked at.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from batiksim import jobs
from batiksim.document import dyes_and_pots as shelf
from batiksim.document import steps
from batiksim.document.request_fields import Asked
from batiksim.document.steps import mask_at, with_mask
from batiksim.values import Cloth, Design, Dye

__all__ = ["VERBS", "Verb", "blank", "changed", "change_words", "made_own", "mask_at", "with_mask"]


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


def made_own(changes: Sequence[Any], own: Mapping[str, Dye]) -> list[Any]:
    """Changes in which a dye marked "own" stands as that dye of the maker's own book. own : its dyes by name."""

    def is_own(one: Any) -> bool:
        return isinstance(one, dict) and bool(one.get("own")) and one.get("name") in own

    return [one | {"made": own[one["name"]]} if is_own(one) else one for one in changes]


def change_words(design: Design, changes: Sequence[Any]) -> str:
    """What the first of some changes does, in a few words."""
    asked = Asked(changes[0])
    return VERBS[asked.choice("do", tuple(VERBS))].words(design, asked)


def _step_name(design: Design, asked: Asked) -> str:
    number = steps.step_number(design, asked)
    return jobs.step_told(design, number)["title"] if design.steps else "a step"


def _new_step_words(design: Design, asked: Asked) -> str:
    del design
    step = asked.entries.get("step")
    kinds = {"wax": "the new waxing", "dye": "the new dyeing", "discharge": "the new discharge"}
    return kinds.get(str(step.get("kind")), "the new step") if isinstance(step, dict) else "the new step"


_OF_CLOTH = {"width_mm": "the cloth's width", "colour": "the undyed colour", "grams_per_m2": "the cloth's weight"}


def _cloth_words(design: Design, asked: Asked) -> str:
    del design
    return " and ".join(words for key, words in _OF_CLOTH.items() if key in asked) or "the cloth"


def _say(text: str) -> Callable[[Design, Asked], str]:
    return lambda design, asked: text


VERBS: dict[str, Verb] = {
    "title": Verb(change=shelf.set_title, words=_say("the title")),
    "cloth": Verb(change=shelf.set_cloth, words=_cloth_words),
    "strength": Verb(change=shelf.set_strength, words=lambda d, a: f"the strength of {a.text('pot')}"),
    "parts": Verb(change=shelf.set_parts, words=lambda d, a: f"the mix of {a.text('pot')}"),
    "drops": Verb(change=shelf.set_drops, words=lambda d, a: f"drops into {a.text('pot')}"),
    "recipe": Verb(change=shelf.mix_anew, words=lambda d, a: f"{a.text('pot')} mixed anew"),
    "new_pot": Verb(change=shelf.new_pot, words=lambda d, a: f"the new pot {a.text('name')}"),
    "drop_pot": Verb(change=shelf.drop_pot, words=lambda d, a: f"putting {a.text('pot')} away"),
    "rename": Verb(change=shelf.rename, words=lambda d, a: f"the name of {a.text('pot')}"),
    "new_dye": Verb(change=shelf.new_dye, words=lambda d, a: f"the dye {a.text('name')}"),
    "swap_dye": Verb(change=shelf.swap_dye, words=lambda d, a: f"{a.text('name')} instead of {a.text('dye')}"),
    "drop_dye": Verb(change=shelf.drop_dye, words=lambda d, a: f"putting {a.text('dye')} away"),
    "move": Verb(change=steps.move_step, words=lambda d, a: f"moving “{_step_name(d, a)}”"),
    "add": Verb(change=steps.add_step, words=_new_step_words),
    "remove": Verb(change=steps.remove_step, words=lambda d, a: f"taking out “{_step_name(d, a)}”"),
    "wax": Verb(change=steps.set_wax, words=lambda d, a: f"how the wax of “{_step_name(d, a)}” lies"),
    "bleach": Verb(change=steps.set_bleach, words=_say("the strength of the discharge")),
    "paint": Verb(change=steps.set_paint, words=lambda d, a: f"the dyeing “{_step_name(d, a)}”"),
    "add_paint": Verb(change=steps.add_paint, words=lambda d, a: f"{a.text('pot')} in this dyeing"),
    "drop_paint": Verb(change=steps.drop_paint, words=_say("taking a pot out of a dyeing")),
    "mask": Verb(change=steps.set_mask, words=lambda d, a: f"the picture of “{_step_name(d, a)}”"),
}


def blank(title: str, cloth: Cloth) -> Design:
    """A design with nothing on it yet."""
    return Design(title=title, cloth=cloth)
