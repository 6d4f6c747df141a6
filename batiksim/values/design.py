"""A whole design."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from batiksim.errors import BatikError, nearest
from batiksim.values.cloth import Cloth
from batiksim.values.dyes import Dye
from batiksim.values.fields import note, text
from batiksim.values.pots import Pot
from batiksim.values.steps import Discharge, DyeBath, MaskUse, Step, Wax
from batiksim.values.wishes import Want

__all__ = ["Design", "FORMAT", "MADE_BY"]

FORMAT = 1
MADE_BY = "Made by batiksim"  # stands inside every picture and page that is made: such files may be made anew


@dataclass(frozen=True, kw_only=True)
class Design:
    """One planned cloth.

    skip_checks : codes of the checks that this design leaves out
    wants : colours wished for; they ask, and change nothing on the cloth
    maker : whose design it is, as sheets say; note : what the maker tells learners of the whole cloth
    """

    title: str
    cloth: Cloth
    dyes: tuple[Dye, ...] = ()
    pots: tuple[Pot, ...] = ()
    steps: tuple[Step, ...] = ()
    skip_checks: tuple[str, ...] = ()
    wants: tuple[Want, ...] = ()
    maker: str = ""
    note: str = ""

    def __post_init__(self) -> None:
        text("title", self.title)
        note("note", self.note)
        if self.maker:
            text("maker", self.maker)
        names = [dye.name for dye in self.dyes] + [pot.name for pot in self.pots]
        for name in names:
            if names.count(name) > 1:
                raise BatikError("two dyes or pots share a name", field="name", got=name, fix="rename one of them")
        dyes = [dye.name for dye in self.dyes]
        for pot in self.pots:
            for dye in pot.dyes:
                if dye not in dyes:
                    where = f"pot {pot.name!r}: {'parts' if dye in pot.parts else 'drops'}"
                    raise BatikError("is not a dye of this design", field=where, got=dye, fix=nearest(dye, dyes))
        for number, step in enumerate(self.steps, start=1):
            for paint in step.paints if isinstance(step, DyeBath) else ():
                if paint.pot not in names:
                    raise BatikError(
                        "is not a pot or dye of this design",
                        field=f"step {number}: dye",
                        got=paint.pot,
                        fix=nearest(paint.pot, names),
                    )

    def pot(self, name: str) -> Pot:
        """The pot of that name; a dye's name gives that dye alone at full strength."""
        for pot in self.pots:
            if pot.name == name:
                return pot
        for dye in self.dyes:
            if dye.name == name:
                return Pot(name=name, parts={name: 1.0})
        choices = [pot.name for pot in self.pots] + [dye.name for dye in self.dyes]
        raise BatikError("is not a pot or dye of this design", got=name, fix=nearest(name, choices))

    def mask_uses(self) -> Iterator[tuple[int, MaskUse]]:
        """Every mask the steps use, in order, with its step's number (from 1)."""
        for number, step in enumerate(self.steps, start=1):
            if isinstance(step, Wax):
                yield number, step.mask
            elif isinstance(step, DyeBath):
                yield from ((number, paint.where) for paint in step.paints if paint.where is not None)
            elif isinstance(step, Discharge) and step.where is not None:
                yield number, step.where
