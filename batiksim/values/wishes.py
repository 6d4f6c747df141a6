"""What a maker wishes for on the finished cloth."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from batiksim.errors import BatikError
from batiksim.texts.catalogue import say
from batiksim.values.documented import documented
from batiksim.values.rules import Colour, Number, Numbers, Text, number, setting, text
from batiksim.values.settings import Value
from batiksim.values.steps import Mask, MaskUse, Picture, needs_picture

_HEX = Colour(help="A colour.")
_MM = Number(low=0, high=100_000, example=120, help="In mm.")


@dataclass(frozen=True, kw_only=True)
class ColourOrName(Text):
    """A colour like "#f0d92e", or in words."""

    def check(self, value: Any, key: str) -> Any:
        checked = super().check(value, key)
        return _HEX.check(checked, key) if checked.startswith("#") else checked


@documented
@dataclass(frozen=True, kw_only=True)
class Want(Value):
    """A colour wished for on the finished cloth, at a spot or in an area.

    Notes
    -----
    Exactly one of `at_mm` and `where` says where.

    Examples
    --------
    >>> from batiksim import Want
    >>> Want(colour="#c05f7a", at_mm=(120, 80)).at_mm
    (120.0, 80.0)
    >>> Want(colour="strong yellow green", where="leaves.png").called
    'leaves'
    """

    KIND = "want"

    name: str | None = field(default=None, metadata=text("What you call the place.", "leaves"))
    at_mm: tuple[float, float] | None = field(
        default=None,
        metadata=setting(
            Numbers(
                key="at",
                unit="mm",
                help="The spot: how far from the left and from the top edge.",
                example=[120, 80],
                each={"x": _MM, "y": _MM},
                problem="values.error.needs_spot",
            )
        ),
    )
    where: MaskUse | None = field(
        default=None, metadata=setting(Mask(help="Or a picture of the area.", example="leaves.png"))
    )
    colour: str = field(
        metadata=setting(
            ColourOrName(help='The colour: "#c05f7a", or its name (ISCC-NBS).', example="strong yellow green")
        )
    )
    weight: float = field(
        default=1.0, metadata=number("How much it counts among the wants; 2 counts twice.", 2, 0, 1_000, above=True)
    )

    def __init__(
        self,
        *,
        name: str | None = None,
        at_mm: Iterable[float] | None = None,
        where: Picture | None = None,
        colour: str,
        weight: float = 1.0,
    ) -> None:
        self._keep(locals())

    @classmethod
    def schema_more(cls) -> dict[str, Any]:
        return {"oneOf": [{"required": ["at"]}, {"required": ["where"]}]} | needs_picture("where")

    def agree(self) -> None:
        if (self.at_mm is None) == (self.where is None):
            raise BatikError("values.error.spot_or_picture")

    @property
    def called(self) -> str:
        """What to call its place in a sentence."""
        if self.name is not None:
            return self.name
        if self.where is not None:
            return self.where.shape or self.where.called
        x, y = self.at_mm or (0.0, 0.0)
        return str(say("values.spot_at", x=x, y=y))
