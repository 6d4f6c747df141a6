"""What can hurt someone, said with the step where it can. The label, local rules and qualified advice come first.

The cautions are common practice unless a source is named; the wording is this project's own.
"""

from dataclasses import dataclass, field

from batiksim.texts.catalogue import Message, say
from batiksim.values.plain_data import LEFT_OUT

DEFER = say("workshop.defer")


@dataclass(frozen=True)
class Caution:
    """One thing to look out for.

    title : two or three words, as they stand within a sentence: "hot wax"; text : what to do
    source : where it is known from
    """

    key: str = field(metadata=LEFT_OUT)
    title: Message
    text: Message
    source: Message


def _caution(key: str) -> Caution:
    source = say(f"workshop.caution.{key}.source") if key in ("powder", "wax") else say("workshop.grade.practice")
    return Caution(key, say(f"workshop.caution.{key}.title"), say(f"workshop.caution.{key}.text"), source)


_KEYS = ("powder", "soda", "wax", "fire", "fumes", "dye", "bleach", "iron", "hot_water", "drain", "food", "children")
CAUTIONS: dict[str, Caution] = {key: _caution(key) for key in _KEYS}

KINDS: dict[str, tuple[str, ...]] = {
    "powders": ("powder", "food", "children"),
    "fixative": ("soda", "children"),
    "soak": ("soda", "children"),
    "melt": ("wax", "fire", "fumes"),
    "wax": ("wax", "fire", "fumes", "children"),
    "dye": ("dye", "soda"),
    "discharge": ("bleach", "children"),
    "remove_wax": ("iron", "hot_water", "fire", "fumes", "children"),
    "wash": ("dye", "drain"),
}


def cautions_for(*kinds: str) -> tuple[Caution, ...]:
    """The cautions of kinds of work, keys of `KINDS`, each once; nothing for work that hurts no one."""
    keys = dict.fromkeys(key for kind in kinds for key in KINDS.get(kind, ()))
    return tuple(CAUTIONS[key] for key in keys)
