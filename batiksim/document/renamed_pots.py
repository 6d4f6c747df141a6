"""Renamed pots: a page may still use the old name."""

from collections.abc import Mapping, Sequence
from typing import Any

from batiksim.values import Design


class PotNames:
    """The names that pots have had since the start."""

    def __init__(self) -> None:
        self._now: dict[str, str] = {}

    def note(self, before: Design, after: Design) -> dict[str, str]:
        """Record the pots that a change has renamed: old names to new ones."""
        if len(before.pots) != len(after.pots):
            return {}
        pairs = zip(before.pots, after.pots, strict=True)
        renamed = {was.name: now.name for was, now in pairs if was.name != now.name}
        self._now = {old: renamed.get(new, new) for old, new in self._now.items()} | renamed
        return renamed

    def now(self, design: Design) -> dict[str, str]:
        """Names that nothing in a design has, to what their pots are called in it."""
        there = {pot.name for pot in design.pots} | {dye.name for dye in design.dyes}
        return {old: new for old, new in self._now.items() if old not in there and new in there}


def by_names(changes: Sequence[Any], names: Mapping[str, str]) -> list[Any]:
    """Changes with every pot by its present name. names : as `PotNames.now` gives them."""

    def named(change: Any) -> Any:
        pot = change.get("pot") if isinstance(change, dict) else None
        return change | {"pot": names[pot]} if isinstance(pot, str) and pot in names else change

    return list(map(named, changes))
