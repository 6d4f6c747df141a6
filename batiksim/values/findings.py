"""What is found on a cloth: findings and regions."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from batiksim.texts.catalogue import Message
from batiksim.values.colour_words import history_names, name_message
from batiksim.values.frozen import FrozenDict
from batiksim.values.plain_data import LEFT_OUT, as_data

Severity = Literal["note", "warn", "serious"]
SEVERITIES: tuple[Severity, ...] = ("note", "warn", "serious")


@dataclass(frozen=True, kw_only=True)
class Place:
    """A spot on the cloth, in mm from the top left corner; radius_mm is how far it reaches."""

    x_mm: float
    y_mm: float
    radius_mm: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Finding:
    """One thing that a check noticed. step 0 = the design as a whole."""

    code: str
    severity: Severity
    step: int = 0
    message: Message
    remedy: Message
    place: Place | None = None


@dataclass(frozen=True, kw_only=True)
class Region:
    """All spots of the finished cloth with one history.

    share : of the cloth's area, 0..1
    history : names of the pots and other steps that reached it, in order
    loads : dye name -> load held at the end, full strengths
    lab : CIELAB of the finished cloth, D65
    """

    DATA = ("shown", "shown_history")

    share: float = field(metadata=as_data(places=6))
    history: tuple[str, ...]
    loads: Mapping[str, float] = field(default_factory=dict, metadata=as_data(places=4))
    hex: str
    lab: tuple[float, float, float] = field(metadata=as_data(places=3))
    name: str
    plain: str
    reflectance: tuple[float, ...] = field(default=(), metadata=LEFT_OUT)

    def __post_init__(self) -> None:
        object.__setattr__(self, "loads", FrozenDict(self.loads))

    @property
    def shown(self) -> Message:
        """The colour's name in the language that is spoken."""
        return name_message(self.name)

    @property
    def shown_history(self) -> tuple[str | Message, ...]:
        """The history in the language that is spoken."""
        return history_names(self.history)
