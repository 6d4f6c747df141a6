"""Pots: dyes mixed by parts and by the drop."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from batiksim.errors import BatikError
from batiksim.values.documented import documented
from batiksim.values.rules import Entries, Number, amounts, number, text
from batiksim.values.settings import Value
from batiksim.values.showing import ShownInNotebooks, short_repr

MOST_AMOUNT = 10_000.0
"""Most parts, or drops, of one dye in a pot: parts are a ratio, so more is a slip of the pen. An assumption."""
DROP_ML = 0.05  # common practice, no source: 20 drops to a millilitre


@documented
@dataclass(frozen=True, kw_only=True)
class Pot(Value, ShownInNotebooks):
    """A mixed dye solution: parts of full-strength solutions, thinned with chemical water, then drops on top.

    Notes
    -----
    20 drops are taken for a millilitre.

    Examples
    --------
    >>> from batiksim import Pot
    >>> Pot(name="leaf", parts={"sun yellow": 5, "sea blue": 1}, strength=0.6).loads()
    {'sun yellow': 0.5, 'sea blue': 0.09999999999999999}
    """

    KIND = "pot"

    name: str = field(metadata=text("What you call it; steps use this name.", "leaf green"))
    parts: Mapping[str, float] = field(
        default_factory=dict,
        metadata=amounts(
            "Parts by volume of each dye's full-strength solution. A pot with drops may leave them out.",
            Number(low=0, high=MOST_AMOUNT, example=1, why="settings.why.parts", help="Parts by volume."),
            {"sun yellow": 5, "sea blue": 1},
        ),
    )
    strength: float = field(
        default=1.0,
        metadata=number("1 is the mix as it is, 0.5 has as much chemical water again.", 0.8, 0, 4, share=True),
    )
    ml: float | None = field(
        default=None,
        metadata=number("What the pot holds before the drops; drops need it.", 100, 0, 1_000_000, "ml", above=True),
    )
    drops: Mapping[str, float] = field(
        default_factory=dict,
        metadata=amounts(
            "Drops of each dye's full-strength solution, added last.",
            Number(low=0, high=MOST_AMOUNT, example=6, help="Drops."),
            {"navy": 6},
        ),
    )

    @classmethod
    def together(cls, entries: Entries) -> None:
        if "parts" not in entries and "drops" not in entries:
            raise BatikError("values.error.no_parts", field="parts")

    @classmethod
    def schema_more(cls) -> dict[str, Any]:
        return {"anyOf": [{"required": ["parts"]}, {"required": ["drops"]}], "dependentRequired": {"drops": ["ml"]}}

    def agree(self) -> None:
        if not self.parts and not self.drops:
            raise BatikError("values.error.no_dye", field="parts")
        if sum((self.parts or self.drops).values()) <= 0:
            raise BatikError("values.error.no_amount", field="parts")
        if self.drops and self.ml is None:
            raise BatikError("values.error.drops_into_what", field="ml")

    __repr__ = short_repr

    @property
    def dyes(self) -> tuple[str, ...]:
        """Every dye in the pot once: those with parts, then those by the drop."""
        return tuple(dict.fromkeys([*self.parts, *self.drops]))

    def loads(self) -> dict[str, float]:
        """Full strengths of each dye that the pot gives to open cloth, before build-up.

        Returns
        -------
        dict of str to float
            Of each dye in the pot, in the order of `dyes`; 1 is the dye at full strength.

        See Also
        --------
        BuildUp.load : What fibre takes of it.

        Examples
        --------
        >>> from batiksim import Pot
        >>> Pot(name="navy", parts={"navy": 1}, strength=0.5, ml=99, drops={"black": 20}).loads()
        {'navy': 0.495, 'black': 0.01}
        """
        total = sum(self.parts.values())
        loads = {dye: part / total * self.strength for dye, part in self.parts.items()}
        if self.ml is None or not self.drops:
            return loads
        filled = self.ml + DROP_ML * sum(self.drops.values())
        loads = {dye: load * self.ml / filled for dye, load in loads.items()}
        for dye, drops in self.drops.items():
            loads[dye] = loads.get(dye, 0.0) + DROP_ML * drops / filled
        return loads
