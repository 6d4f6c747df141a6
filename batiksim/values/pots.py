"""Pots: dyes mixed by parts and by the drop."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from batiksim.errors import BatikError
from batiksim.values.fields import between, text

__all__ = ["DROP_ML", "MOST_AMOUNT", "Pot"]

MOST_AMOUNT = 10_000.0
"""Most parts, or drops, of one dye in a pot: parts are a ratio, so more is a slip of the pen. An assumption."""
DROP_ML = 0.05  # common practice, no source: 20 drops to a millilitre


@dataclass(frozen=True, kw_only=True)
class Pot:
    """A mixed dye solution: parts of full-strength solutions, thinned with chemical water, then drops on top.

    parts : dye name -> parts by volume of its full-strength solution; may be empty where there are drops
    strength : 1 = the mixture as it is, 0.5 = as much chemical water again, 0..4
    ml : what the pot holds before the drops; needed for drops
    drops : dye name -> drops (`DROP_ML` each) of its full-strength solution, added last
    """

    name: str
    parts: Mapping[str, float]
    strength: float = 1.0
    ml: float | None = None
    drops: Mapping[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        text("name", self.name)
        between("strength", self.strength, 0, 4, share=True)
        if not self.parts and not self.drops:
            raise BatikError("needs at least one dye", field="parts", fix="write parts = { dye = 1 }")
        for key, amounts in (("parts", self.parts), ("drops", self.drops)):
            for dye, amount in amounts.items():
                why = f"parts say how much of one dye to another: write {dye}=5" if key == "parts" else ""
                between(f"{key}: {dye}", amount, 0, MOST_AMOUNT, why=why)
        if sum((self.parts or self.drops).values()) <= 0:
            raise BatikError("parts add up to nothing", field="parts", fix="give one dye a part above 0")
        if self.ml is not None:
            between("ml", self.ml, 0, 1_000_000, above=True)
        if self.drops and self.ml is None:
            raise BatikError("drops need to know how much the pot holds", field="ml", fix="write ml = 100")
        object.__setattr__(self, "parts", MappingProxyType(dict(self.parts)))
        object.__setattr__(self, "drops", MappingProxyType(dict(self.drops)))

    def __hash__(self) -> int:
        amounts = (frozenset(given.items()) for given in (self.parts, self.drops))  # in whatever order, as they compare
        return hash((self.name, self.strength, self.ml, *amounts))

    @property
    def dyes(self) -> tuple[str, ...]:
        """Every dye in the pot once: those with parts, then those by the drop."""
        return tuple(dict.fromkeys([*self.parts, *self.drops]))

    def loads(self) -> dict[str, float]:
        """Full strengths of each dye that the pot gives to open cloth, before build-up."""
        total = sum(self.parts.values())
        loads = {dye: part / total * self.strength for dye, part in self.parts.items()}
        if self.ml is None or not self.drops:
            return loads
        filled = self.ml + DROP_ML * sum(self.drops.values())
        loads = {dye: load * self.ml / filled for dye, load in loads.items()}
        for dye, drops in self.drops.items():
            loads[dye] = loads.get(dye, 0.0) + DROP_ML * drops / filled
        return loads
