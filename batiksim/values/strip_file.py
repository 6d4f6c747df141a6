"""What a strip file says: where a dyed strip lies in a photo, and what was dyed where on it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from batiksim.errors import BatikError
from batiksim.values.rules import (
    Entries,
    Number,
    Numbers,
    Pairs,
    amounts,
    choice,
    colour,
    flag,
    keys_found,
    number,
    setting,
    text,
)
from batiksim.values.settings import Value, table, tables
from batiksim.values.swatches import LIGHTS, STRENGTH, Layers

_PLACE = Number(low=-1e6, high=1e6, example=0.1, help="A share of the strip, or mm.")
_BOX = setting(
    Numbers(
        each=dict.fromkeys(("left", "top", "width", "height"), _PLACE),
        problem="values.error.needs_box",
        key="at",
        example=[0.1, 0.1, 0.2, 0.2],
        help="Left, top, width and height: shares of the strip, or mm where its size is given.",
    )
)


@dataclass(frozen=True, kw_only=True)
class StripCloth(Value):
    """The undyed cloth of a strip."""

    KIND = "strip_cloth"

    colour: str | None = field(default=None, metadata=colour("Its colour by daylight, if you know it.", "#f1ede2"))
    assumed: bool = field(
        default=False, metadata=flag("Whether that colour is only a common one for cotton, not your own cloth's.")
    )


@dataclass(frozen=True, kw_only=True)
class StripPhoto(Value):
    """Where the strip lies in the photo."""

    KIND = "strip_photo"

    corners: tuple[tuple[float, float], ...] | None = field(
        default=None,
        metadata=setting(
            Pairs(
                exactly=4,
                problem="values.error.needs_corners",
                unit="pixels",
                example=[[412, 305], [3620, 380], [3580, 1490], [395, 1420]],
                help="The strip's corners in the upright photo: top left, top right, bottom right, bottom left.",
            )
        ),
    )
    light: str = field(default="D65", metadata=choice("The light the photo was taken in.", LIGHTS, "A"))


@dataclass(frozen=True, kw_only=True)
class StripLayout(Value):
    """Where the patches of a strip lie: cells of a grid in reading order, or each by its own `at`."""

    KIND = "strip_layout"

    rows: int = field(default=0, metadata=number("Rows of patches.", 4, 1, 100, whole=True))
    columns: int = field(default=0, metadata=number("Patches in a row.", 4, 1, 100, whole=True))
    gap: float = field(default=0.0, metadata=number("Share of a cell that is bare.", 0.2, 0, 0.8))
    width_mm: float | None = field(default=None, metadata=number("Width of the strip.", 300, 0, 1e6, "mm", above=True))
    height_mm: float | None = field(
        default=None, metadata=number("Height of the strip.", 200, 0, 1e6, "mm", above=True)
    )
    ground: Literal["undyed"] | None = field(
        default=None, metadata=choice("What lies between the patches, if it is undyed cloth.", ("undyed",), "undyed")
    )

    def agree(self) -> None:
        if (self.width_mm is None) != (self.height_mm is None):
            raise BatikError("values.error.strip_size", field="height_mm" if self.height_mm is None else "width_mm")

    @property
    def size_mm(self) -> tuple[float, float] | None:
        """Width and height of the strip, where it is given."""
        return None if self.width_mm is None or self.height_mm is None else (self.width_mm, self.height_mm)


@dataclass(frozen=True, kw_only=True)
class StripPatch(Value):
    """One dyed or undyed patch of a strip."""

    KIND = "strip_patch"
    SOURCES = ("dye", "dyes", "undyed")

    name: str | None = field(default=None, metadata=text("What you call it.", "leaf"))
    dye: str | None = field(default=None, metadata=text("The dye it was painted with.", "sun yellow"))
    strength: float = field(default=1.0, metadata=setting(STRENGTH))
    dyes: Mapping[str, float] = field(
        default_factory=dict,
        metadata=amounts(
            "Or several dyes, one over the other, each with its strength.", STRENGTH, {"sun yellow": 1, "sea blue": 0.5}
        ),
    )
    undyed: bool = field(default=False, metadata=flag("Or undyed cloth.", only=True))
    at: tuple[float, float, float, float] | None = field(default=None, metadata=_BOX)

    @classmethod
    def together(cls, entries: Entries) -> None:
        given = [key for key in cls.SOURCES if key in entries]
        if len(given) != 1:
            raise BatikError("values.error.one_kind_of_patch", got=keys_found(given))
        if "strength" in entries and "dye" not in entries:
            raise BatikError("values.error.strength_of_one", field="strength")
        if entries.get("dyes") == {}:
            raise BatikError("values.error.names_no_dye", field="dyes")

    @classmethod
    def schema_more(cls) -> dict[str, Any]:
        one = [{"required": [key]} for key in cls.SOURCES]
        return {"oneOf": one, "dependentRequired": {"strength": ["dye"]}}

    @property
    def layers(self) -> Layers:
        """What it was dyed with, from the first to the last."""
        return tuple(self.dyes.items()) if self.dye is None else ((self.dye, self.strength),)


@dataclass(frozen=True, kw_only=True)
class StripCard(Value):
    """A white or grey card in the photo of a strip."""

    KIND = "strip_card"

    name: str | None = field(default=None, metadata=text("What you call it.", "grey card"))
    reflectance: float = field(metadata=number("0.18 for a grey card, about 0.9 for a white one.", 0.18, 0.01, 1))
    at: tuple[float, float, float, float] = field(metadata=_BOX)


@dataclass(frozen=True, kw_only=True)
class StripFile(Value):
    """What each patch of a dyed strip is, and where the strip is in the photo."""

    KIND = "strip"

    title: str = field(default="Dyed strip", metadata=text("What the strip is called.", "Blues, March"))
    cloth: StripCloth = field(default=StripCloth(), metadata=table(StripCloth, "The undyed cloth."))
    photo: StripPhoto = field(default=StripPhoto(), metadata=table(StripPhoto, "The photo."))
    layout: StripLayout = field(default=StripLayout(), metadata=table(StripLayout, "The strip.", key="strip"))
    patches: tuple[StripPatch, ...] = field(
        default=(), metadata=tables(StripPatch, "patch", "The patches", numbered=True)
    )
    cards: tuple[StripCard, ...] = field(default=(), metadata=tables(StripCard, "card", "Cards", numbered=True))
