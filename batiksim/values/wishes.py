"""What a maker wishes for on the finished cloth."""

from __future__ import annotations

from dataclasses import dataclass

from batiksim.errors import BatikError
from batiksim.values.fields import between, colour, text
from batiksim.values.steps import MaskUse

__all__ = ["Want"]


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
