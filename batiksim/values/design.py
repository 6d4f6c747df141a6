"""A whole design, and what its maker wants of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from batiksim.errors import BatikError, nearest
from batiksim.values.dyes import Cloth, Dye, Pot
from batiksim.values.fields import between, colour, note, text
from batiksim.values.steps import Discharge, DyeBath, MaskUse, Step, Wax

__all__ = ["Design", "FORMAT", "MADE_BY", "Want"]

FORMAT = 1
MADE_BY = "Made by batiksim"  # stands inside every picture and page that is made: such files may be made anew


@dataclass(frozen=True, kw_only=True)
class Want:
    """A colour wished for on the finished cloth, at a spot or in an area.

    colour : "#rrggbb", or an ISCC-NBS name ("strong yellow green")
    at_mm : the spot, x and y from the top left corner; where : or a picture of the area; exactly one of the two
    name : what the maker calls it ("leaves")
    weight : beside the other wants; 2 counts twice
    """

    colour: str
    at_mm: tuple[float, float] | None = None
    where: MaskUse | None = None
    name: str | None = None
    weight: float = 1.0

    def __post_init__(self) -> None:
        text("colour", self.colour)
        if self.colour.startswith("#"):
            object.__setattr__(self, "colour", colour("colour", self.colour))
        if self.name is not None:
            text("name", self.name)
        between("weight", self.weight, 0, 1_000, above=True)
        if (self.at_mm is None) == (self.where is None):
            fix = 'write at = [120, 80] in mm, or where = "leaves.png"'
            raise BatikError("needs either a spot or a picture of its area", fix=fix)
        if self.at_mm is not None:
            if len(self.at_mm) != 2:
                raise BatikError("needs x and y", field="at", got=self.at_mm, fix="write at = [120, 80] in mm")
            for key, value in zip(("at: x", "at: y"), self.at_mm, strict=True):
                between(key, value, 0, 100_000)

    @property
    def called(self) -> str:
        """What to call its place in a sentence."""
        if self.name is not None:
            return self.name
        if self.where is not None:
            return self.where.shape or self.where.called
        x, y = self.at_mm or (0.0, 0.0)
        return f"the spot at {x:g}, {y:g} mm"


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
