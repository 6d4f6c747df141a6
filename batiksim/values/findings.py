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
    """A spot on the cloth.

    Parameters
    ----------
    x_mm, y_mm : float
        How far from the left and from the top edge.
    radius_mm : float, default 0.0
        How far it reaches.

    Examples
    --------
    >>> from batiksim import Place
    >>> Place(x_mm=120.0, y_mm=80.0)
    Place(x_mm=120.0, y_mm=80.0, radius_mm=0.0)
    """

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

    Parameters
    ----------
    share : float
        Of the cloth's area, 0 to 1.
    history : tuple of str
        Names of the pots and other steps that reached it, in order.
    loads : dict of str to float
        What the fibre holds of each dye at the end; 1 is the dye at full strength on open cloth.
    hex : str
        Its colour, "#rrggbb".
    lab : tuple of float
        Its colour in CIELAB, D65.
    name, plain : str
        The colour's name: of ISCC-NBS ("strong yellow green"), and in a plain word ("green").
    reflectance : tuple of float
        Of the finished cloth, 0 to 1, in 31 bands from 400 to 700 nm by 10 nm.

    Examples
    --------
    >>> from batiksim import Cloth, Design, Dye, DyeBath, Wax, preview
    >>> import numpy as np
    >>> design = Design(
    ...     title="Half",
    ...     cloth=Cloth(width_mm=100),
    ...     dyes=[Dye(name="navy", colour="#1d2b53")],
    ...     steps=[Wax(mask="half.png"), DyeBath(pot="navy")],
    ... )
    >>> half = np.arange(40) < 20
    >>> regions = preview(design, masks={"half.png": np.tile(half, (30, 1))}).regions
    >>> [(region.history, round(region.share, 2)) for region in regions]
    [((), 0.5), (('navy',), 0.5)]
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
