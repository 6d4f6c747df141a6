"""What colours and the way a colour came about are called where they are shown; data keeps the English codes."""

import re
from collections.abc import Sequence

from batiksim.texts.catalogue import Message, say

PLAIN = (
    "white",
    "grey",
    "black",
    "pink",
    "red",
    "orange",
    "brown",
    "yellow",
    "olive",
    "green",
    "blue",
    "purple",
    "yellow-green",
    "blue-green",
)
"""What makers call colours, in a word."""


def name_message(name: str) -> Message:
    """A colour's name, full or plain, as it is shown. The English name itself is the code that data keeps."""
    return say(f"colour.{'plain' if name in PLAIN else 'name'}.{re.sub('[ -]', '_', name)}")


def history_names(history: Sequence[str]) -> tuple[str | Message, ...]:
    """What reached a piece of cloth, in order, as it is shown: pots by their names, and the bleach."""
    return tuple(say("colour.bleach") if name == "discharge" else name for name in history)


def history_words(history: Sequence[str]) -> str:
    """What reached a piece of cloth, in order: "straw + ink"; the bare cloth where nothing did."""
    return " + ".join(map(str, history_names(history))) or str(say("phrase.bare_cloth"))
