"""Remedies that are made by changes of the design."""

from dataclasses import dataclass, field

from batiksim.changes.verbs import apply_changes, insert_own_dyes
from batiksim.values import Design, Dye, Remedy
from batiksim.values.frozen import FrozenDict
from batiksim.values.plain_data import LEFT_OUT


@dataclass(frozen=True, kw_only=True)
class DesignRemedy(Remedy):
    """A remedy as a finding holds it. own : dyes of the maker's own book that it brings."""

    own: tuple[Dye, ...] = field(default=(), repr=False, metadata=LEFT_OUT)

    def __post_init__(self) -> None:
        object.__setattr__(self, "changes", tuple(map(FrozenDict, self.changes)))

    def __repr__(self) -> str:
        return f"<Remedy: {self.words}>"

    def apply(self, design: Design) -> Design:
        """The design with the changes made. Raises BatikError for a change that can't be made on it."""
        return apply_changes(design, insert_own_dyes(self.changes, {dye.name: dye for dye in self.own}))
